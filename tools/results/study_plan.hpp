// What a comparison is going to compute, fixed before the first point: the input from which a
// results file is laid out, and what a resumed run is compared with.
#pragma once

#include <cstddef>
#include <cstdint>
#include <map>
#include <string>
#include <vector>

#include "cases/case_file.hpp"
#include "tools/results/run_variant.hpp"

namespace pulsewright::tools {

// One run of a header: on the production grid or in a variant.
struct HeaderPlan {
  // Place of the header below /headers. Letters, digits, '.', '_' and '-' only.
  std::string group;
  RunVariant variant;
  std::string name;  // of the header, as shown to people
  cases::HeaderKind kind = cases::HeaderKind::network;
  models::JunctionLaw junction_law = models::JunctionLaw::momentum;  // of this run's merges
  double cell_size = 0;                                              // m, target
  std::vector<cases::CollectorGroup>
      groups;                            // which cylinders share a collector; none for a network
  std::map<int, double> primary_length;  // m, by builder's number; without the build tolerance
  std::vector<int> cylinder_numbers;    // builder's numbers, in the order of PointResult::cylinders
  std::vector<std::string> merges;      // names, in the order of PointResult::merges
  std::size_t merge_slots = 0;          // most pulses that arrive at any one merge
  std::vector<std::string> pipes;       // names, in the order of PointResult::pipes
  std::vector<std::string> tails;       // names, in the order of PointResult::tails
  std::vector<std::string> probes;      // names, in the order of PointResult::probes
  bool traces = true;                   // whether traces are kept; figures always are
  std::vector<double> wave_distance;    // m, columns of the wave diagram; empty = no diagram
  std::vector<double> wave_pipe_start;  // m, where each pipe of the diagram's path starts
  std::vector<std::string> wave_pipe_names;  // same length as wave_pipe_start
};

// How the points are computed and over which speeds headers are judged.
struct StudySettings {
  double courant = 0;
  double tolerance = 0;  // relative change at which a cycle counts as repeated
  int most_cycles = 0;
  bool quick = false;          // no variants but the coarse grid
  double band_from = 0;        // rev/s
  double band_to = 0;          // rev/s
  double build_tolerance = 0;  // m, accuracy of a primary's length when built
};

// visit(key, value) for each setting: the one list, with the keys that the results file has.
template <class Settings, class Visit>
void for_each_setting(Settings& settings, const Visit& visit) {
  visit("courant", settings.courant);
  visit("tolerance", settings.tolerance);
  visit("most_cycles", settings.most_cycles);
  visit("quick", settings.quick);
  visit("band_from_hz", settings.band_from);
  visit("band_to_hz", settings.band_to);
  visit("build_tolerance_m", settings.build_tolerance);
}

struct StudyPlan {
  std::string title;
  std::string case_text;  // the case file, whole
  std::string case_file;  // its path, for information
  std::string program_version;
  std::string commit;
  StudySettings settings;
  double ambient_pressure = 101325;             // Pa
  double ambient_temperature = 293.15;          // K
  std::vector<double> speeds;                   // rev/s, strictly increasing
  std::size_t trace_points = 0;                 // per cycle; 0 = no traces are stored
  std::vector<std::size_t> wave_speed_indices;  // into speeds, strictly increasing
  std::size_t wave_angles = 0;                  // rows of a wave diagram
  std::vector<HeaderPlan> headers;
};

// The state of one point in the file; the numbers are part of the file format. Damaged is what a
// reader finds: no file says it of itself.
enum class PointStatus : std::int8_t {
  missing = 0,
  converged = 1,
  not_converged = 2,
  failed = 3,
  damaged = 4
};

// Throws std::invalid_argument that names what is wrong with a plan (no speeds, speeds that do not
// increase, two runs in one group, a group name with other letters, ...).
void check_plan(const StudyPlan& plan);

// What a resumed run would do differently from the run that made the file, in one line; empty if
// nothing. Title and path of the case file may differ; everything that moves a number may not.
std::string first_difference(const StudyPlan& stored, const StudyPlan& planned);

// The part of `plan` that a file made from `stored` can have: its runs at its speeds, as many of
// them as `plan` has, under its choice of `quick`. Where first_difference() finds nothing between
// the two, the file's points are points of `plan`.
StudyPlan part_of(const StudyPlan& plan, const StudyPlan& stored);

// Whether diagrams are stored for this header.
bool has_wave_diagram(const StudyPlan& plan, const HeaderPlan& header_plan);

// Points per trace that are stored for this header, 0 = none.
std::size_t stored_trace_points(const StudyPlan& plan, const HeaderPlan& header_plan);

}  // namespace pulsewright::tools
