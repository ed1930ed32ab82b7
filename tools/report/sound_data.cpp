#include "tools/report/sound_data.hpp"

#include <cmath>
#include <nlohmann/json.hpp>
#include <optional>
#include <span>
#include <stdexcept>
#include <string>

#include "models/sound/sound_level.hpp"
#include "tools/listen/audio.hpp"
#include "tools/listen/heard_headers.hpp"
#include "tools/listen/sound_file.hpp"
#include "tools/listen/sound_text.hpp"
#include "tools/report/base64.hpp"

namespace pulsewright::tools {

namespace {

using nlohmann::json;

constexpr double sound_seconds = 6;  // of each header

// The lowest usual rate that has room for the band: the page is as long as its sound.
int sample_rate(double band_limit) {
  for (const int rate : {16000, 24000, 32000}) {
    if (band_limit < 0.45 * rate) return rate;
  }
  return 48000;
}

std::string flac_text(const std::vector<float>& samples, int rate) {
  const std::string flac = flac_of(samples, rate);
  return base64({reinterpret_cast<const unsigned char*>(flac.data()), flac.size()});
}

json audio_data(const HeardHeaders& heard) {
  for (const HeardHeader& header : heard.headers) {
    if (header.points.size() < 2) return nullptr;
  }
  const int rate = sample_rate(heard.limit.frequency);
  Audio audio;
  try {
    audio = audio_of(heard,
                     {.steady = std::nullopt, .seconds = sound_seconds, .sample_rate = 1.0 * rate});
  } catch (const std::invalid_argument&) {
    return nullptr;  // no two speeds that all headers have
  }
  json pieces = json::array();
  for (const auto& piece : audio.pieces) pieces.push_back(flac_text(piece, rate));
  return {{"from_rpm", std::round(60 * audio.from)},
          {"to_rpm", std::round(60 * audio.to)},
          {"seconds", sound_seconds},
          {"full_scale_db",
           std::round(200 * std::log10(audio.full_scale / models::reference_pressure)) / 10},
          {"pieces", pieces}};
}

}  // namespace

json sound_data(const StudyResults& results, const std::optional<cases::CaseFile>& case_file) {
  if (!case_file)
    return {{"reason", "this version of the program refuses the case in the results"}};
  if (!has_tail_flow(results)) {
    return {{"reason", "the results do not have the flow out of the tails"}};
  }
  try {
    const HeardHeaders heard =
        hear(*case_file, case_file->sound, results.plan().speeds, headers_of(results));
    json sound = sound_json(heard);
    sound["where"] = {{"metric", listening_words(heard, UnitSystem::metric)},
                      {"inch", listening_words(heard, UnitSystem::inch)}};
    sound["cautions"] = sound_cautions();
    sound["audio"] = audio_data(heard);
    return sound;
  } catch (const std::runtime_error& error) {  // a header that the case does not have
    return {{"reason", error.what()}};
  } catch (const std::invalid_argument& error) {
    return {{"reason", error.what()}};
  }
}

}  // namespace pulsewright::tools
