// What every header sounds like at the microphone, from the flow out of its tails at every speed.
#pragma once

#include <string>
#include <vector>

#include "cases/case_file.hpp"
#include "models/sound/band_limit.hpp"
#include "models/sound/content_over_speed.hpp"
#include "models/sound/listening.hpp"
#include "models/sound/sound_level.hpp"
#include "tools/study/study_results.hpp"

namespace pulsewright::tools {

struct HeardPoint {
  double speed = 0;               // rev/s
  std::string fault;              // why the point does not count; empty where it does
  models::SoundLevel level;       // at the microphone
  models::OrderContent pressure;  // Pa there
};

struct HeardHeader {
  std::string name;
  models::Listening place;
  models::ContentOverSpeed content;
  std::vector<HeardPoint> points;  // those with numbers, speeds rising
};

struct HeardHeaders {
  std::string title;
  bool invented = false;
  models::ListeningSpecification listening;
  double band_from = 0, band_to = 0;  // rev/s, over which headers are judged
  models::BandLimit limit;  // the lowest of all points, so that headers are heard up to the same
  std::size_t trace_points = 0;  // per cycle
  std::vector<HeardHeader> headers;
  std::vector<std::string> left_out;  // points and headers without numbers, with the reason
};

// A header of the case, as it was computed.
struct HeaderToHear {
  std::string name;
  double cell_size = 0;                              // m
  const std::vector<StoredPoint>* points = nullptr;  // by speed
};

// speeds: rev/s, rising. Throws std::invalid_argument for a case without an engine, for points
// without the flow out of the tails (results of a version that did not store it), for a microphone
// that models::Listening refuses, and where no header has a point with numbers.
HeardHeaders hear(const cases::CaseFile& case_file, const models::ListeningSpecification& listening,
                  const std::vector<double>& speeds, const std::vector<HeaderToHear>& headers);

// Before a header of the case is simulated on cells of this size (m): throws as hear() for a case
// without an engine and a microphone that is refused, CaseError for a header that does not exist.
void require_place(const cases::CaseFile& case_file,
                   const models::ListeningSpecification& listening, const std::string& header,
                   double cell_size);

// The headers of a results file that was read with all details, as a case hears them.
std::vector<HeaderToHear> headers_of(const StudyResults& results);

// Whether the points of a results file have the flow out of the tails, so that it can be heard.
bool has_tail_flow(const StudyResults& results);

// dB of the half orders together less that of all orders, at a point; -infinity for none.
double half_order_share(const HeardPoint& point);

}  // namespace pulsewright::tools
