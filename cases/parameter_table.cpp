// The entries of the parameter table. Over 400 lines because it is one table: every key
// stands here and nowhere else.
//
// Ranges are wide enough for every four-stroke piston engine from a model to a large diesel; they
// are there to catch slips of unit or decimal point, not to judge a design (common practice, no
// source).
#include "cases/parameter_table.hpp"

#include "cases/cam_lobe.hpp"
#include "cases/case_file.hpp"
#include "cases/flow_bench.hpp"
#include "models/boundary/junction_constants.hpp"
#include "models/network/specification.hpp"
#include "models/sound/listening.hpp"

namespace pulsewright::cases {
namespace {
namespace table_of_keys {  // names of kinds are those of functions elsewhere

using enum ValueKind;
using D = Dimension;

constexpr auto must = Presence::required;
constexpr auto may = Presence::optional;

using models::CombustionSpecification;
using models::CylinderHeatSpecification;
using models::FrictionSpecification;
using models::ListeningSpecification;
using models::OpenEndSpecification;
using models::PipeSpecification;
using models::RunSettings;

constexpr std::string_view junction_laws_in_order = "momentum constant_pressure plenum";
constexpr std::string_view example_bend = R"([{ angle = "90 deg", radius = "3 in" }])";

// As the text of header.junction.volume says.
static_assert(models::JunctionConstants{}.volume == 0.12);

constexpr Parameter entries[] = {
    // ------------------------------------------------------------------ top of the file
    {"", "title", text, D::none, must, "", "", "", R"("Hill-climb V8")",
     "What the case is called in tables and reports: one line of at most 200 bytes."},
    {"", "notes", text, D::none, may, "", "", "", R"("first set, before the new heads")",
     "Anything worth remembering; kept in the results."},
    {"", "invented", flag, D::none, may, "false", "", "", "true",
     "true marks data that belong to no real engine."},
    {"", "ambient", table, D::none, may, "", "", "", "[ambient]", "The air outside."},
    {"", "engine", table, D::none, may, "", "", "", "[engine]",
     "The engine. Left out for a case of pipes only."},
    {"", "cam", table, D::none, may, "", "", "", "[cam]",
     "What the cam card says of both valves. Not needed where each has its timing."},
    {"", "exhaust_valve", table, D::none, may, "", "", "", "[exhaust_valve]",
     "Exhaust valve, its cam and its flow. Needed with an engine."},
    {"", "intake_valve", table, D::none, may, "", "", "", "[intake_valve]",
     "Intake valve, its cam and its flow. Needed with an engine."},
    {"", "combustion", table, D::none, may, "", "", "", "[combustion]", "Fuel and burning."},
    {"", "cylinder_heat", table, D::none, may, "", "", "", "[cylinder_heat]",
     "Heat from the gas to the cylinder walls."},
    {"", "friction", table, D::none, may, "", "", "", "[friction]",
     "Mechanical friction of the engine."},
    {"", "intake", table, D::none, may, "", "", "", "[intake]",
     "Intake runners. Needed with an engine."},
    {"", "exhaust", table, D::none, may, "", "", "", "[exhaust]", "What all exhaust pipes share."},
    {"", "header", tables, D::none, must, "", "", "", "[[header]]",
     "The headers to compare, one table each, in the order they are shown.", "", "concept"},
    {"", "run", table, D::none, must, "", "", "", "[run]", "Speeds, grid and convergence."},
    {"", "build", table, D::none, may, "", "", "", "[build]",
     "How exactly the header will be made."},
    {"", "calibrated", text, D::none, may, "", "", "", R"("to 3 pulls of equal-length")",
     "What the engine of this file was calibrated to, as `dyno --calibrate` writes it; "
     "comparisons then say that differences between headers, not the level, are the claim."},
    {"", "dyno", tables, D::none, may, "", "", "", "[[dyno]]",
     "Measured pulls, one table for each header that was on the engine."},
    {"", "sound", table, D::none, may, "", "", "", "[sound]", "Where the exhaust is heard."},
    {"", "tune", table, D::none, may, "", "", "", "[tune]",
     "What sweep, tune and tolerance may change of a header, within what fits the car."},

    // ------------------------------------------------------------------ ambient
    {"ambient", "pressure", quantity, D::pressure, may,
     default_of<&models::Ambient::pressure>("Pa"), "0.5 bar", "1.2 bar", R"("0.98 bar")",
     "Pressure of the air outside, at the place (not reduced to sea level)."},
    {"ambient", "altitude", quantity, D::length, may, "", "-500 m", "5000 m", R"("3000 ft")",
     "Height above the sea, instead of pressure: that of the standard atmosphere there."},
    {"ambient", "temperature", quantity, D::temperature, may,
     default_of<&models::Ambient::temperature>("degC"), "-40 degC", "60 degC", R"("20 degC")",
     "Temperature of the air outside."},
    {"ambient", "relative_humidity", number, D::none, may, "0", "0", "1", "0.6",
     "Part of the saturation pressure of water that its vapour in the air has, 0.6 or \"60 %\"; it "
     "takes the place of air in the charge."},

    // ------------------------------------------------------------------ engine
    {"engine", "bore", quantity, D::length, must, "", "20 mm", "300 mm", R"("94 mm")", "Bore."},
    {"engine", "stroke", quantity, D::length, must, "", "20 mm", "400 mm", R"("3.48 in")",
     "Stroke."},
    {"engine", "rod", quantity, D::length, must, "", "30 mm", "900 mm", R"("150 mm")",
     "Length of the connecting rod between centres, more than the stroke."},
    {"engine", "pin_offset", quantity, D::length, may,
     default_of<&models::CylinderGeometry::pin_offset>("mm"), "-20 mm", "20 mm", R"("0.5 mm")",
     "Offset of the piston pin from the cylinder's axis, positive towards the side that the piston "
     "is pressed against on the power stroke."},
    {"engine", "compression_ratio", number, D::none, must, "", "4", "25", "12.0",
     "(swept volume + clearance volume) / clearance volume; may be written \"9.8:1\"."},
    {"engine", "firing_order", integers, D::none, must, "", "1", "16", "[1, 3, 4, 2]",
     "Cylinder numbers in the order they fire. Every cylinder from 1 to the last once."},
    {"engine", "intervals", quantities, D::angle, may, "", "1 deg", "720 deg",
     R"(["90 deg", "150 deg"])",
     "Crank angle from each cylinder of the firing order to the next, and from the last back to "
     "the first; one per cylinder, 720 deg in all. Left out: all equal."},
    {"engine", "banks", free_table, D::none, may, "", "", "",
     "{ left = [1, 3, 5, 7], right = [2, 4, 6, 8] }",
     "Name of each bank and its cylinders. Left out: one bank of all cylinders."},
    {"engine", "scavenge_displacement", number, D::none, may,
     default_of<&models::EngineSpecification::scavenge_displacement>(), "0", "1", "0.2",
     "How the fresh charge meets the residual gas during overlap: 0 mixes at once, 1 displaces it "
     "unmixed."},

    // ------------------------------------------------------------------ valves
    {"cam", "lobe_separation", quantity, D::angle, may, "", "80 deg", "140 deg", R"("110 deg")",
     "Angle between the two lobe centerlines, in degrees of the camshaft. Needed with "
     "intake_centerline."},
    {"cam", "intake_centerline", valve_event, D::angle, may, "", "", "", R"("106 deg ATDC")",
     "Crank angle of full intake lift as the cam is fitted: lobe separation less the advance. ATDC "
     "may be left out. Needed with lobe_separation."},

    {"valve", "count", integer, D::none, may, default_of<&models::ValveSpecification::count>(), "1",
     "4", "2", "Equal valves of this kind in one cylinder."},
    {"valve", "seat_diameter", quantity, D::length, must, "", "5 mm", "150 mm", R"("40 mm")",
     "Inner diameter of the valve seat, less than the bore. Lift and flow table are checked "
     "against it: no valve passes more than an ideal nozzle of its curtain (pi x seat diameter x "
     "lift)."},
    {"valve", "stem_diameter", quantity, D::length, may, "0 mm", "0 mm", "30 mm", R"("8 mm")",
     "Diameter of the stem, taken off the bore of the seat."},
    {"valve", "cam", table, D::none, may, "", "", "", "[exhaust_valve.cam]",
     "The cam card. Either this or lift_table."},
    {"valve", "lift_table", table, D::none, may, "", "", "", "[exhaust_valve.lift_table]",
     "Measured lift. Either this or cam."},
    {"valve", "flow", table, D::none, must, "", "", "", "[exhaust_valve.flow]",
     "Flow-bench table or discharge coefficients."},

    {"valve.cam", "opens", valve_event, D::angle, may, "", "", "", R"("74 deg BBDC")",
     "Where the valve opens to timing_lift. Exhaust: BBDC or ABDC. Intake: BTDC or ATDC. With "
     "closes; or neither, where duration and centerline are given."},
    {"valve.cam", "closes", valve_event, D::angle, may, "", "", "", R"("30 deg ATDC")",
     "Where the valve has closed to timing_lift. Exhaust: ATDC or BTDC. Intake: ABDC or BBDC."},
    {"valve.cam", "timing_lift", quantity, D::length, may, "", "0 mm", "3 mm", R"("0.050 in")",
     "Lift of the follower at which opens and closes hold, as the card is printed; 0 in = where "
     "the lobe begins and ends to lift, where the valve would leave and meet its seat without "
     "lash; "
     "lash is taken off further. Needed with opens and closes: between 0 and 0.050 in lie "
     "20 to 35 deg at each end of most lobes, up to 45 of those with long ramps."},
    {"valve.cam", "centerline", valve_event, D::angle, may, "", "", "", R"("112 deg BTDC")",
     "Lobe centerline: crank angle of full lift, BTDC of an exhaust valve and ATDC of an intake "
     "valve where nothing is said. Left out: as [cam], else half-way between opens and closes.",
     "", "centre"},
    {"valve.cam", "lift", quantity, D::length, may, "", "1 mm", "50 mm", R"("14.5 mm")",
     "Full lift at the valve, lash not yet taken off. Either this or lobe_lift."},
    {"valve.cam", "lobe_lift", quantity, D::length, may, "", "1 mm", "50 mm", R"("0.357 in")",
     "Full lift of the lobe; times rocker_ratio it is that of the valve."},
    {"valve.cam", "rocker_ratio", number, D::none, may, "1", "0.8", "2.5", "1.6",
     "Lift at the valve / lift at the follower. 1 where the cam moves the valve directly, or where "
     "durations were measured at the valve."},
    {"valve.cam", "follower", choice, D::none, may, "", "", "", R"("solid")",
     "hydraulic has no lash, solid needs it.", "hydraulic solid"},
    {"valve.cam", "lash", quantity, D::length, may, default_of<&CamCard::lash>("mm"), "0 mm",
     "2 mm", R"("0.25 mm")",
     "Running clearance at the valve; taken off the lift, so that the valve opens later and closes "
     "sooner than the card says."},
    {"valve.cam", "duration", quantity, D::angle, may, "", "90 deg", "400 deg", R"("255 deg")",
     "Crank angle during which the follower is above checking_lift. Shapes the lobe, which passes "
     "through every figure of the card; `check` prints what it implies at the seat."},
    {"valve.cam", "checking_lift", quantity, D::length, may, "1.27 mm", "0.1 mm", "3 mm",
     R"("0.050 in")", "Lift of the follower at which duration was measured."},
    {"valve.cam", "advertised_duration", quantity, D::angle, may, "", "90 deg", "450 deg",
     R"("294 deg")", "A second duration, that by which the cam is sold. Needs advertised_lift."},
    {"valve.cam", "advertised_lift", quantity, D::length, may, "", "0.02 mm", "3 mm",
     R"("0.006 in")",
     "Lift of the follower at which it was measured: often 0.006 in (hydraulic) or 0.020 in "
     "(solid)."},
    {"valve.cam", "lobe_exponent", number, D::none, may, "", "1.05", "12", "2.5",
     "Shape of the lobe where the card gives one duration or one timing only: 2 makes short ramps, "
     "3 long ones (42 and 57 deg from 0.006 to 0.050 in). Left out: 2.5, and 2 with timing at the "
     "seat alone."},

    {"valve.lift_table", "angle", quantities, D::angle, must, "", "0 deg", "1080 deg",
     R"(["106 deg", "120 deg", "390 deg"])",
     "Crank angles after firing top dead centre of the cylinder, rising (overlap is at 360 deg)."},
    {"valve.lift_table", "lift", quantities, D::length, must, "", "0 mm", "50 mm",
     R"(["0 mm", "0.8 mm", "0 mm"])",
     "Lift at the valve at each angle, lash already taken off; zero at both ends."},

    {"valve.flow", "lift", quantities, D::length, must, "", "0 mm", "50 mm",
     R"(["0.1 in", "0.2 in", "0.3 in"])",
     "Lifts at which the flow was measured, rising. Zero lift need not be given."},
    {"valve.flow", "forward", quantities, D::volume_flow, may, "", "0 cfm", "5000 cfm",
     R"(["75 cfm", "130 cfm", "165 cfm"])",
     "Flow through the port in the direction it works in, all its valves open, at each lift. One "
     "lift and flow alone, best the highest, make a typical curve. More than an ideal nozzle of "
     "the "
     "seat passes is used up to that. Either this or discharge."},
    {"valve.flow", "reverse", quantities, D::volume_flow, may, "", "0 cfm", "5000 cfm",
     R"(["70 cfm", "120 cfm", "150 cfm"])", "Flow against that direction. Left out: as forward."},
    {"valve.flow", "depression", quantity, D::pressure, may, "", "1 inH2O", "60 inH2O",
     R"("28 inH2O")",
     "Pressure difference of the flow bench; any, the figures are converted. Needed with forward."},
    {"valve.flow", "bench_temperature", quantity, D::temperature, may,
     default_of<&BenchState::temperature>("degC"), "-20 degC", "60 degC", R"("20 degC")",
     "Temperature of the air before the port on the bench."},
    {"valve.flow", "bench_pressure", quantity, D::pressure, may,
     default_of<&BenchState::pressure>("Pa"), "0.5 bar", "1.2 bar", R"("101325 Pa")",
     "Pressure of the air before the port on the bench."},
    {"valve.flow", "discharge", numbers, D::none, may, "", "0", "1", "[0.68, 0.66, 0.63]",
     "Discharge coefficients at each lift, of one valve, in the direction it works in."},
    {"valve.flow", "reverse_discharge", numbers, D::none, may, "", "0", "1", "[0.65, 0.62, 0.6]",
     "Discharge coefficients against that direction. Left out: as discharge."},
    {"valve.flow", "discharge_area", choice, D::none, may, "curtain", "", "", R"("curtain")",
     "Area that the coefficients belong to: curtain = pi x seat diameter x lift, seat = the "
     "bore of the seat.",
     "curtain seat"},
    {"valve.flow", "multiplier", number, D::none, may, "1", "0.7", "1.3", "1.04",
     "Factor on all flows of the table, as a calibration finds it; no valve passes more than an "
     "ideal nozzle of its curtain and of its seat."},

    // ------------------------------------------------------------------ combustion
    {"combustion", "fuel", choice, D::none, may, "", "", "", R"("e85")",
     "Fuel with its published values; each of the keys below overrides its own. Left out: petrol "
     "by "
     "the defaults below. race-petrol is iso-octane.",
     "pump-petrol race-petrol e10 e85 ethanol methanol"},
    {"combustion", "air_fuel_ratio", number, D::none, may,
     default_of<&CombustionSpecification::air_fuel_ratio>(), "4", "30", "12.8",
     "Mass of dry air per mass of fuel as supplied. Left out with fuel: as rich as the default is "
     "for petrol, 0.88 of stoichiometric."},
    {"combustion", "stoichiometric_air_fuel", number, D::none, may,
     default_of<&CombustionSpecification::stoichiometric_air_fuel>(), "5", "18", "14.6",
     "Mass of air that burns a mass of fuel completely."},
    {"combustion", "hydrogen_to_carbon", number, D::none, may,
     default_of<&CombustionSpecification::hydrogen_to_carbon>(), "1", "4", "1.87",
     "Atoms of hydrogen per atom of carbon in the fuel."},
    {"combustion", "oxygen_to_carbon", number, D::none, may,
     default_of<&CombustionSpecification::oxygen_to_carbon>(), "0", "1", "0.5",
     "Atoms of oxygen per atom of carbon in the fuel."},
    {"combustion", "heating_value", quantity, D::heating_value, may,
     default_of<&CombustionSpecification::heating_value>("MJ/kg"), "15 MJ/kg", "60 MJ/kg",
     R"("43 MJ/kg")", "Lower heating value of the (liquid) fuel."},
    {"combustion", "latent_heat", quantity, D::heating_value, may, "", "0 MJ/kg", "2 MJ/kg",
     R"("0.35 MJ/kg")", "Heat that evaporates the fuel. Left out: that of fuel, else of petrol."},
    {"combustion", "molar_mass", quantity, D::molar_mass, may, "", "16 g/mol", "400 g/mol",
     R"("46 g/mol")",
     "Molar mass of the fuel: the lighter its vapour, the more of the air's room it takes. Left "
     "out: that of fuel, else petrol's 110 g/mol."},
    {"combustion", "evaporated_in_intake", number, D::none, may,
     default_of<&CombustionSpecification::evaporated_before_runner>(), "0", "1", "0.2",
     "Share of the fuel that evaporates before the air enters the runner, as from a carburettor: "
     "it "
     "cools the air and takes its place."},
    {"combustion", "evaporated_in_cylinder", number, D::none, may,
     default_of<&CombustionSpecification::evaporated_in_cylinder>(), "0", "1", "0.3",
     "Share of the fuel that evaporates as the charge enters the cylinder. What neither share "
     "holds "
     "is taken to evaporate as it burns."},
    {"combustion", "efficiency", number, D::none, may,
     default_of<&CombustionSpecification::efficiency>(), "0.5", "1", "0.92",
     "Part of the fuel's heat that is released (fuel that lacks air is taken off separately)."},
    {"combustion", "burned_50", valve_event, D::angle, may,
     default_of<&CombustionSpecification::burned_50_deg>("deg ATDC"), "", "", R"("8 deg ATDC")",
     "Crank angle at which 50 % of the charge has burned, BTDC or ATDC.", "", "half_burnt"},
    {"combustion", "duration", quantity, D::angle, may,
     default_of<&CombustionSpecification::duration_deg>("deg"), "10 deg", "150 deg", R"("50 deg")",
     "Burning duration at the reference speed (Wiebe function, 0 to 99.3 %)."},
    {"combustion", "reference_speed", quantity, D::rotation, may,
     default_of<&CombustionSpecification::reference_speed>("rpm"), "500 rpm", "20000 rpm",
     R"("6000 rpm")", "Speed at which duration holds."},
    {"combustion", "duration_exponent", number, D::none, may,
     default_of<&CombustionSpecification::duration_exponent>(), "0", "1", "0.3",
     "Duration grows with (speed / reference speed) to this power."},
    {"combustion", "wiebe_a", number, D::none, may, default_of<&CombustionSpecification::wiebe_a>(),
     "1", "10", "5", "Constant a of the Wiebe function."},
    {"combustion", "wiebe_m", number, D::none, may, default_of<&CombustionSpecification::wiebe_m>(),
     "0.5", "6", "2", "Exponent m of the Wiebe function."},

    {"cylinder_heat", "law", choice, D::none, may, default_of<&CylinderHeatSpecification::law>(),
     "", "", R"("woschni")", "Correlation for the heat transfer coefficient.", "woschni annand"},
    {"cylinder_heat", "multiplier", number, D::none, may,
     default_of<&CylinderHeatSpecification::multiplier>(), "0", "5", "1",
     "Factor on the heat transfer coefficient."},
    {"cylinder_heat", "head_temperature", quantity, D::temperature, may,
     default_of<&CylinderHeatSpecification::head_temperature>("K"), "250 K", "800 K", R"("480 K")",
     "Mean surface temperature of the head."},
    {"cylinder_heat", "piston_temperature", quantity, D::temperature, may,
     default_of<&CylinderHeatSpecification::piston_temperature>("K"), "250 K", "800 K",
     R"("520 K")", "Mean surface temperature of the piston crown."},
    {"cylinder_heat", "liner_temperature", quantity, D::temperature, may,
     default_of<&CylinderHeatSpecification::liner_temperature>("K"), "250 K", "800 K", R"("420 K")",
     "Mean surface temperature of the liner."},

    {"friction", "constant", quantity, D::pressure, may,
     default_of<&FrictionSpecification::a>("bar"), "0 bar", "5 bar", R"("0.4 bar")",
     "a in FMEP = a + b p_max + c S_p + d S_p2 (form of Chen and Flynn 1965), S_p the mean piston "
     "speed."},
    {"friction", "per_peak_pressure", number, D::none, may, default_of<&FrictionSpecification::b>(),
     "0", "0.05", "0.005", "b, on the peak cylinder pressure.", "", "peak_pressure_share"},
    {"friction", "per_speed", quantity, D::pressure_per_speed, may,
     default_of<&FrictionSpecification::c>("bar s/m"), "0 bar s/m", "1 bar s/m",
     R"("0.09 bar s/m")", "c, on the mean piston speed."},
    {"friction", "per_speed_squared", quantity, D::pressure_per_speed_squared, may,
     default_of<&FrictionSpecification::d>("bar s2/m2"), "0 bar s2/m2", "0.05 bar s2/m2",
     R"("0.0009 bar s2/m2")", "d, on its square."},

    // ------------------------------------------------------------------ intake
    {"intake", "source", choice, D::none, may, "atmosphere", "", "", R"("atmosphere")",
     "What the runners draw from: atmosphere, each by itself (individual throttles), or a plenum "
     "that couples them, behind one throttle.",
     "atmosphere plenum"},
    {"intake", "length", quantity, D::length, must, "", "20 mm", "2 m", R"("290 mm")",
     "Centreline length of a runner from its entry to the valve, port included."},
    {"intake", "entry_diameter", quantity, D::length, must, "", "5 mm", "200 mm", R"("52 mm")",
     "Inside diameter at the entry, behind the bellmouth.", "", "mouth_diameter"},
    {"intake", "valve_diameter", quantity, D::length, may, "", "5 mm", "200 mm", R"("47 mm")",
     "Diameter of the port at the valve; straight taper between. Left out: as the entry. For a "
     "port with several valves or that is not round: the circle of the same area."},
    {"intake", "entry_loss", number, D::none, may, "0.03", "0", "2", "0.03",
     "Loss of the entry when gas flows in, in units of rho u2 / 2: about 0.03 for a bellmouth, "
     "0.5 for a sharp edge."},
    {"intake", "entry_area_ratio", number, D::none, may,
     default_of<&OpenEndSpecification::effective_area_ratio>(), "0.05", "1", "0.95",
     "Free part of the entry's area (an open throttle plate in each runner leaves about 0.95).", "",
     "mouth_area_ratio"},
    {"intake", "roughness", quantity, D::length, may, "0.01 mm", "0 mm", "1 mm", R"("0.01 mm")",
     "Roughness of the runner's wall."},
    {"intake", "wall_temperature", quantity, D::temperature, may, "50 degC", "-40 degC", "300 degC",
     R"("50 degC")", "Temperature of the runner's wall."},
    {"intake", "plenum_volume", quantity, D::volume, may, "", "0.05 L", "200 L", R"("6 L")",
     "Volume of the plenum. Needed with source = \"plenum\"."},
    {"intake", "throttle_area", quantity, D::area, may, "", "1 mm2", "1000 cm2", R"("45 cm2")",
     "Effective area of the throttle body or carburettor, wide open: of the whole with a plenum, "
     "which needs it, of one runner without. Either this or throttle_flow."},
    {"intake", "throttle_flow", quantity, D::volume_flow, may, "", "1 cfm", "5000 cfm",
     R"("850 cfm")",
     "What it flows of air of 20 degC and 1 atm at throttle_drop, in place of throttle_area."},
    {"intake", "throttle_drop", quantity, D::pressure, may, "", "0.1 inHg", "10 inHg",
     R"("1.5 inHg")",
     "Pressure difference of throttle_flow, which needs it. Carburettors with four barrels are "
     "rated at 1.5 inHg and those with two at 3.0 inHg of dry air; throttle bodies at either, or "
     "at 28 inH2O (common practice, no source)."},
    {"intake", "throttle_opening", number, D::none, may, default_of<&Intake::throttle_opening>(),
     "0.01", "1", "0.4",
     "Part throttle: part of the throttle's area that is open. Without throttle_area, of "
     "entry_area_ratio."},
    {"intake", "throttle_diameter", quantity, D::length, may, "", "5 mm", "300 mm", R"("1.75 in")",
     "Inside diameter of each barrel between air and plenum, for the inertia of the air in it; "
     "with throttle_length. Left out: the throttle is an orifice without length."},
    {"intake", "throttle_length", quantity, D::length, may, "", "20 mm", "1 m", R"("4 in")",
     "Length of the barrels, with the throat of the plenum."},
    {"intake", "throttle_count", integer, D::none, may, default_of<&Intake::throttle_count>(), "1",
     "16", "4", "Number of equal barrels."},
    {"intake", "air_box_volume", quantity, D::volume, may, "", "0.1 L", "1000 L", R"("12 L")",
     "Volume of an air box before the throttle, or before the runners where they draw from the "
     "atmosphere. Left out: none. A throttle between an air box and a plenum has barrels."},
    {"intake", "air_box_inlet_diameter", quantity, D::length, may, "", "5 mm", "500 mm",
     R"("100 mm")",
     "Inside diameter of the tube from outside into the air box; with air_box_inlet_length. "
     "Either this or air_box_inlet_area."},
    {"intake", "air_box_inlet_length", quantity, D::length, may, "", "20 mm", "5 m", R"("400 mm")",
     "Length of that tube."},
    {"intake", "air_box_inlet_loss", number, D::none, may, "0.5", "0", "20", "0.5",
     "Loss of that tube's entry, a filter included, in units of rho u2 / 2."},
    {"intake", "air_box_inlet_area", quantity, D::area, may, "", "1 mm2", "1 m2", R"("80 cm2")",
     "Effective area of an opening of the air box without a tube."},

    // ------------------------------------------------------------------ exhaust
    {"exhaust", "junction", choice, D::none, may, default_of<&models::JunctionSpecification::law>(),
     "", "", R"("momentum")",
     "How a merge is computed: momentum keeps the direction of every jet, constant_pressure has "
     "one pressure at all its ends, plenum lets them lose their kinetic energy.",
     junction_laws_in_order},
    {"exhaust", "merge_half_angle", quantity, D::angle, may, "12 deg", "0 deg", "90 deg",
     R"("12 deg")", "Angle between each entering tube and the axis of its collector."},
    {"exhaust", "roughness", quantity, D::length, may, "0.03 mm", "0 mm", "1 mm", R"("0.03 mm")",
     "Roughness of the tube's inside."},
    {"exhaust", "heat", choice, D::none, may, default_of<&PipeSpecification::heat>(), "", "",
     R"("manifold_correlation")",
     "Law of the heat transfer from the gas to the tube: manifold_correlation is fitted to engine "
     "manifolds (Depcik and Assanis), exhaust_correlation to an exhaust port (Malchow), "
     "reynolds_analogy holds in steady flow and gives about half as much.",
     "none reynolds_analogy exhaust_correlation manifold_correlation"},
    {"exhaust", "heat_multiplier", number, D::none, may,
     default_of<&PipeSpecification::heat_multiplier>(), "0", "10", "1.5",
     "Factor on the heat transfer coefficient."},
    {"exhaust", "finish", choice, D::none, may, "bare", "", "", R"("wrapped")",
     "Outside of the tubes, for the heat balance that gives the wall temperature; fixed takes "
     "wall_temperature as it is.",
     "bare wrapped coated fixed"},
    {"exhaust", "wall_temperature", quantity, D::temperature, may, "800 K", "250 K", "1400 K",
     R"("800 K")", "Wall temperature: fixed, or the first guess of the heat balance."},
    {"exhaust", "wall_thickness", quantity, D::length, may, "0.065 in", "0.3 mm", "10 mm",
     R"("1.65 mm")", "Wall of tubes whose size does not give it."},
    {"exhaust", "wall_conductivity", quantity, D::conductivity, may,
     default_of<&models::Wall::conductivity>("W/(m K)"), "1 W/(m K)", "400 W/(m K)",
     "\"25 W/(m K)\"", "Thermal conductivity of the tube's metal."},
    {"exhaust", "emissivity", number, D::none, may, default_of<&models::Wall::emissivity>(), "0",
     "1", "0.7", "Emissivity of the outer surface."},
    {"exhaust", "layer_thickness", quantity, D::length, may, "", "0.01 mm", "50 mm", R"("3 mm")",
     "Thickness of wrap or coating. Left out: 3 mm of wrap, 0.3 mm of coating."},
    {"exhaust", "layer_conductivity", quantity, D::conductivity, may, "", "0.01 W/(m K)",
     "20 W/(m K)", "\"0.1 W/(m K)\"",
     "Thermal conductivity of wrap or coating. Left out: 0.1 W/(m K) of wrap, 1 W/(m K) of "
     "coating."},
    {"exhaust", "outside_coefficient", quantity, D::heat_coefficient, may,
     default_of<&models::Wall::outside_coefficient>("W/(m2 K)"), "1 W/(m2 K)", "1000 W/(m2 K)",
     "\"30 W/(m2 K)\"", "Convection from the tube to the air outside."},
    {"exhaust", "outside_temperature", quantity, D::temperature, may, "", "-40 degC", "300 degC",
     R"("60 degC")", "Temperature of the air round the tubes. Left out: as ambient."},
    {"exhaust", "port_length", quantity, D::length, may, "0 mm", "0 mm", "500 mm", R"("75 mm")",
     "Length of the port in the head, from valve to flange. Comes on top of every tube length."},
    {"exhaust", "port_diameter", quantity, D::length, may, "", "5 mm", "200 mm", R"("41 mm")",
     "Diameter of that port at the flange (circle of the same area); the mean one where "
     "port_valve_diameter is left out. Needed with port_length."},
    {"exhaust", "port_valve_diameter", quantity, D::length, may, "", "5 mm", "200 mm", R"("38 mm")",
     "Diameter of that port at the valve; straight taper to port_diameter. Left out: as "
     "port_diameter."},
    {"exhaust", "port_transition", quantity, D::length, may, "15 mm", "0 mm", "200 mm",
     R"("15 mm")",
     "Length over which the port's diameter changes to the tube's, behind the flange. 0 mm: a "
     "sudden step, as of a tube that is larger than its port against reversion, with the loss of "
     "a sudden enlargement outward and of a sudden contraction inward."},
    {"exhaust", "port_wall_temperature", quantity, D::temperature, may,
     default_of<&PipeSpecification::cooled_temperature>("K"), "250 K", "900 K", R"("500 K")",
     "Temperature of the wall of that port, which the coolant holds: 450 to 550 K in a "
     "water-cooled head (common practice, no source). The tube's wall has its own, by finish."},
    {"exhaust", "outlet_spacing", quantity, D::length, may, "1.2 m", "0 m", "10 m", R"("1.2 m")",
     "Distance between the tails of neighbouring collectors, for sound."},
    {"exhaust", "bends", tables, D::none, may, "", "", "", example_bend,
     "Bends of every primary, unless the header names its own."},

    {"bend", "angle", quantity, D::angle, must, "", "1 deg", "360 deg", R"("90 deg")",
     "Angle turned."},
    {"bend", "radius", quantity, D::length, must, "", "5 mm", "5 m", R"("3 in")",
     "Radius of the centreline."},

    // ------------------------------------------------------------------ headers
    {"header", "name", text, D::none, must, "", "", "", R"("equal-length 32 in")",
     "Name in tables, reports and results: letters, digits, spaces and . _ + -, at most 40."},
    {"header", "notes", text, D::none, may, "", "", "", R"("clears the steering box")",
     "Anything worth remembering."},
    {"header", "kind", choice, D::none, must, "", "", "", R"("stepped-length")",
     "equal-length: every bank into its collector. 180-degree: tubes swapped between banks so that "
     "each collector takes every n-th cylinder of the firing order, on a cross-plane V8 one every "
     "180 deg. stepped-length: by bank, the leading cylinder of the two that fire closest has the "
     "shortest tube, the trailing one the longest. 4-2-1: by bank, two by two into secondaries, "
     "those into the collector. divided-collector: by bank, with a wall in the collector between "
     "the two that fire closest. network: pipes and junctions as listed. 6-2-1: six cylinders, "
     "three by three into two secondaries. 6-3-1: six cylinders, two by two into three. Both by "
     "bank where banks have six, else all six together. A bank of three or two, or all cylinders "
     "of a five or a twin, into one collector is equal-length.",
     "equal-length 180-degree stepped-length 4-2-1 divided-collector network 6-2-1 6-3-1", "",
     "equal crossed stepped paired divided"},
    {"header", "groups", integer_lists, D::none, may, "", "1", "16", "[[1, 4, 6, 7], [8, 3, 5, 2]]",
     "Cylinders of each collector, where they shall differ from what the kind gives."},
    {"header", "collector_order", integer_lists, D::none, may, "", "1", "16",
     "[[1, 5, 3, 7], [2, 8, 4, 6]]",
     "Cylinders of each collector as their tubes stand round it, clockwise seen from the flange; "
     "where a list begins does not matter. Left out: firing goes round, of a divided collector "
     "half by half. Not for kinds with secondaries, whose tubes have one place beside each "
     "other."},
    {"header", "secondaries", integer_lists, D::none, may, "", "1", "16",
     "[[1, 5], [3, 7], [2, 8], [4, 6]]",
     "Cylinders of each secondary of a 4-2-1, 6-2-1 or 6-3-1 header, one list for each. Left out: "
     "those that fire farthest apart share one."},
    {"header", "collectors", integer, D::none, may, "", "2", "8", "2",
     "Number of collectors of a 180-degree header. Left out: as many as banks."},
    {"header", "primary_tube", tube, D::length, may, "", "10 mm", "200 mm",
     R"("1-7/8 in OD, 16 ga")", "Tube of the primaries, from the flange on."},
    {"header", "primary_steps", tables, D::none, may, "", "", "",
     R"([{ at = "12 in", tube = "1-7/8 in OD, 16 ga" }])",
     "Tubes of another diameter that follow in every primary: a header with diameter steps."},
    {"header", "primary_length", quantity, D::length, may, "", "50 mm", "5 m", R"("32 in")",
     "Centreline length of every primary from the flange to the crotch of its merge, where its "
     "wall first meets that of its neighbour. Not for stepped-length."},
    {"header", "shortest", quantity, D::length, may, "", "50 mm", "5 m", R"("28 in")",
     "Shortest primary of a stepped-length header."},
    {"header", "longest", quantity, D::length, may, "", "50 mm", "5 m", R"("34 in")",
     "Longest primary of a stepped-length header. Either this or step."},
    {"header", "step", quantity, D::length, may, "", "1 mm", "1 m", R"("2 in")",
     "Difference between one primary of a stepped-length header and the next longer one."},
    {"header", "lengths", free_table, D::none, may, "", "", "", R"({ 3 = "30 in", 5 = "29.5 in" })",
     "Single primaries that differ in length alone: cylinder number and length."},
    {"header", "bends", tables, D::none, may, "", "", "", example_bend,
     "Bends of every primary; their arcs are no longer than the tube."},
    {"header", "primary", tables, D::none, may, "", "", "", "[[header.primary]]",
     "Primaries that differ from the others: cylinders, and what is different."},
    {"header", "port_transition", quantity, D::length, may, "", "0 mm", "200 mm", R"("0 mm")",
     "Length over which the port's diameter changes to that of this header's tubes; 0 mm is a "
     "sudden step at the flange. Left out: as [exhaust]."},
    {"header", "secondary_tube", tube, D::length, may, "", "10 mm", "300 mm",
     R"("2-1/4 in OD, 16 ga")", "Tube of the secondaries of a 4-2-1, 6-2-1 or 6-3-1 header."},
    {"header", "secondary_length", quantity, D::length, may, "", "50 mm", "5 m", R"("16 in")",
     "Centreline length of every secondary, from the crotch of its pair to that of its merge."},
    {"header", "collector_tube", tube, D::length, may, "", "10 mm", "400 mm",
     R"("3-1/2 in OD, 16 ga")", "Tube of the collector."},
    {"header", "collector_length", quantity, D::length, may, "", "20 mm", "5 m", R"("16 in")",
     "Length from the crotch, where the walls of neighbouring tubes first meet, to the end of the "
     "collector, inlet, neck, merge cone and divider included. The merge, where the pipes of the "
     "model meet, is "
     "placed behind the crotch by the program: the tubes become longer by it and the collector "
     "shorter, `check` prints by how much."},
    {"header", "merge_diameter", quantity, D::length, may, "", "10 mm", "400 mm", R"("2.8 in")",
     "Inside diameter where the tubes enter the collector. Smaller than the collector: the neck "
     "(choke) of a merge collector, behind which it opens. Larger: the wide end of a plain formed "
     "collector, which narrows to its outlet. Left out: as the collector. Whether a spike "
     "fills the space between the tubes the model does not see: its tubes meet as those with a "
     "sharp crotch do."},
    {"header", "merge_inlet_length", quantity, D::length, may, "0 mm", "0 mm", "1 m", R"("4 in")",
     "Length over which the tubes, drawn together behind the crotch, narrow from the area of all "
     "of them to merge_diameter, as those of a merge collector do. 0 mm: they enter the neck as it "
     "is; then a choked neck passes some per cent more than it can."},
    {"header", "merge_neck_length", quantity, D::length, may, "0 mm", "0 mm", "1 m", R"("1 in")",
     "Length of the straight part of merge_diameter, before the cone."},
    {"header", "merge_cone_length", quantity, D::length, may, "0 mm", "0 mm", "2 m", R"("6 in")",
     "Length of the taper from merge_diameter to the collector's diameter. Needed with "
     "merge_diameter."},
    {"header", "merge_half_angle", quantity, D::angle, may, "", "0 deg", "90 deg", R"("10 deg")",
     "Angle between each entering tube and the axis of its collector in this header. Left out: "
     "as [exhaust]."},
    {"header", "divider_length", quantity, D::length, may, "", "20 mm", "5 m", R"("6 in")",
     "Length of the wall in a divided collector, from the crotch."},
    {"header", "tail_tube", tube, D::length, may, "", "10 mm", "400 mm", R"("3 in OD, 16 ga")",
     "Tube behind the collector. Left out: the collector ends open."},
    {"header", "tail_length", quantity, D::length, may, "", "20 mm", "10 m", R"("24 in")",
     "Length of the tail, tail cone included."},
    {"header", "tail_cone_length", quantity, D::length, may, "50 mm", "1 mm", "2 m", R"("3 in")",
     "Length over which the collector's diameter changes to the tail's."},
    {"header", "shared_tail", flag, D::none, may, "false", "", "", "true",
     "true: all collectors meet in a Y and go on in one tail. Then collector_length goes to the "
     "crotch of the Y, and tail_length counts from it."},
    {"header", "balance", tables, D::none, may, "", "", "", "[[header.balance]]",
     "Balance pipes between the pipes behind two collectors."},
    {"header", "part", tables, D::none, may, "", "", "", "[[header.part]]",
     "What stands behind the end of every collector (of a tube that meets no other: behind its "
     "end), in the order in which the gas passes it."},
    {"header", "pipe", tables, D::none, may, "", "", "", "[[header.pipe]]",
     "Pipes of a network, at most 1000."},
    {"header", "junction", tables, D::none, may, "", "", "", "[[header.junction]]",
     "Junctions of a network."},
    {"header", "probe", tables, D::none, may, "", "", "", "[[header.probe]]",
     "Places at which the gas is recorded: pressure, velocity, temperature and mass flow over "
     "crank angle, or over time in a case of pipes only."},

    {"header", "path", tables, D::none, may, "", "", "", "[[header.path]]",
     "The way of a primary in space, for the cutting sheet; nothing of it is simulated."},

    {"header.path", "cylinder", integer, D::none, must, "", "1", "16", "3",
     "The cylinder whose primary this is."},
    {"header.path", "x", quantities, D::length, must, "", "-10 m", "10 m",
     R"(["0 in", "6 in", "6 in"])",
     "Of points along the tube's axis, from the flange to the collector: the two ends and, between "
     "them, where the axes of two straights meet. x, y and z at right angles, in any position."},
    {"header.path", "y", quantities, D::length, must, "", "-10 m", "10 m",
     R"(["0 in", "0 in", "-9 in"])", "Of the same points."},
    {"header.path", "z", quantities, D::length, must, "", "-10 m", "10 m",
     R"(["0 in", "0 in", "0 in"])", "Of the same points."},
    {"header.path", "bend_radius", quantity, D::length, may, "", "5 mm", "5 m", R"("3 in")",
     "Centreline radius of its bends. Left out: the largest that is to be had and fits."},

    {"header.primary", "cylinders", integers, D::none, must, "", "1", "16", "[3, 5]",
     "The cylinders whose primaries these are."},
    {"header.primary", "tube", tube, D::length, may, "", "10 mm", "200 mm", R"("2 in OD, 16 ga")",
     "Tube from the flange on. Left out: primary_tube."},
    {"header.primary", "length", quantity, D::length, may, "", "50 mm", "5 m", R"("30 in")",
     "Length, as primary_length. Left out: as the kind or lengths give it."},
    {"header.primary", "steps", tables, D::none, may, "", "", "",
     R"([{ at = "12 in", tube = "2 in OD, 16 ga" }])",
     "Tubes that follow. Left out: primary_steps, or none with a tube of its own."},
    {"header.primary", "bends", tables, D::none, may, "", "", "", example_bend,
     "Bends. Left out: as the other primaries."},

    {"step", "at", quantity, D::length, must, "", "25 mm", "5 m", R"("12 in")",
     "Where the tube begins: distance from the flange along the centreline. 25 mm at least from "
     "the flange, the next step and the crotch."},
    {"step", "tube", tube, D::length, must, "", "10 mm", "200 mm", R"("1-7/8 in OD, 16 ga")",
     "The tube that begins there."},
    {"step", "cone_length", quantity, D::length, may, "0 mm", "0 mm", "2 m", R"("2 in")",
     "Length of a cone at its beginning, 25 mm at least. 0 mm: a sudden step, with the loss of a "
     "sudden enlargement or contraction."},

    {"header.balance", "kind", choice, D::none, must, "", "", "", R"("H")",
     "H: a straight pipe from one side to the other. X: both pipes cross in one place.", "H X"},
    {"header.balance", "at", quantity, D::length, must, "", "-5 m", "10 m", R"("10 in")",
     "Where: distance of the balance pipe's axis behind the end of the collectors, along their "
     "tails; with a minus sign before it, in the collectors."},
    {"header.balance", "tube", tube, D::length, may, "", "10 mm", "400 mm",
     R"("2-1/4 in OD, 16 ga")", "Tube of an H. Needed there."},
    {"header.balance", "length", quantity, D::length, may, "", "40 mm", "3 m", R"("14 in")",
     "Length of an H, from wall to wall. Needed there."},
    {"header.balance", "half_angle", quantity, D::angle, may, "", "0 deg", "90 deg", R"("20 deg")",
     "Angle between each pipe and the axis of an X. Left out: merge_half_angle of [exhaust]."},

    {"header.part", "kind", choice, D::none, must, "", "", "", R"("catalyst")",
     "pipe: a tube. catalyst: a brick of many channels between two cones, with their laminar loss; "
     "no heat passes between gas and brick. straight-through: a muffler with a perforated core in "
     "a "
     "shell; packing is not modelled. chamber: an expansion chamber, one of a chambered muffler; "
     "its tubes may reach into it. quarter-wave: a closed tube on the side. helmholtz: a "
     "volume on the side, behind a neck. back-pressure: a loss by itself, from what was measured "
     "at a flow, for what is behind and not described. What the models hold for is in "
     "cases/tail_parts.hpp.",
     "pipe catalyst straight-through chamber quarter-wave helmholtz back-pressure"},
    {"header.part", "behind", text, D::none, may, "", "", "", R"("tail")",
     "Of a network, where it is needed: the pipe with an open end that the part comes behind. "
     "Parts "
     "behind the same pipe follow each other."},
    {"header.part", "tube", tube, D::length, may, "", "10 mm", "400 mm", R"("3 in OD, 16 ga")",
     "Tube of a pipe and of a back-pressure, core of a straight-through muffler, neck of a "
     "helmholtz, branch of a quarter-wave. The first three without it go on in the bore before."},
    {"header.part", "length", quantity, D::length, may, "", "10 mm", "10 m", R"("6 in")",
     "Of pipe, brick and perforated core; of a chamber between its end plates; of a branch or "
     "neck, to which end "
     "corrections are added by the program; of a back-pressure, over which it is spread (left out: "
     "200 mm)."},
    {"header.part", "diameter", quantity, D::length, may, "", "20 mm", "1 m", R"("4.66 in")",
     "Inside diameter of a chamber or shell, diameter of the brick of a catalyst. What is not "
     "round: circle of the same area."},
    {"header.part", "cone_length", quantity, D::length, may, "50 mm", "20 mm", "1 m", R"("2 in")",
     "Length of either cone of a catalyst."},
    {"header.part", "cells", quantity, D::cell_density, may, "", "20 cpsi", "2000 cpsi",
     R"("300 cpsi")", "Channels of a catalyst per area of its face."},
    {"header.part", "channel_wall", quantity, D::length, may, "", "0.01 mm", "2 mm", R"("2 thou")",
     "Thickness of the wall between channels, coating included."},
    {"header.part", "channels", choice, D::none, may, "square", "", "", R"("square")",
     "Shape of the channels.", "square round"},
    {"header.part", "hole_share", number, D::none, may, "0.3", "0.01", "0.5", "0.3",
     "Area of the holes of a perforated core over that of its wall (0.3: common practice, no "
     "source)."},
    {"header.part", "hole_diameter", quantity, D::length, may, "4 mm", "0.5 mm", "20 mm",
     R"("1/8 in")", "Diameter of those holes."},
    {"header.part", "core_wall", quantity, D::length, may, "1.2 mm", "0.3 mm", "5 mm",
     R"("1.2 mm")", "Thickness of a perforated core."},
    {"header.part", "inlet_inside", quantity, D::length, may, "0 mm", "0 mm", "5 m", R"("3 in")",
     "Length of the inlet tube that reaches into a chamber; 0, or 20 mm and more."},
    {"header.part", "outlet_inside", quantity, D::length, may, "0 mm", "0 mm", "5 m", R"("2 in")",
     "The same of the outlet tube, which has the bore of the inlet."},
    {"header.part", "volume", quantity, D::volume, may, "", "0.01 L", "1000 L", R"("2 L")",
     "Volume of a helmholtz, neck not included."},
    {"header.part", "pressure", quantity, D::pressure, may, "", "0.01 kPa", "200 kPa",
     R"("12 kPa")", "Back pressure above the air outside that was measured at the flow."},
    {"header.part", "mass_flow", quantity, D::mass_flow, may, "", "0.1 kg/h", "20000 kg/h",
     R"("600 kg/h")", "That flow. Either this or volume_flow."},
    {"header.part", "volume_flow", quantity, D::volume_flow, may, "", "1 cfm", "20000 cfm",
     R"("400 cfm")",
     "That flow at the pressure of the air outside and the temperature, as of a flow bench."},
    {"header.part", "temperature", quantity, D::temperature, may, "20 degC", "-40 degC",
     "1200 degC", R"("600 degC")", "Temperature of the gas of that flow."},

    {"header.pipe", "name", text, D::none, must, "", "", "", R"("primary 1")",
     "Name of the pipe, used once."},
    {"header.pipe", "from", text, D::none, must, "", "", "", R"("cylinder 1")",
     "Where the pipe begins: \"cylinder N\", \"junction NAME\", \"open\", \"closed\" or "
     "\"anechoic\". Exhaust pipes run with the gas."},
    {"header.pipe", "to", text, D::none, must, "", "", "", R"("junction M1")",
     "Where the pipe ends: \"junction NAME\", \"open\", \"closed\" or \"anechoic\"."},
    {"header.pipe", "tube", tube, D::length, may, "", "2 mm", "2 m", R"("1-7/8 in OD, 16 ga")",
     "Tube of a straight pipe. Either this or profile."},
    {"header.pipe", "length", quantity, D::length, may, "", "10 mm", "100 m", R"("32 in")",
     "Centreline length. Needed with tube; with profile the last point gives it."},
    {"header.pipe", "profile", tables, D::none, may, "", "", "",
     R"([{ at = "0 mm", diameter = "45 mm" }, { at = "300 mm", diameter = "80 mm" }])",
     "Inside diameter along the pipe, straight taper between the points."},
    {"header.pipe", "bends", tables, D::none, may, "", "", "", example_bend, "Bends of this pipe."},
    {"header.pipe", "roughness", quantity, D::length, may, "", "0 mm", "5 mm", R"("0.03 mm")",
     "Roughness. Left out: as [exhaust]."},
    {"header.pipe", "hydraulic_ratio", number, D::none, may,
     default_of<&PipeSpecification::hydraulic_ratio>(), "0.05", "1", "0.86",
     "Hydraulic diameter / diameter of the circle of the same area, for pipes that are not round."},
    {"header.pipe", "extra_loss", number, D::none, may,
     default_of<&PipeSpecification::extra_loss>(), "0", "100", "0.5",
     "Further loss coefficient, in units of rho u2 / 2, spread over the pipe."},
    {"header.pipe", "friction", flag, D::none, may, default_of<&PipeSpecification::friction>(), "",
     "", "false", "false switches wall friction off."},
    {"header.pipe", "heat", choice, D::none, may, "", "", "", R"("none")",
     "Law of heat transfer. Left out: as [exhaust].",
     "none reynolds_analogy exhaust_correlation manifold_correlation"},
    {"header.pipe", "wall_temperature", quantity, D::temperature, may, "", "100 K", "2000 K",
     R"("600 K")", "Fixed wall temperature. Left out: by the finish of [exhaust]."},
    {"header.pipe", "initial_pressure", quantity, D::pressure, may, "", "0.001 bar", "200 bar",
     R"("3 bar")", "Pressure at the start. Left out: ambient."},
    {"header.pipe", "initial_temperature", quantity, D::temperature, may, "", "100 K", "3000 K",
     R"("900 K")", "Temperature at the start. Left out: ambient."},
    {"header.pipe", "initial_burnt", number, D::none, may,
     default_of<&PipeSpecification::initial_burnt>(), "0", "1", "1",
     "Mass fraction of burnt gas at the start."},
    {"header.pipe", "from_angle", quantity, D::angle, may, "", "0 deg", "180 deg", R"("0 deg")",
     "Direction at the junction the pipe begins at: angle from the junction's axis. 0 = leaves "
     "along the axis. Left out: 0 where one pipe leaves, else merge_half_angle."},
    {"header.pipe", "from_clock", quantity, D::angle, may, "", "0 deg", "360 deg", R"("90 deg")",
     "Place round that axis. Left out: evenly round it, in the order of the list."},
    {"header.pipe", "to_angle", quantity, D::angle, may, "", "0 deg", "180 deg", R"("12 deg")",
     "Direction at the junction the pipe ends at: angle between the incoming pipe and the "
     "junction's axis. 0 = enters along the axis. Left out: 0 where one pipe enters, else "
     "merge_half_angle."},
    {"header.pipe", "to_clock", quantity, D::angle, may, "", "0 deg", "360 deg", R"("180 deg")",
     "Place round that axis. Left out: evenly round it, in the order of the list."},
    {"header.pipe", "from_direction", numbers, D::none, may, "", "-1", "1", "[1.0, 0.0, 0.0]",
     "Unit vector from the junction into the pipe, instead of from_angle and from_clock."},
    {"header.pipe", "to_direction", numbers, D::none, may, "", "-1", "1", "[-1.0, 0.0, 0.0]",
     "Unit vector from the junction into the pipe, instead of to_angle and to_clock."},
    {"header.pipe", "open_area_ratio", number, D::none, may,
     default_of<&OpenEndSpecification::effective_area_ratio>(), "0.001", "1", "0.5",
     "Free fraction of the area of an open end (an orifice plate)."},
    {"header.pipe", "entry_loss", number, D::none, may, "0.5", "0", "2", "0.5",
     "Loss of an open end when gas flows in, in units of rho u2 / 2."},
    {"header.pipe", "end_correction", flag, D::none, may,
     default_of<&OpenEndSpecification::end_correction>(), "", "", "false",
     "false leaves out what the air outside adds to an open end: its inertia and the sound that it "
     "carries away."},
    {"header.pipe", "outlet", quantities, D::length, may, "", "-100 m", "100 m",
     R"(["0 m", "0.6 m", "0 m"])", "Position of an open end (x, y, z), for sound."},

    {"profile", "at", quantity, D::length, must, "", "0 mm", "100 m", R"("0 mm")",
     "Distance from the pipe's beginning, rising from 0."},
    {"profile", "diameter", quantity, D::length, must, "", "2 mm", "2 m", R"("45 mm")",
     "Inside diameter there."},

    {"header.junction", "name", text, D::none, must, "", "", "", R"("M1")",
     "Name of the junction, used once."},
    {"header.junction", "law", choice, D::none, may, "", "", "", R"("plenum")",
     "How it is computed. Left out: as [exhaust].", junction_laws_in_order},
    {"header.junction", "volume", quantity, D::volume, may, "", "1 cm3", "10 m3", R"("2 L")",
     "Volume. Left out: largest pipe area times half its diameter, with the momentum law 0.12 of "
     "it."},
    {"header.junction", "vent_area", quantity, D::area, may,
     default_of<&models::JunctionSpecification::vent_area>("mm2"), "0 mm2", "1 m2", R"("20 cm2")",
     "Effective area of a vent to the atmosphere; 0 = none.", "", "opening_area"},

    {"header.probe", "pipe", text, D::none, must, "", "", "", R"("primary 1")",
     "Name of the pipe: of a network as it is called there; otherwise primary, secondary, half, "
     "collector, tail or runner with the cylinders or the collector it belongs to, as `run` lists "
     "them. A primary with a sudden step goes on as step 1 of primary 3, one with a step at the "
     "flange begins as port 3."},
    {"header.probe", "distance", quantity, D::length, must, "", "0 mm", "100 m", R"("300 mm")",
     "Distance from the beginning of the pipe. A primary begins at the valve, with the port in the "
     "head, unless there is a sudden step at the flange; every other exhaust pipe at its merge, a "
     "runner at its entry."},
    {"header.probe", "name", text, D::none, may, "", "", "", R"("before the merge")",
     "Name in the results. Left out: pipe and distance."},

    // ------------------------------------------------------------------ run and build
    {"run", "from", quantity, D::rotation, may, "", "300 rpm", "30000 rpm", R"("3000 rpm")",
     "Lowest speed. from, to and step, or speeds."},
    {"run", "to", quantity, D::rotation, may, "", "300 rpm", "30000 rpm", R"("7500 rpm")",
     "Highest speed."},
    {"run", "step", quantity, D::rotation, may, "", "1 rpm", "10000 rpm", R"("250 rpm")",
     "From one speed to the next."},
    {"run", "speeds", quantities, D::rotation, may, "", "300 rpm", "30000 rpm",
     R"(["4000 rpm", "5000 rpm", "6000 rpm"])", "Speeds one by one, rising."},
    {"run", "band_from", quantity, D::rotation, may, "", "300 rpm", "30000 rpm", R"("4500 rpm")",
     "Lower end of the band over which headers are judged. Left out: the lowest speed."},
    {"run", "band_to", quantity, D::rotation, may, "", "300 rpm", "30000 rpm", R"("7000 rpm")",
     "Upper end of that band. Left out: the highest speed."},
    {"run", "added_speeds", integer, D::none, may, "6", "0", "100", "6",
     "Most speeds that `compare` adds within the band where the difference of two headers bends, "
     "until its mean is known to 0.5 N m."},
    {"run", "duration", quantity, D::time, may, "", "0.000001 s", "100 s", R"("5 ms")",
     "Time that a case of pipes only is followed. Needed there."},
    {"run", "cell_size", quantity, D::length, may, default_of<&PipeSpecification::cell_size>("mm"),
     "0.5 mm", "100 mm", R"("10 mm")", "Length of a grid cell."},
    {"run", "courant", number, D::none, may, default_of<&RunSettings::courant>(), "0.05", "0.95",
     "0.9", "Courant number of the time step."},
    {"run", "method", choice, D::none, may, default_of<&RunSettings::method>(), "", "",
     R"("characteristics")",
     "How the gas in the pipes is computed. The method of characteristics is a second opinion "
     "where no strong shock runs; it does not keep mass and energy exactly, see the ledger.",
     "finite_volumes characteristics"},
    {"run", "same_parts", choice, D::none, may, default_of<&RunSettings::same_parts>(), "", "",
     R"("each")",
     "Parts of the engine that no pipe, plenum or junction joins and that are the same but for a "
     "shift of crank angle, as the banks of a V8 with runners from the air, separate collectors "
     "and tails: computed once for all of them, or each by itself.",
     "once each"},
    {"run", "tolerance", number, D::none, may, default_of<&RunSettings::tolerance>(),
     "0.0000000001", "0.1", "0.001",
     "Relative change from cycle to cycle below which a point counts as repeating."},
    {"run", "least_cycles", integer, D::none, may, "4", "2", "1000", "4",
     "Cycles that are always computed; one fewer, two at least, where a run starts from another "
     "one, as in `compare`."},
    {"run", "most_cycles", integer, D::none, may, default_of<&RunSettings::most_cycles>(), "2",
     "1000", "100",
     "Cycles after which a point that does not repeat is given up. It is given up sooner where the "
     "changes from cycle to cycle no longer fall: after two fifths of them, 40 at least."},
    {"run", "trace_points", integer, D::none, may, default_of<&RunSettings::trace_points>(), "36",
     "7200", "720", "Points per cycle of the stored traces."},
    {"run", "wave_speeds", quantities, D::rotation, may, "", "300 rpm", "30000 rpm",
     R"(["6000 rpm"])",
     "Speeds whose wave diagram is stored: each must be one of the speeds, once."},
    {"run", "wave_cylinder", integer, D::none, may, "1", "1", "16", "1",
     "Cylinder whose path the wave diagram shows."},
    {"run", "wave_angles", integer, D::none, may, default_of<&RunSettings::wave_angles>(), "36",
     "3600", "360", "Rows of the wave diagram."},

    {"build", "tolerance", quantity, D::length, may, "1/4 in", "0 mm", "100 mm", R"("1/4 in")",
     "Accuracy of the length of every primary."},
    {"build", "bend_radii", quantities, D::length, may, "", "5 mm", "5 m",
     R"(["2-1/2 in", "3 in", "4 in"])",
     "Centreline radii in which mandrel bends are to be had, for the cutting sheet. Left out: as "
     "vendors list them for the size of the tube."},
    {"build", "bend_angles", quantities, D::angle, may, "", "10 deg", "180 deg",
     R"(["90 deg", "180 deg"])", "Angles of bends as they are sold. Left out: 45, 90 and 180 deg."},
    {"build", "cut_allowance", quantity, D::length, may, "1/8 in", "0 mm", "50 mm", R"("3 mm")",
     "What each cut takes, saw and dressing, when tube is ordered."},

    // ------------------------------------------------------------------ dyno
    {"dyno", "header", text, D::none, must, "", "", "", R"("equal-length")",
     "Name of the header that was on the engine."},
    {"dyno", "correction", choice, D::none, must, "", "", "", R"("sae-j607")",
     "Standard to which the files are corrected already; none = torque and power as observed, "
     "which "
     "needs pressure and temperature. sae-j607 is the older one that dynamometers call STD.",
     "none sae-j1349 iso-1585 sae-j607 din-70020"},
    {"dyno", "pressure", quantity, D::pressure, may, "", "0.5 bar", "1.2 bar", R"("29.4 inHg")",
     "Pressure of the air during the pulls, at the place (not reduced to sea level)."},
    {"dyno", "temperature", quantity, D::temperature, may, "", "-40 degC", "60 degC",
     R"("24 degC")", "Temperature of the air that the engine drew."},
    {"dyno", "relative_humidity", number, D::none, may, "0", "0", "1", "0.45",
     "Part of the saturation pressure of water that its vapour in this air had."},
    {"dyno", "columns", table, D::none, must, "", "", "", "[dyno.columns]",
     "Headings of the columns, as they stand in the files."},
    {"dyno", "units", table, D::none, may, "", "", "", "[dyno.units]",
     "Units of the columns, where the files do not name them in brackets in the heading or in a "
     "row "
     "below."},
    {"dyno", "pull", tables, D::none, must, "", "", "", "[[dyno.pull]]",
     "The files, one for each pull: comma, semicolon or tab between the columns, a point in "
     "numbers, # before comments."},

    {"dyno.columns", "speed", text, D::none, must, "", "", "", R"("RPM")", "Engine speed."},
    {"dyno.columns", "torque", text, D::none, may, "", "", "", R"("Torque")",
     "Torque at the crankshaft. Either this or power, or both."},
    {"dyno.columns", "power", text, D::none, may, "", "", "", R"("Power")",
     "Power at the crankshaft; used where there is no torque."},
    {"dyno.columns", "air_flow", text, D::none, may, "", "", "", R"("Air")",
     "Air of the whole engine, as mass flow, or as volume flow in the air of the day."},
    {"dyno.columns", "fuel_flow", text, D::none, may, "", "", "", R"("Fuel")",
     "Fuel of the whole engine."},
    {"dyno.columns", "exhaust_temperature", text, D::none, may, "", "", "", R"("EGT")",
     "Temperature of the exhaust gas, a mean over the cylinders."},
    {"dyno.units", "speed", text, D::none, may, "", "", "", R"("rpm")", "Of engine speed."},
    {"dyno.units", "torque", text, D::none, may, "", "", "", R"("lb ft")", "Of torque."},
    {"dyno.units", "power", text, D::none, may, "", "", "", R"("hp")", "Of power."},
    {"dyno.units", "air_flow", text, D::none, may, "", "", "", R"("cfm")", "Of the air."},
    {"dyno.units", "fuel_flow", text, D::none, may, "", "", "", R"("lb/h")", "Of the fuel."},
    {"dyno.units", "exhaust_temperature", text, D::none, may, "", "", "", R"("degF")",
     "Of the exhaust gas."},

    {"dyno.pull", "file", text, D::none, must, "", "", "", R"("pull1.csv")",
     "A file of one pull, from the folder of this file on."},
    {"dyno.pull", "pressure", quantity, D::pressure, may, "", "0.5 bar", "1.2 bar",
     R"("29.4 inHg")", "Left out: as the pulls of the table."},
    {"dyno.pull", "temperature", quantity, D::temperature, may, "", "-40 degC", "60 degC",
     R"("24 degC")", "Likewise."},
    {"dyno.pull", "relative_humidity", number, D::none, may, "", "0", "1", "0.45", "Likewise."},

    {"sound", "microphone", quantities, D::length, may, "", "-100 m", "100 m",
     R"(["5.3 m", "5.3 m", "0.9 m"])",
     "Place of the microphone (x, y, z): x the way the tails point, y across, z up. The outlets "
     "lie at "
     "x = z = 0, outlet_spacing apart in y about the middle, unless the pipe of a network gives "
     "its "
     "outlet. Left out: distance and angle."},
    {"sound", "distance", quantity, D::length, may,
     default_of<&ListeningSpecification::distance>("m"), "0.1 m", "100 m", R"("7.5 m")",
     "Distance of the microphone from the outlet with the largest y, at its height. 0.5 m at 45 "
     "deg is "
     "the stationary test of ISO 5130 and SAE J1492."},
    {"sound", "angle", quantity, D::angle, may,
     default_of<&ListeningSpecification::angle_deg>("deg"), "-180 deg", "180 deg", R"("45 deg")",
     "Angle of that way to the axis of the tail, outward."},
    {"sound", "outlet_height", quantity, D::length, may,
     default_of<&ListeningSpecification::outlet_height>("m"), "0 m", "100 m", R"("0.3 m")",
     "Height of z = 0 above the ground."},
    {"sound", "ground_reflection", number, D::none, may,
     default_of<&ListeningSpecification::ground_reflection>(), "0", "1", "0.6",
     "Part of the sound pressure that the ground throws back: 1 asphalt and concrete, 0 no "
     "ground."},

    // ------------------------------------------------------------------ tune
    {"tune", "header", text, D::none, may, "", "", "", R"("equal-length")",
     "Name of the header that the search begins with. Left out: the first."},
    {"tune", "vary", tables, D::none, may, "", "", "", "[[tune.vary]]",
     "What may change, one table each. Left out, sweep needs --vary."},
    {"tune", "fits", tables, D::none, may, "", "", "", "[[tune.fits]]",
     "Between which lengths single primaries fit the car, whatever the others are."},
    {"tune", "weight_mean", number, D::none, may, "1", "0", "100", "1",
     "How much the mean torque over the band counts. All aims are torques, so that weights of 1 "
     "and 0.5 say that 1 N m of the one is worth 2 N m of the other."},
    {"tune", "weight_dip", number, D::none, may, "0", "0", "100", "0.5",
     "How much the deepest dip of torque within the band counts: how far torque falls and comes "
     "back."},
    {"tune", "weight_top", number, D::none, may, "0", "0", "100", "0.5",
     "How much torque at the upper end of the band counts, where it makes the power."},
    {"tune", "weight_shift", number, D::none, may, "0", "0", "100", "0.5",
     "How much torque at shift_speed counts."},
    {"tune", "shift_speed", quantity, D::rotation, may, "", "300 rpm", "30000 rpm", R"("5200 rpm")",
     "Speed to which the engine falls at a shift. Needed with weight_shift."},
    {"tune", "designs", integer, D::none, may, "300", "10", "100000", "500",
     "Most designs that tune computes."},
    {"tune", "seed", integer, D::none, may, "1", "0", "1000000", "1",
     "Where the random numbers of tune and tolerance begin: the same seed, the same result."},

    {"tune.vary", "part", choice, D::none, must, "", "", "", R"("primary_length")",
     "primary_length: mean length of the primaries named by cylinders, whose differences stay. "
     "primary_span: of each collector longest less shortest primary, stepped as those of a "
     "stepped-length header. step_at: place of the first step of the primaries. collector_order: "
     "order of the tubes round each collector, all of them. The others: as these keys of "
     "[[header]].",
     "primary_length primary_span primary_tube step_at secondary_length secondary_tube "
     "collector_length collector_tube merge_diameter tail_length tail_tube collector_order"},
    {"tune.vary", "cylinders", integers, D::none, may, "", "1", "16", "[1, 3]",
     "Of primary_length and primary_tube: whose primaries. Left out: all."},
    {"tune.vary", "from", quantity, D::length, may, "", "0 mm", "10 m", R"("28 in")",
     "Smallest length. Needed with to, for every part that is a length."},
    {"tune.vary", "to", quantity, D::length, may, "", "0 mm", "10 m", R"("36 in")",
     "Largest length: what fits the car."},
    {"tune.vary", "tubes", tubes, D::length, may, "", "10 mm", "400 mm",
     R"(["1-3/4 in OD, 16 ga", "1-7/8 in OD, 16 ga"])",
     "Stock sizes to choose from, of every part that is a tube, among them that of the header. "
     "Left "
     "out: outside diameters in steps of 1/8 in, two smaller and two larger, with the wall that "
     "the "
     "tube has."},

    {"tune.fits", "cylinders", integers, D::none, must, "", "1", "16", "[3, 5]",
     "The cylinders whose primaries these are."},
    {"tune.fits", "shortest", quantity, D::length, may, "50 mm", "50 mm", "5 m", R"("27 in")",
     "Shortest that their primaries can be."},
    {"tune.fits", "longest", quantity, D::length, may, "5 m", "50 mm", "5 m", R"("31 in")",
     "Longest that their primaries can be."},
};

constexpr SectionText texts[] = {
    {"", "Top of the file"},
    {"ambient", "`[ambient]`: the air outside"},
    {"engine", "`[engine]`: cylinders, crank and firing order"},
    {"cam", "`[cam]`: what the cam card says of both valves"},
    {"valve", "`[exhaust_valve]` and `[intake_valve]`"},
    {"valve.cam", "`[exhaust_valve.cam]` and `[intake_valve.cam]`: the cam card"},
    {"valve.lift_table", "`[exhaust_valve.lift_table]` and `[intake_valve.lift_table]`"},
    {"valve.flow", "`[exhaust_valve.flow]` and `[intake_valve.flow]`: the flow bench"},
    {"combustion", "`[combustion]`: fuel and burning"},
    {"cylinder_heat", "`[cylinder_heat]`: heat to the cylinder walls"},
    {"friction", "`[friction]`: mechanical friction"},
    {"intake", "`[intake]`: runners, plenum, throttle and air box"},
    {"exhaust", "`[exhaust]`: what all exhaust pipes share"},
    {"bend", "One bend, in `bends`"},
    {"header", "`[[header]]`: a header"},
    {"header.primary", "`[[header.primary]]`: primaries that differ"},
    {"header.path", "`[[header.path]]`: the way of a primary in space"},
    {"step", "One step of a primary, in `primary_steps` or `steps`"},
    {"header.balance", "`[[header.balance]]`: a balance pipe"},
    {"header.part", "`[[header.part]]`: what stands behind a collector"},
    {"header.pipe", "`[[header.pipe]]`: a pipe of a network"},
    {"profile", "One point of a pipe's `profile`"},
    {"header.junction", "`[[header.junction]]`: a junction of a network"},
    {"header.probe", "`[[header.probe]]`: a place at which the gas is recorded"},
    {"run", "`[run]`: speeds, grid and convergence"},
    {"build", "`[build]`: how exactly the header will be made"},
    {"dyno", "`[[dyno]]`: measured pulls of a header"},
    {"dyno.columns", "`[dyno.columns]`: headings of the columns of the files"},
    {"dyno.units", "`[dyno.units]`: their units"},
    {"dyno.pull", "`[[dyno.pull]]`: one pull"},
    {"sound", "`[sound]`: where the exhaust is heard"},
    {"tune", "`[tune]`: what a search may change"},
    {"tune.vary", "`[[tune.vary]]`: one thing that may change"},
    {"tune.fits", "`[[tune.fits]]`: what fits the car"},
};

}  // namespace table_of_keys
}  // namespace

std::span<const Parameter> parameters() { return table_of_keys::entries; }
std::span<const SectionText> sections() { return table_of_keys::texts; }

}  // namespace pulsewright::cases
