#include "tools/listen/sound_file.hpp"

#include <algorithm>
#include <cstring>
#include <fmt/format.h>
#include <memory>
#include <sndfile.h>
#include <stdexcept>

#include "tools/results/store_error.hpp"
#include "tools/results/temporary_file.hpp"

namespace pulsewright::tools {

namespace {

struct Close {
  void operator()(SNDFILE* file) const { sf_close(file); }
};
using OpenSound = std::unique_ptr<SNDFILE, Close>;

SF_INFO info_of(int sample_rate, int format) {
  SF_INFO info{};
  info.samplerate = sample_rate;
  info.channels = 1;
  info.format = format;
  return info;
}

// Whether all of it was written.
bool write_all(SNDFILE* file, std::span<const float> samples) {
  sf_command(file, SFC_SET_CLIPPING, nullptr, SF_TRUE);
  return sf_writef_float(file, samples.data(), std::ssize(samples)) == std::ssize(samples);
}

// A file in memory, for libsndfile.
struct Memory {
  std::string bytes;
  std::size_t at = 0;
};

sf_count_t length(void* user) { return std::ssize(static_cast<Memory*>(user)->bytes); }

sf_count_t seek(sf_count_t offset, int whence, void* user) {
  auto& memory = *static_cast<Memory*>(user);
  const sf_count_t from = whence == SEEK_SET   ? 0
                          : whence == SEEK_CUR ? static_cast<sf_count_t>(memory.at)
                                               : std::ssize(memory.bytes);
  memory.at = static_cast<std::size_t>(std::max<sf_count_t>(0, from + offset));
  return static_cast<sf_count_t>(memory.at);
}

sf_count_t read(void* to, sf_count_t count, void* user) {
  auto& memory = *static_cast<Memory*>(user);
  const std::size_t left = memory.bytes.size() - std::min(memory.at, memory.bytes.size());
  const std::size_t n = std::min(left, static_cast<std::size_t>(count));
  std::memcpy(to, memory.bytes.data() + memory.at, n);
  memory.at += n;
  return static_cast<sf_count_t>(n);
}

sf_count_t write(const void* from, sf_count_t count, void* user) {
  auto& memory = *static_cast<Memory*>(user);
  const auto n = static_cast<std::size_t>(count);
  if (memory.at + n > memory.bytes.size()) memory.bytes.resize(memory.at + n);
  std::memcpy(memory.bytes.data() + memory.at, from, n);
  memory.at += n;
  return count;
}

sf_count_t tell(void* user) { return static_cast<sf_count_t>(static_cast<Memory*>(user)->at); }

}  // namespace

void write_wave(const std::string& path, std::span<const float> samples, const SoundFormat& format,
                const std::string& title) {
  if (format.bits != 16 && format.bits != 24) {
    throw std::invalid_argument(
        fmt::format("a WAV file of {} bits: allowed are 16 and 24", format.bits));
  }
  TemporaryFile temporary(path);
  {
    SF_INFO info =
        info_of(format.sample_rate,
                SF_FORMAT_WAV | (format.bits == 16 ? SF_FORMAT_PCM_16 : SF_FORMAT_PCM_24));
    const OpenSound file(sf_open(temporary.path().c_str(), SFM_WRITE, &info));
    if (!file) throw StoreError(path, sf_strerror(nullptr));
    sf_set_string(file.get(), SF_STR_TITLE, title.c_str());
    if (!write_all(file.get(), samples)) throw StoreError(path, sf_strerror(file.get()));
  }
  temporary.put_in_place(true);
}

std::string flac_of(std::span<const float> samples, int sample_rate) {
  Memory memory;
  {
    SF_VIRTUAL_IO io{length, seek, read, write, tell};
    SF_INFO info = info_of(sample_rate, SF_FORMAT_FLAC | SF_FORMAT_PCM_16);
    const OpenSound file(sf_open_virtual(&io, SFM_WRITE, &info, &memory));
    if (!file || !write_all(file.get(), samples)) {
      throw std::runtime_error(fmt::format("sound as FLAC: {}", sf_strerror(file.get())));
    }
  }
  return std::move(memory.bytes);
}

}  // namespace pulsewright::tools
