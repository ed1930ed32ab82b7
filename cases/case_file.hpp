// A case: one engine, its headers and how to run them, as read from a case file.
//
// Plain data in SI units, crank angles in degrees. What a case file leaves out has the default of
// the parameter table; the zeros here are not defaults. read_case_file() makes it, build_engine()
// turns one header of it into the network that is simulated.
#pragma once

#include <Eigen/Core>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "cases/assumption.hpp"
#include "cases/cam_lobe.hpp"
#include "cases/case_error.hpp"
#include "cases/dyno_record.hpp"
#include "cases/quantity.hpp"
#include "cases/tune.hpp"
#include "models/network/specification.hpp"
#include "models/sound/listening.hpp"

namespace pulsewright::cases {

struct Bank {
  std::string name;
  std::vector<int> cylinders;  // the builder's numbers, as written
};

struct Engine {
  models::CylinderGeometry geometry;
  std::vector<int> firing_order;     // the builder's numbers, 1..n; empty for a case of pipes only
  std::vector<double> interval_deg;  // from each cylinder of the order to the next; sums to 720
  std::vector<Bank> banks;  // in the order of the file; at least one if there are cylinders
  double scavenge_displacement = 0;  // 0 = perfect mixing .. 1 = perfect displacement
};

// In the order of the choices of intake.source.
enum class IntakeSource { atmosphere, plenum };

struct Intake {
  IntakeSource source = IntakeSource::atmosphere;
  double length = 0;            // m, entry to valve, port included
  double entry_diameter = 0;    // m
  double valve_diameter = 0;    // m, of the port at the valve
  double entry_loss = 0;        // on rho u^2 / 2
  double entry_area_ratio = 0;  // free part of the entry
  double roughness = 0;         // m
  double wall_temperature = 0;  // K
  double plenum_volume = 0;     // m3
  // Throttle body or carburettor before the plenum, or one of each runner. Effective area wide
  // open, m2, 0 = none; with a rating, what gives it: m3/s at Pa.
  double throttle_area = 0;
  double throttle_flow = 0, throttle_drop = 0;
  double throttle_opening = 1;   // open part of the area
  double throttle_diameter = 0;  // m, of each barrel; 0 = an orifice without length
  double throttle_length = 0;    // m
  int throttle_count = 1;        // barrels
  double air_box_volume = 0;     // m3, 0 = none
  double air_box_inlet_diameter = 0, air_box_inlet_length = 0;  // m, of its tube; 0 = none
  double air_box_inlet_loss = 0;                                // on rho u^2 / 2
  double air_box_inlet_area = 0;                                // m2, effective, without a tube

  double open_throttle_area() const { return throttle_area * throttle_opening; }  // m2
};

// What all exhaust pipes share unless a pipe says otherwise.
struct Exhaust {
  models::JunctionLaw law = {};
  double merge_half_angle_deg = 0;  // between a primary and the axis of its collector
  double roughness = 0;             // m
  models::PipeHeatLaw heat = {};
  double heat_multiplier = 0;
  models::Wall wall;
  double port_length = 0;            // m, in the head; 0 = none
  double port_diameter = 0;          // m, at the flange
  double port_valve_diameter = 0;    // m, at the valve; straight taper between
  double port_transition = 0;        // m, from the port's diameter to the tube's; 0 = a sudden step
  double port_wall_temperature = 0;  // K
  double outlet_spacing = 0;         // m, between the tails of two collectors
  std::vector<models::Bend> bends;
};

// Cylinders that share a collector.
struct CollectorGroup {
  std::string name;                  // of the bank, or "A", "B" where banks are mixed
  std::vector<int> cylinders;        // in firing order
  std::vector<double> interval_deg;  // from each to the next of the group, sums to 720
  // Place round the collector, clockwise from 1 as seen from the flange, same order.
  std::vector<int> collector_position;
  // Cylinders of each secondary, halves of a divided collector.
  std::vector<std::vector<int>> subgroups;
};

// In the order of the choices of header.kind.
enum class HeaderKind {
  equal_length,
  degree_180,
  stepped_length,
  four_two_one,
  divided_collector,
  network,
  six_two_one,
  six_three_one
};
// Whether the primaries meet in secondaries, and those in the collector.
bool has_secondaries(HeaderKind kind);
// As the case file spells it: "equal-length", "180-degree", "4-2-1".
std::string kind_name(HeaderKind kind);
std::optional<HeaderKind> kind_of_name(std::string_view name);  // none for another name

// A law of the merge as the case file spells it, and back; none for another name.
std::string law_name(models::JunctionLaw law);
std::optional<models::JunctionLaw> law_of_name(std::string_view name);
std::vector<models::JunctionLaw> junction_laws();  // all of them

// Where one end of an explicit pipe goes.
enum class NodeKind { cylinder, junction, open, closed, anechoic };

struct NetworkEnd {
  NodeKind kind = NodeKind::open;
  int cylinder = 0;                                      // number, for NodeKind::cylinder
  std::string junction;                                  // name, for NodeKind::junction
  Eigen::Vector3d direction = Eigen::Vector3d::UnitX();  // from the junction into the pipe
  int line = 0;                                          // of the case file
};

struct NetworkPipe {
  models::PipeSpecification pipe;         // cell size not yet set
  NetworkEnd from, to;                    // left and right end
  models::OpenEndSpecification open_end;  // how an open end of this pipe behaves
  int line = 0;
};

struct NetworkJunction {
  std::string name;
  std::optional<models::JunctionLaw> law;
  double volume = 0;     // m3; 0 = from the pipes
  double vent_area = 0;  // m2, effective, to the atmosphere
  int line = 0;
};

// A place at which the gas is recorded.
struct HeaderProbe {
  std::string name;
  std::string pipe;     // of the network
  double distance = 0;  // m from the beginning of the pipe
  std::string key;      // of its table in the case file, with a full stop behind it
  int line = 0;         // of the case file
};

// A larger or smaller tube that follows in a primary.
struct TubeStep {
  double at = 0;  // m from the flange to its beginning
  Tube tube;
  double cone_length = 0;  // m over which the diameter changes; 0 = a sudden step
};

// The tube of one cylinder from the flange to its merge.
struct Primary {
  Tube tube;                    // from the flange on
  std::vector<TubeStep> steps;  // rising
  std::vector<models::Bend> bends;

  const Tube& last_tube() const { return steps.empty() ? tube : steps.back().tube; }
};

// In the order of the choices of header.balance.kind.
enum class BalanceKind { bar, crossing };

// What connects the pipes behind two collectors.
struct BalancePipe {
  BalanceKind kind = BalanceKind::bar;
  double at = 0;              // m behind the ends of the collectors, along them and their tails
  Tube tube;                  // of a bar
  double length = 0;          // m, of a bar
  double half_angle_deg = 0;  // of a crossing, between each pipe and the axis
};

// In the order of the choices of header.part.kind.
enum class PartKind {
  pipe,
  catalyst,
  straight_through,
  chamber,
  quarter_wave,
  helmholtz,
  back_pressure
};
std::string part_kind_name(PartKind kind);  // as the case file spells it

// What stands behind a collector; SI, 0 where the kind has no such thing.
struct TailPart {
  PartKind kind = PartKind::pipe;
  std::string behind;  // the pipe of a network; empty for other kinds of header
  Tube tube;           // inside diameter 0 = as what is before it
  double length = 0;   // m
  double diameter = 0;
  double cone_length = 0;
  double cells = 0;         // 1/m2
  double channel_wall = 0;  // m
  bool round_channels = false;
  double hole_share = 0;                       // holes over the wall of the core
  double hole_diameter = 0, core_wall = 0;     // m
  double inlet_inside = 0, outlet_inside = 0;  // m
  double volume = 0;                           // m3
  double pressure = 0;                         // Pa above the air outside
  double mass_flow = 0;                        // kg/s
  double temperature = 0;                      // K
  int line = 0;                                // of the case file

  bool operator==(const TailPart&) const = default;
};

// The way of one primary in space.
struct TubePath {
  std::vector<Eigen::Vector3d> points;  // m: the ends, and between them where straight axes meet
  double bend_radius = 0;               // m; 0 = the largest that is to be had and fits
  int line = 0;                         // of the case file
};

// What a header is bent and cut from.
struct BendStock {
  // Sizes that differ by less are one and the same, written in different units.
  static constexpr double same_radius = 1e-4;     // m
  static constexpr double same_angle_deg = 1e-6;  // deg

  std::vector<double> radii;       // m, rising; empty = as the tube is sold
  std::vector<double> angles_deg;  // of bends as they are sold, rising
  double cut_allowance = 0;        // m, for each cut
};

struct HeaderDesign {
  std::string name;
  std::string notes;
  HeaderKind kind = HeaderKind::equal_length;
  std::vector<CollectorGroup> groups;    // one per collector; empty for a network
  std::map<int, double> primary_length;  // m from the head's flange to the merge, by cylinder
  std::map<int, Primary> primaries;      // by cylinder
  Tube primary_tube;  // of the primaries that name no other; inside diameter 0 = none
  Tube secondary_tube, collector_tube, tail_tube;  // likewise
  double port_transition = 0;                      // m, as in Exhaust; 0 without a port
  double merge_half_angle_deg = 0;                 // between a tube and the axis of its collector
  double secondary_length = 0;                     // m
  double collector_length = 0;                     // m, from inlet and neck to its end
  double merge_inlet_length = 0;     // m, from the area of all tubes to merge_diameter
  double merge_diameter = 0;         // m, inside, of the neck, where the primaries enter
  double merge_neck_length = 0;      // m, straight part of merge_diameter
  double merge_cone_length = 0;      // m, from merge_diameter to the collector's
  double divider_length = 0;         // m
  double tail_length = 0;            // m, tail cone included
  double tail_cone_length = 0;       // m
  bool shared_tail = false;          // all collectors meet in one tail
  std::vector<BalancePipe> balance;  // rising
  std::vector<NetworkPipe> pipes;    // network only
  std::vector<NetworkJunction> junctions;
  std::vector<TailPart> parts;
  std::vector<HeaderProbe> probes;
  std::map<int, TubePath> paths;  // by cylinder; for the bench, nothing of it is simulated
  int line = 0;                   // of the case file
};

struct Run {
  std::vector<double> speeds;       // rev/s, ascending; empty for a case of pipes only
  double band_from = 0;             // rev/s, over which headers are judged
  double band_to = 0;               // rev/s
  int added_speeds = 0;             // most that a comparison may add within the band
  std::vector<double> wave_speeds;  // rev/s, speeds that store a wave diagram
  double cell_size = 0;             // m
  double duration = 0;              // s, of a case without an engine
  models::RunSettings settings;     // store_wave_diagram left false; wave_cylinder is an index
};

struct CaseFile {
  std::string file_name;
  std::string text;  // the case file as it was read
  std::string title, notes;
  bool invented = false;
  models::Ambient ambient;
  Engine engine;
  models::ValveSpecification exhaust_valve, intake_valve;
  std::optional<Lobe> exhaust_lobe, intake_lobe;  // none: a lift table was given
  models::CombustionSpecification combustion;
  models::CylinderHeatSpecification cylinder_heat;
  models::FrictionSpecification friction;
  Intake intake;
  Exhaust exhaust;
  std::vector<HeaderDesign> headers;
  Run run;
  double build_tolerance = 0;  // m, accuracy of a primary's length when built
  BendStock bend_stock;
  std::vector<DynoRecord> dyno;  // what was measured
  std::string calibrated;        // what the engine was calibrated to; empty = it was not
  models::ListeningSpecification sound;
  Tune tune;  // what a search may change; without variables none is described
  // What can be simulated, but hardly any engine has; in the order of their lines.
  std::vector<Problem> remarks;
  // What the file leaves out and the reader took instead, where it matters.
  std::vector<Assumption> assumptions;

  bool has_engine() const { return !engine.firing_order.empty(); }
};

}  // namespace pulsewright::cases
