// The table of figures: it has every member of a result, its names are distinct, and means follow
// its rules.
#include "models/figures/figure_table.hpp"

#include <algorithm>
#include <doctest/doctest.h>
#include <set>
#include <string>
#include <utility>

#include "models/figures/figure_means.hpp"

namespace pulsewright::tests {

using namespace models;

namespace {

// Stands for a value of any type in a list of initial values, but for a whole struct of its own.
struct AnyValue {
  template <class T>
  operator T() const;  // NOLINT(google-explicit-constructor): initial values convert by themselves
};

template <class T, std::size_t... at>
constexpr bool takes_values(std::index_sequence<at...>) {
  return requires { T{(static_cast<void>(at), AnyValue{})...}; };
}

// Members of an aggregate: the most initial values that it takes.
template <class T, std::size_t count = 60>
constexpr std::size_t members_of() {
  if constexpr (takes_values<T>(std::make_index_sequence<count>{})) {
    return count;
  } else {
    static_assert(count > 0);
    return members_of<T, count - 1>();
  }
}

struct ThreeMembers {
  int first;
  std::vector<float> second;
  std::string third;
};
static_assert(members_of<ThreeMembers>() == 3);

template <class T>
std::size_t rows_of() {
  T object;
  std::size_t rows = 0;
  for_each_member(object, [&](auto&) { ++rows; });
  return rows;
}

template <class ForEachRow>
void check_texts(ForEachRow for_each_row) {
  std::set<std::string> names;
  std::set<std::string> keys;
  for_each_row([&](const auto& row) {
    CAPTURE(row.name);
    CHECK(names.insert(row.name).second);
    CHECK(keys.insert(row.key).second);
    CHECK(!std::string(row.text).empty());
    const bool is_plain = std::string(row.text).find('|') == std::string::npos;
    CHECK(is_plain);  // it stands in a table of a page
  });
  CHECK(!names.empty());
}

CylinderFigures cylinder_with(double angle, double imep) {
  CylinderFigures f;
  f.number = 7;
  f.imep = imep;
  f.trapped_mass = 2 * imep;
  f.depression_angle = angle;
  return f;
}

}  // namespace

TEST_CASE("the table of figures has every member of a result") {
  CHECK(rows_of<PointResult>() == members_of<PointResult>());
  CHECK(rows_of<CylinderFigures>() == members_of<CylinderFigures>());
  CHECK(rows_of<MergeFigures>() == members_of<MergeFigures>());
  CHECK(rows_of<PipeFigures>() == members_of<PipeFigures>());
  CHECK(rows_of<Ledger>() == members_of<Ledger>());
  CHECK(rows_of<LedgerLine>() == members_of<LedgerLine>());
  CHECK(rows_of<CylinderTraces>() == members_of<CylinderTraces>());
  CHECK(rows_of<TailTrace>() == members_of<TailTrace>());
  CHECK(rows_of<ProbeTraces>() == members_of<ProbeTraces>());
  CHECK(rows_of<WaveDiagram>() == members_of<WaveDiagram>());
}

TEST_CASE("names and keys of the table of figures are distinct, and each figure has a text") {
  check_texts([](const auto& visit) { for_each_point_figure(visit); });
  check_texts([](const auto& visit) { for_each_cylinder_figure(visit); });
  check_texts([](const auto& visit) { for_each_merge_figure(visit); });
  check_texts([](const auto& visit) { for_each_pipe_figure(visit); });
  check_texts([](const auto& visit) { for_each_ledger_line(visit); });
  check_texts([](const auto& visit) { for_each_ledger_column(visit); });
  check_texts([](const auto& visit) { for_each_cylinder_trace(visit); });
  check_texts([](const auto& visit) { for_each_tail_trace(visit); });
  check_texts([](const auto& visit) { for_each_probe_trace(visit); });
  check_texts([](const auto& visit) { for_each_diagram_array(visit); });
}

// Names that are not those of the member: the readers of the file and of the JSON rely on them.
TEST_CASE("the names of the table of figures that are not those of the member") {
  const PointResult point;
  for_each_point_figure([&](const auto& row) {
    const void* at = &(point.*row.member);
    CHECK((std::string(row.name) == "rotation_rate") == (at == &point.speed));
  });
  const MergeFigures merge;
  const auto name_and_key = [&](const void* member) {
    std::string text;
    for_each_merge_figure([&](const auto& row) {
      const void* at = &(merge.*row.member);
      if (at == member) text = std::string(row.name) + " " + row.key;
    });
    return text;
  };
  CHECK(name_and_key(&merge.cylinders) == "cylinder cylinders");
  CHECK(name_and_key(&merge.arrival) == "arrival arrival_deg");
  CHECK(name_and_key(&merge.gap) == "gap gap_deg");
  CHECK(name_and_key(&merge.evenness) == "evenness evenness");
  CHECK(name_and_key(&merge.wave_speed) == "wave_speed wave_speed");
  CHECK(name_and_key(&merge.degrees_per_metre) == "degrees_per_metre degrees_per_metre");
  CHECK(name_and_key(&merge.length_to_even) == "length_to_even length_to_even_m");
  CHECK(name_and_key(&merge.added_length) == "added_length added_length_m");
}

// Whoever adds a figure decides whether it is one of the point too, and the readers of the file see
// it there.
TEST_CASE("the figures of a cylinder that have no mean over the cylinders") {
  std::set<std::string> without_mean;
  for_each_cylinder_figure([&](const CylinderFigure& figure) {
    CAPTURE(figure.name);
    CHECK(figure.over_cycles == MeanRule::arithmetic);
    CHECK((figure.over_cylinders == MeanRule::none) == (figure.point_member == nullptr));
    if (figure.over_cylinders == MeanRule::none) without_mean.insert(figure.name);
  });
  CHECK(without_mean == std::set<std::string>{"trapped_mass", "imep_gross", "peak_pressure",
                                              "peak_pressure_angle", "blowdown_pulse_angle"});
}

TEST_CASE("the mean over cycles is that of each figure, and keeps the cylinder") {
  const auto mean =
      mean_over_cycles({cylinder_with(300, 1), cylinder_with(340, 2), cylinder_with(350, 6)});
  CHECK(mean.number == 7);
  CHECK(mean.imep == 3);
  CHECK(mean.trapped_mass == 6);
  CHECK(mean.depression_angle == 330);
  CHECK(mean.peak_pressure == 0);
  // Angles are numbers from 0 to 720 and are not folded.
  CHECK(mean_over_cycles({cylinder_with(710, 0), cylinder_with(10, 0)}).depression_angle == 360);
}

TEST_CASE("the mean over cylinders sets the figures of the point that are one, and no other") {
  const std::vector<CylinderFigures> cylinders = {cylinder_with(300, 1), cylinder_with(320, 2)};
  PointResult point;
  point.torque = 5;
  mean_over_cylinders(cylinders, point);
  CHECK(point.imep == 1.5);
  CHECK(point.depression_angle == 310);
  CHECK(point.torque == 5);
  CHECK(point.cylinders.empty());
  CHECK(mean_over_cylinders(cylinders, &CylinderFigures::trapped_mass) == 3);
  // Each goes to the member of its own name.
  for_each_cylinder_figure([](const CylinderFigure& figure) {
    if (figure.point_member == nullptr) return;
    CylinderFigures cylinder;
    cylinder.*figure.member = 2;
    PointResult result;
    mean_over_cylinders({cylinder}, result);
    for_each_point_figure([&](const auto& row) {
      const bool is_own = std::string(row.name) == figure.name;
      CHECK(static_cast<double>(result.*row.member) == (is_own ? 2 : 0));
    });
  });
}

}  // namespace pulsewright::tests
