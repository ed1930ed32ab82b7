// Wrong case files: every one is refused with file, line, key, value, what is allowed and what to
// do. One row per mistake; each row changes a good text in one place. Over 400 lines because the
// rows are one table.
#include <algorithm>
#include <cstdio>
#include <cstdlib>
#include <doctest/doctest.h>
#include <filesystem>
#include <fstream>
#include <string>
#include <sys/stat.h>
#include <unistd.h>

#include "cases/case_reader.hpp"
#include "cases/parameter_table.hpp"
#include "tests/cases/case_sample.hpp"

using namespace pulsewright::cases;
using pulsewright::tests::contains;
using pulsewright::tests::line_of;
using pulsewright::tests::replaced;
using pulsewright::tests::sample_pipes;
using pulsewright::tests::sample_text;

namespace {

struct Row {
  const char* from;  // in the good text
  const char* to;    // what stands there instead; the mistake is on the line of `at`
  const char* at;    // "" = the line of `to`
  const char* key;
  const char* value;  // part of the value shown; "" = none
  const char* says;   // part of message, allowed values or advice
};

const Row engine_rows[] = {
    // units and kinds
    {"bore = \"102 mm\"", "bore = 102", "", "engine.bore", "102", "bare number"},
    {"bore = \"102 mm\"", "bore = \"102\"", "", "engine.bore", "\"102\"", "has no unit"},
    {"bore = \"102 mm\"", "bore = \"102 bar\"", "", "engine.bore", "\"102 bar\"",
     "unit of pressure; a length"},
    {"bore = \"102 mm\"", "bore = \"102 mmm\"", "", "engine.bore", "\"102 mmm\"",
     "did you mean 'mm'"},
    {"bore = \"102 mm\"", "bore = \"-102 mm\"", "", "engine.bore", "\"-102 mm\"",
     "from 20 mm to 300 mm"},
    {"bore = \"102 mm\"", "bore = \"102 in\"", "", "engine.bore", "\"102 in\"", "more than 300 mm"},
    {"bore = \"102 mm\"", "bore = \"1e999 mm\"", "", "engine.bore", "1e999",
     "not a number this program can hold"},
    {"bore = \"102 mm\"", "bore = true", "", "engine.bore", "true", "not a text in quotes"},
    {"bore = \"102 mm\"", "bore = \"1,02 m\"", "", "engine.bore", "1,02", "not a comma"},
    {"bore = \"102 mm\"", "bore = nan", "", "engine.bore", "nan", "bare number"},
    {"compression_ratio = 12.0", "compression_ratio = nan", "", "engine.compression_ratio", "nan",
     "not a finite number"},
    {"compression_ratio = 12.0", "compression_ratio = inf", "", "engine.compression_ratio", "inf",
     "not a finite number"},
    {"compression_ratio = 12.0", "compression_ratio = 1.0", "", "engine.compression_ratio", "1",
     "less than 4"},
    {"compression_ratio = 12.0", "compression_ratio = \"12\"", "", "engine.compression_ratio",
     "\"12\"", "not a plain number"},
    {"invented = true", "invented = \"yes\"", "", "invented", "\"yes\"", "true or false"},
    {"title = \"sample\"", "title = 3", "", "title", "3", "text in quotes"},
    // measured pulls
    {"[run]",
     "[[dyno]]\nheader = \"equal-lenght\"\ncorrection = \"none\"\npressure = \"1 "
     "bar\"\ntemperature = \"20 degC\"\ncolumns = { speed = \"n\", torque = \"M\" }\npull = [{ "
     "file = \"a.csv\" }]\n[run]",
     "header = \"equal-lenght", "dyno[1].header", "equal-lenght", "did you mean"},
    {"[run]",
     "[[dyno]]\nheader = \"equal-length\"\ncorrection = \"std\"\npressure = \"1 bar\"\ntemperature "
     "= \"20 degC\"\ncolumns = { speed = \"n\", torque = \"M\" }\npull = [{ file = \"a.csv\" "
     "}]\n[run]",
     "correction", "dyno[1].correction", "std", "sae-j607"},
    {"[run]",
     "[[dyno]]\nheader = \"equal-length\"\ncorrection = \"none\"\ntemperature = \"20 "
     "degC\"\ncolumns = { speed = \"n\", torque = \"M\" }\npull = [{ file = \"a.csv\" }]\n[run]",
     "file", "dyno[1].pull[1].pressure", "", "says nothing without the air"},
    {"[run]",
     "[[dyno]]\nheader = \"equal-length\"\ncorrection = \"none\"\npressure = \"1 "
     "bar\"\ntemperature = \"20 degC\"\ncolumns = { speed = \"n\" }\npull = [{ file = \"a.csv\" "
     "}]\n[run]",
     "columns", "dyno[1].columns.torque", "", "and so is power"},
    {"[run]",
     "[[dyno]]\nheader = \"equal-length\"\ncorrection = \"none\"\npressure = \"1 "
     "bar\"\ntemperature = \"20 degC\"\nunits = { torque = \"mm\" }\ncolumns = { speed = \"n\", "
     "torque = \"M\" }\npull = [{ file = \"a.csv\" }]\n[run]",
     "units", "dyno[1].units.torque", "mm", "unit of length"},
    {"[run]",
     "[[dyno]]\nheader = \"equal-length\"\ncorrection = \"none\"\npressure = \"1 "
     "bar\"\ntemperature = \"20 degC\"\nunits = { power = \"hp\" }\ncolumns = { speed = \"n\", "
     "torque = \"M\" }\npull = [{ file = \"a.csv\" }]\n[run]",
     "units", "dyno[1].units.power", "hp", "does not name"},
    {"[run]",
     "[[dyno]]\nheader = \"equal-length\"\ncorrection = \"none\"\npressure = \"1 "
     "bar\"\ntemperature = \"20 degC\"\ncolumns = { speed = \"n\", torque = \"M\" }\npull = "
     "[]\n[run]",
     "pull", "dyno[1].pull", "", "is empty"},
    // unknown and missing keys
    {"stroke = \"76.5 mm\"", "storke = \"76.5 mm\"", "", "engine.storke", "76.5 mm",
     "did you mean stroke?"},
    {"stroke = \"76.5 mm\"", "", "[engine]", "engine.stroke", "", "is missing"},
    {"[intake]", "[inntake]", "", "inntake", "", "did you mean intake?"},
    {"[run]", "[run]\nspede = 3", "spede", "run.spede", "3", "is not a known key"},
    {"[intake]\nlength = \"290 mm\"\nentry_diameter = \"50 mm\"", "", "title", "intake", "",
     "begin it with a line [intake]"},
    {"[engine]", "engine = 3\n[engine]", "", "", "", "not valid TOML"},
    // firing order, intervals and banks
    {"[1, 8, 4, 3, 6, 5, 7, 2]", "[1, 8, 4, 3, 6, 5, 7]", "", "engine.firing_order",
     "[1, 8, 4, 3, 6, 5, 7]", "names cylinder 8, but has 7"},
    {"[1, 8, 4, 3, 6, 5, 7, 2]", "[1, 8, 4, 3, 6, 5, 7, 7]", "", "engine.firing_order", "7, 7]",
     "names cylinder 7 twice"},
    {"[1, 8, 4, 3, 6, 5, 7, 2]", "[0, 8, 4, 3, 6, 5, 7, 2]", "", "engine.firing_order[1]", "0",
     "less than 1"},
    {"[1, 8, 4, 3, 6, 5, 7, 2]", "\"1-8-4-3-6-5-7-2\"", "", "engine.firing_order", "1-8-4",
     "is not an array"},
    {"[1, 8, 4, 3, 6, 5, 7, 2]", "[]", "", "engine.firing_order", "[]", "is empty"},
    {"right = [2, 4, 6, 8]", "right = [2, 4, 6, 9]", "", "engine.banks", "",
     "names cylinder 9, which is not in the firing order"},
    {"right = [2, 4, 6, 8]", "right = [2, 4, 6]", "", "engine.banks", "",
     "cylinder 8 is in no bank"},
    {"right = [2, 4, 6, 8]", "right = [2, 4, 6, 7, 8]", "", "engine.banks", "",
     "cylinder 7 is in the banks twice"},
    {"right = [2, 4, 6, 8]", "right = \"even\"", "", "engine.banks.right", "\"even\"",
     "not an array of cylinder numbers"},
    {"banks =", "intervals = [\"90 deg\", \"90 deg\"]\nbanks =", "intervals", "engine.intervals",
     "90 deg", "2 angles for 8 cylinders"},
    {"banks =",
     "intervals = [\"90 deg\", \"90 deg\", \"90 deg\", \"90 deg\", \"90 deg\", \"90 deg\", "
     "\"90 deg\", \"80 deg\"]\nbanks =",
     "intervals", "engine.intervals", "90 deg", "adds up to 710 deg"},
    {"rod = \"150 mm\"", "rod = \"35 mm\"", "", "engine.rod", "35 mm", "crank could not turn"},
    // valves
    {"opens = \"82 deg BBDC\"", "opens = \"82 deg\"", "", "exhaust_valve.cam.opens", "82 deg",
     "BTDC, ATDC, BBDC or ABDC"},
    {"opens = \"82 deg BBDC\"", "opens = \"82 deg BTDC\"", "", "exhaust_valve.cam.opens", "BTDC",
     "an exhaust valve opens near bottom"},
    {"closes = \"74 deg ABDC\"", "closes = \"74 deg ATDC\"", "", "intake_valve.cam.closes", "ATDC",
     "an intake valve closes near bottom"},
    {"closes = \"40 deg ATDC\"", "closes = \"290 deg BTDC\"", "", "exhaust_valve.cam.closes",
     "290 deg BTDC", "before the valve opens"},
    {"duration = \"256 deg\"", "duration = \"310 deg\"", "", "exhaust_valve.cam.duration",
     "310 deg", "is not shorter than the 302.0 deg"},
    // cam cards
    {"timing_lift = \"0 in\"\nopens = \"82 deg BBDC\"", "opens = \"82 deg BBDC\"", "",
     "exhaust_valve.cam.opens", "82 deg BBDC", "add what the card is printed for: timing_lift ="},
    {"closes = \"40 deg ATDC\"\n", "", "[exhaust_valve.cam]", "exhaust_valve.cam.closes", "",
     "a card gives both or none"},
    {"timing_lift = \"0 in\"\nopens = \"82 deg BBDC\"\ncloses = \"40 deg ATDC\"\n", "",
     "[exhaust_valve.cam]", "exhaust_valve.cam.centerline", "", "lobe_separation and"},
    {"timing_lift = \"0 in\"\nopens = \"82 deg BBDC\"\ncloses = \"40 deg ATDC\"\nlift = \"14 "
     "mm\"\nduration = \"256 deg\"",
     "lift = \"14 mm\"", "[exhaust_valve.cam]", "exhaust_valve.cam.duration", "",
     "the card has no timing without it"},
    {"opens = \"82 deg BBDC\"\ncloses = \"40 deg ATDC\"\n", "centerline = \"112 deg BTDC\"\n",
     "timing_lift", "exhaust_valve.cam.timing_lift", "0 in", "without opens and closes"},
    {"duration = \"256 deg\"", "duration = \"256 deg\"\nadvertised_duration = \"290 deg\"",
     "[exhaust_valve.cam]", "exhaust_valve.cam.advertised_lift", "", "depends on the lift"},
    {"duration = \"256 deg\"",
     "duration = \"256 deg\"\nadvertised_duration = \"250 deg\"\nadvertised_lift = \"0.006 in\"",
     "advertised_duration", "exhaust_valve.cam.advertised_duration", "250 deg",
     "are not shorter than the 250.0 deg at the lower lift"},
    {"timing_lift = \"0 in\"", "timing_lift = \"0.050 in\"", "duration = \"256 deg\"",
     "exhaust_valve.cam.duration", "256 deg", "302.0 deg and 256.0 deg at the same lift"},
    {"duration = \"256 deg\"", "duration = \"256 deg\"\nlobe_exponent = 2.5", "lobe_exponent",
     "exhaust_valve.cam.lobe_exponent", "2.5", "set it already"},
    {"lift = \"14 mm\"\nduration", "duration", "[exhaust_valve.cam]", "exhaust_valve.cam.lift", "",
     "or lobe_lift and rocker_ratio"},
    {"lift = \"14 mm\"\nduration", "lobe_lift = \"9 mm\"\nduration", "[exhaust_valve.cam]",
     "exhaust_valve.cam.rocker_ratio", "", "lobe_lift needs it"},
    {"lift = \"14 mm\"\nduration",
     "lift = \"14 mm\"\nlobe_lift = \"9 mm\"\nrocker_ratio = 1.5\nduration", "lobe_lift",
     "exhaust_valve.cam.lobe_lift", "9 mm", "times a rocker ratio of 1.5 is 13.5 mm"},
    {"lift = \"14 mm\"", "lift = \"14 mm\"\nfollower = \"hydraulic\"\nlash = \"0.4 mm\"", "lash",
     "exhaust_valve.cam.lash", "0.4 mm", "hydraulic followers have none"},
    {"lift = \"14 mm\"", "lift = \"14 mm\"\nfollower = \"solid\"", "[exhaust_valve.cam]",
     "exhaust_valve.cam.lash", "", "solid followers run with clearance"},
    {"duration = \"256 deg\"",
     "duration = \"256 deg\"\ncenterline = \"112 deg BTDC\"\n\n[cam]\n"
     "lobe_separation = \"110 deg\"\nintake_centerline = \"106 deg ATDC\"",
     "centerline", "exhaust_valve.cam.centerline", "112 deg BTDC", "is given beside [cam]"},
    {"[intake]",
     "[cam]\nlobe_separation = \"110 deg\"\nintake_centerline = \"74 deg ABDC\"\n[intake]",
     "intake_centerline", "cam.intake_centerline", "74 deg ABDC", "not counted from top"},
    {"lift = \"14 mm\"", "lift = \"14 mm\"\nlash = \"1.2 mm\"\nlash = \"1 mm\"", "", "", "",
     "not valid TOML"},
    {"lift = [\"0.1 in\", \"0.3 in\", \"0.5 in\"]", "lift = [\"0.3 in\", \"0.1 in\", \"0.5 in\"]",
     "", "exhaust_valve.flow.lift", "0.3 in", "does not rise"},
    {"[\"68 cfm\", \"168 cfm\", \"207 cfm\"]", "[\"68 cfm\", \"168 cfm\"]", "",
     "exhaust_valve.flow.forward", "168 cfm", "2 values for 3 lifts"},
    {"[\"68 cfm\", \"168 cfm\", \"207 cfm\"]", "[\"68 cfm\", \"168 cfm\", \"407 cfm\"]", "",
     "exhaust_valve.flow.forward", "407 cfm", "ideal nozzle of the seat's bore passes"},
    {"[\"68 cfm\", \"168 cfm\", \"207 cfm\"]", "[\"68 cfm\", \"168 cfm\", \"-1 cfm\"]", "",
     "exhaust_valve.flow.forward[3]", "-1 cfm", "less than 0 cfm"},
    {"depression = \"28 inH2O\"", "", "[exhaust_valve.flow]", "exhaust_valve.flow.depression", "",
     "the flow is not defined without it"},
    {"lift = [\"0.1 in\", \"0.3 in\", \"0.5 in\"]", "lift = [\"0.1 in\", \"0.2 in\", \"0.3 in\"]",
     "", "exhaust_valve.flow.lift", "0.3 in", "the valve lifts 14 mm"},
    {"[exhaust_valve.cam]\ntiming_lift = \"0 in\"\nopens = \"82 deg BBDC\"\ncloses = \"40 deg "
     "ATDC\"\nlift = \"14 "
     "mm\"\nduration = \"256 deg\"",
     "[exhaust_valve.lift_table]\nangle = [\"98 deg\", \"250 deg\", \"240 deg\", \"400 "
     "deg\"]\nlift = [\"0 mm\", \"9 mm\", \"10 mm\", \"0 mm\"]",
     "angle", "exhaust_valve.lift_table.angle", "250 deg", "does not rise"},
    // what no engine can be
    {"rod = \"150 mm\"", "rod = \"40 mm\"", "", "engine.rod", "40 mm",
     "within the circle of 38.25 mm that the crank pin runs on"},
    {"seat_diameter = \"39 mm\"", "seat_diameter = \"102 mm\"", "", "exhaust_valve.seat_diameter",
     "102 mm", "is not smaller than the bore of 102 mm"},
    {"opens = \"82 deg BBDC\"", "opens = \"180 deg BBDC\"", "", "exhaust_valve.cam.opens",
     "180 deg", "open at the dead centre of firing"},
    {"opens = \"42 deg BTDC\"", "opens = \"360 deg BTDC\"", "", "intake_valve.cam.opens", "360 deg",
     "open at the dead centre of firing"},
    {"closes = \"74 deg ABDC\"", "closes = \"185 deg ABDC\"", "", "intake_valve.cam.closes",
     "185 deg", "open at the dead centre of firing"},
    {"[exhaust_valve.cam]\ntiming_lift = \"0 in\"\nopens = \"82 deg BBDC\"\ncloses = \"40 deg "
     "ATDC\"\nlift = \"14 "
     "mm\"\nduration = \"256 deg\"",
     "[exhaust_valve.lift_table]\nangle = [\"698 deg\", \"850 deg\", \"1000 deg\"]\nlift = [\"0 "
     "mm\", \"10 mm\", \"0 mm\"]",
     "angle", "exhaust_valve.lift_table.angle", "698 deg",
     "open at the dead centre of firing, from 22 deg before it"},
    {"lift = \"14 mm\"", "lift = \"50 mm\"", "", "exhaust_valve.cam.lift", "50 mm",
     "1.28 times the diameter of the seat"},
    {"lift = [\"0.1 in\", \"0.3 in\", \"0.5 in\"]", "lift = [\"1e-9 in\", \"0.3 in\", \"0.5 in\"]",
     "forward = [\"68 cfm\"", "exhaust_valve.flow.forward", "68 cfm", "at 2.54e-08 mm of lift"},
    {"[\"0.1 in\", \"0.3 in\", \"0.5 in\"]\nforward = [\"68 cfm\"",
     "[\"0 in\", \"0.3 in\", \"0.5 in\"]\nreverse = [\"5 cfm\", \"150 cfm\", \"160 "
     "cfm\"]\nforward = [\"0 cfm\"",
     "reverse", "exhaust_valve.flow.reverse", "5 cfm", "at 0 mm of lift"},
    {"[\"68 cfm\", \"168 cfm\", \"207 cfm\"]", "[\"68 cfm\", \"168 cfm\", \"0 cfm\"]", "",
     "exhaust_valve.flow.forward", "0 cfm", "falls to nothing at 12.7 mm"},
    {"depression = \"28 inH2O\"\nlift = [\"0.1 in\", \"0.3 in\", \"0.5 in\"]\nforward = [\"68 "
     "cfm\", \"168 cfm\", \"207 cfm\"]",
     "lift = [\"1e-6 mm\", \"6 mm\", \"12 mm\"]\ndischarge = [0.6, 0.6, 0.6]\ndischarge_area = "
     "\"seat\"",
     "discharge = ", "exhaust_valve.flow.discharge", "0.6", "at 1e-06 mm of lift"},
    {"port_diameter = \"40 mm\"", "port_diameter = \"20 mm\"", "forward = [\"68 cfm\"",
     "exhaust_valve.flow.forward", "68 cfm",
     "the port of cylinder 1 in header \"equal-length\" has 314.2 mm2 (20 mm, "
     "exhaust.port_diameter in line"},
    {"entry_diameter = \"50 mm\"", "entry_diameter = \"50 mm\"\nvalve_diameter = \"20 mm\"",
     "forward = [\"73 cfm\"", "intake_valve.flow.forward", "73 cfm",
     "intake.valve_diameter in line"},
    {"port_diameter = \"40 mm\"",
     "port_diameter = \"40 mm\"\nbends = [{ angle = \"360 deg\", radius = \"300 mm\" }]", "bends",
     "exhaust.bends", "360 deg", "has 1885 mm of arc along the centreline in a tube of 812.8 mm"},
    {"primary_length = \"32 in\"",
     "primary_length = \"32 in\"\nbends = [{ angle = \"180 deg\", radius = \"300 mm\" }]", "bends",
     "header[1].bends", "180 deg", "header \"equal-length\", primary of cylinder 1"},
    {"step = \"250 rpm\"",
     "step = \"250 rpm\"\nwave_speeds = [\"4000 rpm\", \"5000 rpm\", \"4000 rpm\"]", "wave_speeds",
     "run.wave_speeds", "5000 rpm", "names 4000 rpm twice"},
    {"from = \"3000 rpm\"\nto = \"7500 rpm\"\nstep = \"250 rpm\"",
     "speeds = [\"4000 rpm\", \"4000.000001 rpm\"]", "", "run.speeds", "4000.000001",
     "does not rise"},
    {"title = \"sample\"", "title = \"sam\\u0000ple\"", "", "title", "sam\\u0000ple",
     "contains the character \\u0000"},
    // fuel and weather
    {"[intake]", "[ambient]\npressure = \"1 bar\"\naltitude = \"3000 ft\"\n[intake]", "altitude",
     "ambient.altitude", "3000 ft", "is given beside pressure"},
    {"[intake]", "[ambient]\nrelative_humidity = 60\n[intake]", "relative_humidity",
     "ambient.relative_humidity", "60", "more than 1"},
    {"[intake]", "[combustion]\nfuel = \"e58\"\n[intake]", "fuel", "combustion.fuel", "e58",
     "did you mean \"e85\"?"},
    {"[intake]", "[combustion]\nevaporated_in_intake = 0.6\nevaporated_in_cylinder = 0.5\n[intake]",
     "evaporated_in_cylinder", "combustion.evaporated_in_cylinder", "0.5", "make 1.1 together"},
    {"[intake]", "[combustion]\nfuel = \"methanol\"\nevaporated_in_intake = 0.5\n[intake]",
     "evaporated_in_intake", "combustion.evaporated_in_intake", "0.5", "no more evaporates"},
    {"[intake]", "[combustion]\nair_fuel_ratio = 3.9\n[intake]", "air_fuel_ratio",
     "combustion.air_fuel_ratio", "3.9", "less than 4"},
    // intake
    {"entry_diameter = \"50 mm\"", "entry_diameter = \"50 mm\"\nsource = \"plenum\"", "[intake]",
     "intake.plenum_volume", "", "a plenum needs it"},
    {"entry_diameter = \"50 mm\"", "entry_diameter = \"50 mm\"\nsource = \"plenun\"", "plenun",
     "intake.source", "plenun", "did you mean \"plenum\"?"},
    {"entry_diameter = \"50 mm\"",
     "entry_diameter = \"50 mm\"\nsource = \"plenum\"\nplenum_volume = \"4 L\"", "[intake]",
     "intake.throttle_area", "", "a plenum needs it, or throttle_flow"},
    {"entry_diameter = \"50 mm\"",
     "entry_diameter = \"50 mm\"\nsource = \"plenum\"\nplenum_volume = \"4 L\"\nthrottle_flow = "
     "\"850 cfm\"",
     "[intake]", "intake.throttle_drop", "", "go together"},
    {"entry_diameter = \"50 mm\"",
     "entry_diameter = \"50 mm\"\nsource = \"plenum\"\nplenum_volume = \"4 L\"\nthrottle_flow = "
     "\"850 cfm\"\nthrottle_drop = \"1.5 inHg\"\nthrottle_diameter = \"40 mm\"\nthrottle_length = "
     "\"100 mm\"",
     "throttle_diameter", "intake.throttle_diameter", "40 mm", "is too small: the barrels have"},
    {"entry_diameter = \"50 mm\"",
     "entry_diameter = \"50 mm\"\nsource = \"plenum\"\nplenum_volume = \"4 L\"\nthrottle_area = "
     "\"45 cm2\"\nair_box_volume = \"8 L\"\nair_box_inlet_area = \"90 cm2\"",
     "[intake]", "intake.throttle_diameter", "", "between an air box and a plenum"},
    {"entry_diameter = \"50 mm\"", "entry_diameter = \"50 mm\"\nair_box_volume = \"8 L\"",
     "[intake]", "intake.air_box_inlet_area", "", "an air box draws through a tube"},
    {"entry_diameter = \"50 mm\"", "entry_diameter = \"50 mm\"\nair_box_inlet_area = \"90 cm2\"",
     "air_box_inlet_area", "intake.air_box_inlet_area", "90 cm2", "there is no air box"},
    {"entry_diameter = \"50 mm\"", "entry_diameter = \"50 mm\"\nthrottle_area = \"45 cm2\"",
     "throttle_area", "intake.throttle_area", "45 cm2", "more than the entry of a runner has"},
    {"entry_diameter = \"50 mm\"",
     "entry_diameter = \"50 mm\"\nthrottle_length = \"45 mm\"\nthrottle_diameter = \"45 mm\"",
     "throttle_length", "intake.throttle_length", "45 mm", "every runner has its own throttle"},
    {"port_diameter = \"40 mm\"", "", "[exhaust]", "exhaust.port_diameter", "",
     "a port has a length and a diameter"},
    {"port_diameter = \"40 mm\"", "port_diameter = \"40 mm\"\nport_wall_temperature = \"700 degC\"",
     "port_wall_temperature", "exhaust.port_wall_temperature", "700 degC", "more than 900 K"},
    // headers
    {"kind = \"equal-length\"", "kind = \"equal-lenght\"", "", "header[1].kind", "equal-lenght",
     "did you mean \"equal-length\"?"},
    {"primary_length = \"32 in\"", "primary_length = \"-32 in\"", "", "header[1].primary_length",
     "-32 in", "less than 50 mm"},
    {"primary_length = \"32 in\"", "", "[[header]]", "header[1].primary_length", "", "is missing"},
    {"primary_tube = \"1-7/8 in OD, 16 ga\"", "primary_tube = \"1-7/8 in\"", "",
     "header[1].primary_tube", "1-7/8 in", "does not say OD or ID"},
    {"primary_tube = \"1-7/8 in OD, 16 ga\"", "primary_tube = \"1-7/8 in OD, 9 ga\"", "",
     "header[1].primary_tube", "9 ga", "gauges are whole numbers from 10 to 22"},
    {"collector_length = \"16 in\"", "", "[[header]]", "header[1].collector_length", "",
     "tubes that meet need a collector"},
    {"collector_length = \"16 in\"", "collector_length = \"16 in\"\ndivider_length = \"6 in\"",
     "divider_length", "header[1].divider_length", "6 in",
     "does not belong to kind = \"equal-length\""},
    {"kind = \"equal-length\"", "kind = \"divided-collector\"\ndivider_length = \"16 in\"",
     "divider_length", "header[1].divider_length", "16 in", "is not shorter than the collector"},
    {"kind = \"equal-length\"", "kind = \"4-2-1\"", "[[header]]", "header[1].secondary_tube", "",
     "the primaries meet in secondaries"},
    {"kind = \"equal-length\"", "kind = \"180-degree\"\ncollectors = 3", "collectors",
     "header[1].collectors", "3", "8 cylinders cannot be divided evenly into 3 collectors"},
    {"kind = \"equal-length\"", "kind = \"equal-length\"\nlengths = { 9 = \"30 in\" }", "lengths",
     "header[1].lengths", "9", "names cylinder '9'"},
    {"kind = \"equal-length\"", "kind = \"equal-length\"\nlengths = { 3 = \"30\" }", "lengths",
     "header[1].lengths.3", "30", "has no unit"},
    {"kind = \"equal-length\"", "kind = \"equal-length\"\ngroups = [[1, 2, 3, 4], [5, 6, 7, 7]]",
     "groups", "header[1].groups", "7, 7", "names cylinder 7 twice"},
    {"kind = \"equal-length\"", "kind = \"equal-length\"\ngroups = [[1, 2, 3, 4], [5, 6, 7]]",
     "groups", "header[1].groups", "", "leaves out cylinder 8"},
    // steps and single primaries
    {"kind = \"equal-length\"",
     "kind = \"equal-length\"\nprimary_steps = [{ at = \"32 in\", tube = \"2 in ID\" }]",
     "primary_steps", "header[1].primary_steps[1].at", "32 in", "which is 812.8 mm long"},
    {"kind = \"equal-length\"",
     "kind = \"equal-length\"\nprimary_steps = [{ at = \"12 in\", tube = \"1-7/8 in OD, 16 ga\" }]",
     "primary_steps", "header[1].primary_steps[1].tube", "1-7/8 in",
     "the bore of the tube before it"},
    {"kind = \"equal-length\"",
     "kind = \"equal-length\"\nprimary_steps = [{ at = \"12 in\", tube = \"2 in ID\", cone_length "
     "= "
     "\"5 mm\" }]",
     "primary_steps", "header[1].primary_steps[1].cone_length", "5 mm",
     "so short a cone is a sudden step"},
    {"kind = \"equal-length\"", "kind = \"equal-length\"\nprimary = [{ cylinders = [3, 9] }]",
     "primary", "header[1].primary[1].cylinders", "[3, 9]",
     "names cylinder 9, which the engine does not have"},
    {"kind = \"equal-length\"",
     "kind = \"equal-length\"\nprimary = [{ cylinders = [3] }, { cylinders = [5, 3] }]", "primary",
     "header[1].primary[2].cylinders", "[5, 3]", "names cylinder 3, which has a table already"},
    {"kind = \"equal-length\"",
     "kind = \"equal-length\"\nlengths = { 3 = \"30 in\" }\nprimary = [{ cylinders = [3], length = "
     "\"31 in\" }]",
     "primary", "header[1].primary[1].length", "31 in", "is given in lengths, too"},
    {"kind = \"equal-length\"",
     "kind = \"equal-length\"\nprimary = [{ cylinders = [3], bends = [{ angle = \"360 deg\", "
     "radius = \"300 mm\" }] }]",
     "primary", "header[1].primary[1].bends", "360 deg", "primary of cylinder 3"},
    {"port_length = \"75 mm\"", "port_length = \"20 mm\"\nport_transition = \"0 mm\"", "[[header]]",
     "header[1].port_transition", "", "is a sudden step behind a port of 20 mm"},
    {"port_length = \"75 mm\"\nport_diameter = \"40 mm\"", "port_valve_diameter = \"38 mm\"", "",
     "exhaust.port_valve_diameter", "38 mm", "the port has no length"},
    // secondaries
    {"kind = \"equal-length\"",
     "kind = \"4-2-1\"\nsecondary_tube = \"2 in ID\"\nsecondary_length = \"16 in\"\n"
     "secondaries = [[1, 2], [5, 7], [3, 4], [6, 8]]",
     "secondaries", "header[1].secondaries", "[1, 2]",
     "names cylinder 2 twice, or beside cylinder 1"},
    {"kind = \"equal-length\"",
     "kind = \"4-2-1\"\nsecondary_tube = \"2 in ID\"\nsecondary_length = \"16 in\"\n"
     "secondaries = [[1, 3], [2, 4], [6, 8]]",
     "secondaries", "header[1].secondaries", "[1, 3]", "leaves out cylinder 5"},
    {"kind = \"equal-length\"",
     "kind = \"4-2-1\"\nsecondary_tube = \"2 in ID\"\nsecondary_length = \"16 in\"\n"
     "secondaries = [[1, 3, 5], [7], [2, 4], [6, 8]]",
     "secondaries", "header[1].secondaries", "[1, 3, 5]",
     "has 3 cylinders for a secondary of cylinder 1"},
    {"kind = \"equal-length\"", "kind = \"6-2-1\"", "", "header[1].kind", "6-2-1",
     "needs six cylinders on each collector; 'left' has 4"},
    // collectors that are joined
    {"kind = \"equal-length\"", "kind = \"equal-length\"\nmerge_neck_length = \"20 mm\"",
     "[[header]]", "header[1].merge_diameter", "", "it is the diameter of the neck"},
    {"kind = \"equal-length\"", "kind = \"equal-length\"\nshared_tail = true", "[[header]]",
     "header[1].tail_tube", "", "collectors that meet have a tail behind them"},
    {"kind = \"equal-length\"",
     "kind = \"equal-length\"\ngroups = [[1, 2, 3, 4, 5, 6, 7, 8]]\nshared_tail = true\ntail_tube "
     "= "
     "\"4 in ID\"\ntail_length = \"20 in\"",
     "shared_tail", "header[1].shared_tail", "true", "needs two collectors"},
    {"kind = \"equal-length\"",
     "kind = \"equal-length\"\nbalance = [{ kind = \"H\", at = \"2 in\", tube = \"2 in ID\", "
     "length = "
     "\"10 in\" }]",
     "balance", "header[1].balance[1].at", "2 in", "outside the pipes that it shall connect"},
    {"kind = \"equal-length\"",
     "kind = \"equal-length\"\nbalance = [{ kind = \"H\", at = \"-5 in\", tube = \"2 in ID\" }]",
     "balance", "header[1].balance[1].length", "", "an H has a pipe of its own"},
    {"kind = \"equal-length\"",
     "kind = \"equal-length\"\nbalance = [{ kind = \"X\", at = \"-5 in\", tube = \"2 in ID\" }]",
     "balance", "header[1].balance[1].tube", "2 in ID", "an X has no pipe"},
    {"kind = \"equal-length\"",
     "kind = \"equal-length\"\ngroups = [[1, 2, 3, 4, 5, 6, 7, 8]]\nbalance = [{ kind = \"X\", at "
     "= "
     "\"-5 in\" }]",
     "balance", "header[1].balance", "X", "connects two collectors"},
    // order round the collector
    {"kind = \"equal-length\"",
     "kind = \"equal-length\"\ncollector_order = [[1, 5, 3], [2, 8, 4, 6]]", "collector_order",
     "header[1].collector_order", "[1, 5, 3]", "leaves out cylinder 7"},
    {"kind = \"equal-length\"",
     "kind = \"equal-length\"\ncollector_order = [[1, 5, 3, 7, 5], [2, 8, 4, 6]]",
     "collector_order", "header[1].collector_order", "", "names cylinder 5 twice"},
    {"kind = \"equal-length\"",
     "kind = \"equal-length\"\ncollector_order = [[1, 5, 3, 8], [2, 7, 4, 6]]", "collector_order",
     "header[1].collector_order", "",
     "names cylinder 8 beside cylinder 1, whose collector it does"},
    {"kind = \"equal-length\"", "kind = \"equal-length\"\ncollector_order = [[1, 5, 3, 7]]",
     "collector_order", "header[1].collector_order", "", "has 1 lists, and the header has 2"},
    {"kind = \"equal-length\"",
     "kind = \"equal-length\"\ncollector_order = [[9, 5, 3, 7], [2, 8, 4, 6]]", "collector_order",
     "header[1].collector_order", "", "names cylinder 9, which no collector has"},
    {"kind = \"equal-length\"", "kind = \"equal-length\"\ncollector_order = [[1, 5, 3, 7], []]",
     "collector_order", "header[1].collector_order[2]", "[]", "is not an array of cylinder"},
    {"kind = \"equal-length\"",
     "kind = \"divided-collector\"\ndivider_length = \"6 in\"\ncollector_order = [[1, 3, 5, 7], "
     "[2, "
     "4, 8, 6]]",
     "collector_order", "header[1].collector_order", "",
     "let the tubes of a half stand side by side"},
    {"kind = \"equal-length\"",
     "kind = \"4-2-1\"\nsecondary_tube = \"2 in ID\"\nsecondary_length = \"16 in\"\n"
     "collector_order = [[1, 5, 3, 7], [2, 8, 4, 6]]",
     "collector_order", "header[1].collector_order", "", "does not belong to kind = \"4-2-1\""},
    // paths of primaries, and what they are bent from
    {"[run]",
     "[[header.path]]\ncylinder = 9\nx = [\"0 m\", \"1 m\"]\ny = [\"0 m\", \"1 m\"]\n"
     "z = [\"0 m\", \"1 m\"]\n[run]",
     "cylinder = 9", "header[2].path[1].cylinder", "9", "the engine has cylinders 1 to 8"},
    {"[run]",
     "[[header.path]]\ncylinder = 3\nx = [\"0 m\", \"1 m\"]\ny = [\"0 m\", \"1 m\"]\n"
     "z = [\"0 m\"]\n[run]",
     "z = [", "header[2].path[1].z", "[\"0 m\"]", "have 2, 2 and 1 points"},
    {"[run]", "[[header.path]]\ncylinder = 3\nx = [\"0 m\"]\ny = [\"0 m\"]\nz = [\"0 m\"]\n[run]",
     "x = [", "header[2].path[1].x", "[\"0 m\"]", "has one point"},
    {"[run]", "[[header.path]]\ncylinder = 3\nx = [0, 1]\ny = [\"0 m\"]\nz = [\"0 m\"]\n[run]",
     "x = [", "header[2].path[1].x[1]", "0", "bare number"},
    {"[run]", "[build]\nbend_angles = [\"190 deg\"]\n[run]", "bend_angles", "build.bend_angles[1]",
     "190 deg", "more than 180 deg"},
    {"[run]", "[build]\nbend_radii = []\n[run]", "bend_radii", "build.bend_radii", "[]",
     "is empty"},
    // probes
    {"[run]", "[[header.probe]]\npipe = \"primary 9\"\ndistance = \"300 mm\"\n[run]",
     "[[header.probe]]", "header[2].probe[1].pipe", "\"primary 9\"", "did you mean \"primary"},
    {"[run]", "[[header.probe]]\npipe = \"primary 1\"\ndistance = \"3 m\"\n[run]",
     "[[header.probe]]", "header[2].probe[1].distance", "3000 mm", "0 mm to "},
    {"[run]", "[[header.probe]]\npipe = \"primary 1\"\n[run]", "[[header.probe]]",
     "header[2].probe[1].distance", "", "is missing"},
    {"[run]",
     "[[header.probe]]\npipe = \"primary 1\"\ndistance = \"300 mm\"\nname = \"a|b\"\n[run]",
     "name = \"a|b\"", "header[2].probe[1].name", "a|b", "is no good name"},
    {"[run]",
     "[[header.probe]]\npipe = \"primary 1\"\ndistance = \"300 mm\"\n[[header.probe]]\npipe = "
     "\"primary 1\"\ndistance = \"0.3 m\"\n[run]",
     "pipe = \"primary 1\"\ndistance = \"0.3 m\"", "header[2].probe[2].pipe", "\"primary 1\"",
     "is that of an earlier probe"},
    {"longest = \"34 in\"", "longest = \"27 in\"", "", "header[2].longest", "27 in",
     "is not longer than shortest"},
    {"longest = \"34 in\"", "longest = \"34 in\"\nstep = \"2 in\"", "longest", "header[2].longest",
     "34 in", "is given beside step"},
    {"name = \"stepped-length\"", "name = \"equal-length\"",
     "name = \"equal-length\"\nkind = \"stepped-length\"", "header[2].name", "equal",
     "the name of an earlier header"},
    {"name = \"equal-length\"", "name = \"../equal-length\"", "", "header[1].name",
     "../equal-length", "no good name"},
    // names of older case files: refused with the new one
    {"[[header]]\nname = \"equal-length\"", "[[concept]]\nname = \"equal-length\"", "[[concept]]",
     "concept", "collector_length = \"16 in\"", "old name, which is header now"},
    {"kind = \"equal-length\"", "kind = \"equal\"", "", "header[1].kind", "\"equal\"",
     "old name, which is \"equal-length\" now"},
    {"kind = \"equal-length\"", "kind = \"crossed\"", "", "header[1].kind", "\"crossed\"",
     "old name, which is \"180-degree\" now"},
    {"kind = \"equal-length\"", "kind = \"stepped\"", "", "header[1].kind", "\"stepped\"",
     "old name, which is \"stepped-length\" now"},
    {"kind = \"equal-length\"", "kind = \"paired\"", "", "header[1].kind", "\"paired\"",
     "old name, which is \"4-2-1\" now"},
    {"kind = \"equal-length\"", "kind = \"divided\"", "", "header[1].kind", "\"divided\"",
     "old name, which is \"divided-collector\" now"},
    {"duration = \"256 deg\"", "duration = \"256 deg\"\ncentre = \"112 deg BTDC\"", "centre",
     "exhaust_valve.cam.centre", "112 deg BTDC", "old name, which is centerline now"},
    {"[intake]", "[combustion]\nhalf_burnt = \"8 deg ATDC\"\n[intake]", "half_burnt",
     "combustion.half_burnt", "8 deg ATDC", "old name, which is burned_50 now"},
    {"[intake]", "[friction]\npeak_pressure_share = 0.005\n[intake]", "peak_pressure_share",
     "friction.peak_pressure_share", "0.005", "old name, which is per_peak_pressure now"},
    {"entry_diameter = \"50 mm\"", "mouth_diameter = \"50 mm\"", "", "intake.mouth_diameter",
     "50 mm", "old name, which is entry_diameter now"},
    {"entry_diameter = \"50 mm\"", "entry_diameter = \"50 mm\"\nmouth_area_ratio = 0.95",
     "mouth_area_ratio", "intake.mouth_area_ratio", "0.95",
     "old name, which is entry_area_ratio now"},
    // run
    {"from = \"3000 rpm\"", "from = \"0 rpm\"", "", "run.from", "0 rpm", "less than 300 rpm"},
    {"from = \"3000 rpm\"", "from = \"8000 rpm\"", "to =", "run.to", "7500 rpm", "is below from"},
    {"step = \"250 rpm\"", "step = \"0 rpm\"", "", "run.step", "0 rpm", "less than 1 rpm"},
    {"step = \"250 rpm\"", "step = \"1 rpm\"", "", "run.step", "1 rpm", "more than 1000 speeds"},
    {"step = \"250 rpm\"", "step = \"250 rpm\"\nwave_speeds = [\"3100 rpm\"]", "wave_speeds",
     "run.wave_speeds", "3100 rpm", "3100 rpm, which is not run"},
    {"step = \"250 rpm\"", "step = \"250 rpm\"\nwave_cylinder = 9", "wave_cylinder",
     "run.wave_cylinder", "9", "no cylinder of this engine"},
    {"step = \"250 rpm\"", "step = \"250 rpm\"\nband_from = \"8000 rpm\"", "band_from",
     "run.band_from", "8000 rpm", "is above the highest speed"},
    {"step = \"250 rpm\"", "step = \"250 rpm\"\nmost_cycles = 3", "most_cycles", "run.most_cycles",
     "3", "is less than least_cycles"},
    {"step = \"250 rpm\"", "step = \"250 rpm\"\nduration = \"5 ms\"", "duration = \"5",
     "run.duration", "5 ms", "belongs to a case of pipes only"},
    {"step = \"250 rpm\"", "step = \"250 rpm\"\nmost_cycles = 99999999999999999999", "", "", "",
     "not valid TOML"},
    {"step = \"250 rpm\"", "step = \"250 rpm", "", "", "", "not valid TOML"},
    // parts behind a collector
    {"[[header]]\nname = \"stepped-length\"",
     "[[header.part]]\nkind = \"catalyst\"\n[[header]]\nname = \"stepped-length\"",
     "[[header.part]]", "header[1].part[1].length", "", "kind = \"catalyst\" needs it"},
    {"[[header]]\nname = \"stepped-length\"",
     "[[header.part]]\nkind = \"pipe\"\nlength = \"10 in\"\ncells = \"400 cpsi\"\n[[header]]\nname "
     "= \"stepped-length\"",
     "cells", "header[1].part[1].cells", "400 cpsi", "does not belong to kind = \"pipe\""},
    {"[[header]]\nname = \"stepped-length\"",
     "[[header.part]]\nkind = \"helmholtz\"\ntube = \"1 in ID\"\nlength = \"2 in\"\nvolume = \"2 "
     "L\"\n[[header]]\nname = \"stepped-length\"",
     "[[header.part]]", "header[1].part[1].kind", "helmholtz", "has nothing behind it"},
    {"[[header]]\nname = \"stepped-length\"",
     "[[header.part]]\nkind = \"chamber\"\ndiameter = \"3 in\"\nlength = \"12 in\"\noutlet_inside "
     "= \"2 in\"\n[[header]]\nname = \"stepped-length\"",
     "[[header.part]]", "header[1].part[1].diameter", "76.2 mm", "is not wider than the tube of"},
    {"[[header]]\nname = \"stepped-length\"",
     "[[header.part]]\nkind = \"chamber\"\ndiameter = \"6 in\"\nlength = \"5 in\"\noutlet_inside = "
     "\"5 in\"\n[[header]]\nname = \"stepped-length\"",
     "outlet_inside", "header[1].part[1].outlet_inside", "5 in", "leaves no room"},
    {"[[header]]\nname = \"stepped-length\"",
     "[[header.part]]\nkind = \"back-pressure\"\npressure = \"12 kPa\"\n[[header]]\nname = "
     "\"stepped-length\"",
     "[[header.part]]", "header[1].part[1].mass_flow", "", "a back pressure belongs to one flow"},
    {"[[header]]\nname = \"stepped-length\"",
     "[[header.part]]\nkind = \"catalyst\"\ndiameter = \"4 in\"\nlength = \"5 in\"\ncells = \"400 "
     "cpsi\"\nchannel_wall = \"1.3 mm\"\n[[header]]\nname = \"stepped-length\"",
     "channel_wall", "header[1].part[1].channel_wall", "1.3 mm", "leaves no channels"},
    {"[[header]]\nname = \"stepped-length\"",
     "[[header.part]]\nkind = \"pipe\"\nlength = \"10 in\"\nbehind = \"tail\"\n[[header]]\nname = "
     "\"stepped-length\"",
     "[[header.part]]", "header[1].part[1].behind", "tail", "only a network has pipes to name"},
};

const Row pipe_rows[] = {
    {"[run]", "[[header.part]]\nkind = \"pipe\"\nlength = \"1 m\"\n[run]", "[[header.part]]",
     "header[1].part[1].behind", "", "in a network a part says where it stands"},
    {"[run]", "[[header.part]]\nkind = \"pipe\"\nlength = \"1 m\"\nbehind = \"tree\"\n[run]",
     "[[header.part]]", "header[1].part[1].behind", "tree", "did you mean \"three\"?"},
    {"to = \"open\"", "to = \"opne\"", "", "header[1].pipe[3].to", "opne", "is no end of a pipe"},
    {"to = \"junction J\"", "to = \"junction K\"", "", "header[1].pipe[1].to", "junction K",
     "junction 'K', which is not described"},
    {"from = \"closed\"", "from = \"cylinder 1\"", "", "header[1].pipe[1].from", "cylinder 1",
     "the case does not have"},
    {"name = \"two\"", "name = \"one\"",
     "name = \"one\"\nfrom = \"closed\"\nto = \"junction "
     "J\"\ntube = \"40 mm ID\"\nlength = \"0.5 m\"\n[[header.pipe]]\nname = \"three\"",
     "header[1].pipe[2].name", "one", "the name of an earlier pipe"},
    {"length = \"0.5 m\"", "length = \"0 m\"", "", "header[1].pipe[1].length", "0 m",
     "less than 10 mm"},
    {"length = \"0.5 m\"", "", "[[header.pipe]]", "header[1].pipe[1].length", "", "is missing"},
    {"length = \"0.5 m\"", "length = \"0.5 m\"\nto_direction = [1, 1, 0]", "to_direction",
     "header[1].pipe[1].to_direction", "[1, 1, 0]", "is not a direction"},
    {"length = \"0.5 m\"", "length = \"0.5 m\"\nfrom_angle = \"5 deg\"", "from_angle",
     "header[1].pipe[1].from_angle", "5 deg", "no junction at \"from\""},
    {"tube = \"40 mm ID\"\nlength = \"0.5 m\"",
     "profile = [{ at = \"0 mm\", diameter = \"40 mm\" }, { at = \"0 mm\", diameter = \"50 mm\" }]",
     "profile", "header[1].pipe[1].profile", "", "does not rise"},
    {"length = \"0.5 m\"",
     "length = \"0.5 m\"\nbends = [{ angle = \"180 deg\", radius = \"200 mm\" }]", "bends",
     "header[1].pipe[1].bends", "180 deg",
     "628.32 mm of arc along the centreline in a tube of 500 mm"},
    {"[run]", "[[header.junction]]\nname = \"spare\"\n[run]", "name = \"spare\"",
     "header[1].junction[2].name", "spare", "has 0 pipe ends"},
    {"[run]", "[ambient]\nrelative_humidity = 0.5\n[run]", "relative_humidity",
     "ambient.relative_humidity", "0.5", "needs an engine"},
    {"duration = \"5 ms\"", "", "[run]", "run.duration", "", "a case without an engine needs it"},
    {"duration = \"5 ms\"", "duration = \"5 ms\"\nfrom = \"3000 rpm\"", "from = \"3000", "run.from",
     "3000 rpm", "needs an engine"},
    {"duration = \"5 ms\"", "duration = \"5 ms\"\ncell_size = \"0.1 mm\"", "cell_size",
     "run.cell_size", "0.1 mm", "less than 0.5 mm"},
    {"name = \"J\"", "name = \"J\"\nopening_area = \"1 cm2\"", "opening_area",
     "header[1].junction[1].opening_area", "1 cm2", "old name, which is vent_area now"},
    {"kind = \"network\"", "kind = \"equal-length\"", "[[header.pipe]]", "header[1].pipe", "",
     "does not belong to kind = \"equal-length\""},
};

// The problems of a text, or none if it reads.
std::vector<Problem> problems_of(const std::string& text) {
  try {
    read_case_text(text, "bad.toml");
  } catch (const CaseError& error) {
    return error.problems();
  }
  return {};
}

void check_row(const std::string& good, const Row& row) {
  CAPTURE(std::string(row.from));
  CAPTURE(std::string(row.to));
  const std::string text = replaced(good, row.from, row.to);
  REQUIRE(!text.empty());
  const std::vector<Problem> problems = problems_of(text);
  REQUIRE(!problems.empty());
  const auto found = std::find_if(problems.begin(), problems.end(),
                                  [&](const Problem& p) { return p.key == row.key; });
  CAPTURE(to_text(problems.front()));
  REQUIRE(found != problems.end());
  CHECK(found->file == "bad.toml");
  CHECK(contains(found->value, row.value));
  CHECK(contains(found->message + " " + found->allowed + " " + found->advice, row.says));
  CHECK(!found->advice.empty());
  if (std::string_view(row.key).empty()) {
    CHECK(found->line > 0);  // the parser's own place, at or after the mistake
  } else {
    CHECK(found->line == line_of(text, *row.at != '\0' ? row.at : row.to));
  }
}

// A file of the given bytes that goes away with the object.
class ScratchFile {
 public:
  explicit ScratchFile(const std::string& bytes) {
    path_ = std::filesystem::temp_directory_path() /
            ("pulsewright-case-" + std::to_string(::getpid()) + ".toml");
    std::ofstream out(path_, std::ios::binary);
    out << bytes;
  }
  ~ScratchFile() {
    std::error_code ignored;
    std::filesystem::remove(path_, ignored);
  }
  ScratchFile(const ScratchFile&) = delete;
  ScratchFile& operator=(const ScratchFile&) = delete;
  const std::filesystem::path& path() const { return path_; }

 private:
  std::filesystem::path path_;
};

Problem refusal_of(const std::filesystem::path& path) {
  try {
    read_case_file(path);
  } catch (const CaseError& error) {
    return error.problems().front();
  }
  return {};
}

}  // namespace

TEST_CASE("the good texts that the wrong ones are made from do read") {
  CHECK(read_case_text(sample_text(), "good.toml").headers.size() == 2);
  CHECK(read_case_text(sample_pipes(), "good.toml").headers.size() == 1);
}

TEST_CASE("wrong engine cases name line, key, value and remedy") {
  for (const Row& row : engine_rows) check_row(sample_text(), row);
}

TEST_CASE("wrong networks name line, key, value and remedy") {
  for (const Row& row : pipe_rows) check_row(sample_pipes(), row);
}

TEST_CASE("a key under its old name is not called missing as well") {
  const auto entry = problems_of(replaced(sample_text(), "entry_diameter", "mouth_diameter"));
  REQUIRE(entry.size() == 1);
  CHECK(entry[0].advice == "for example: entry_diameter = \"52 mm\"");
  std::string text = sample_text();
  for (int i = 0; i < 2; ++i) text = replaced(text, "[[header]]", "[[concept]]");
  const auto header = problems_of(text);
  REQUIRE(header.size() == 1);
  CHECK(header[0].advice == "begin each with a line [[header]]");
}

TEST_CASE("every old name of the parameter table is refused by a row of its own") {
  for (const Parameter& parameter : parameters()) {
    if (parameter.former_key.empty()) continue;
    const auto names_it = [&](const Row& row) {
      return contains(row.to, parameter.former_key) &&
             contains(row.says, "which is " + std::string(parameter.key) + " now");
    };
    CAPTURE(parameter.former_key);
    CHECK((std::any_of(std::begin(engine_rows), std::end(engine_rows), names_it) ||
           std::any_of(std::begin(pipe_rows), std::end(pipe_rows), names_it)));
  }
}

TEST_CASE("several mistakes are shown together, in the order of their lines") {
  std::string text = replaced(sample_text(), "bore = \"102 mm\"", "bore = 102");
  text = replaced(text, "rod = \"150 mm\"", "rood = \"150 mm\"");
  text = replaced(text, "step = \"250 rpm\"", "step = \"250 mm\"");
  const std::vector<Problem> problems = problems_of(text);
  REQUIRE(problems.size() == 3);  // rod is not missing as well as mistyped
  for (std::size_t i = 1; i < problems.size(); ++i) {
    CHECK(problems[i].line >= problems[i - 1].line);
  }
}

TEST_CASE("a message is complete") {
  const std::string text = replaced(sample_text(), "bore = \"102 mm\"", "bore = 102");
  try {
    read_case_text(text, "bad.toml");
    FAIL("no error");
  } catch (const CaseError& error) {
    CHECK(std::string(error.what()) ==
          "bad.toml:5: engine.bore = 102: is a bare number; it needs its unit and quotes\n"
          "  allowed: a length with its unit from 20 mm to 300 mm\n"
          "  for example: bore = \"94 mm\"");
  }
}

TEST_CASE("an empty text misses what every case has") {
  const std::vector<Problem> problems = problems_of("");
  std::string keys;
  for (const Problem& problem : problems) keys += problem.key + " ";
  CHECK(contains(keys, "title"));
  CHECK(contains(keys, "header"));
  CHECK(contains(keys, "run"));
}

TEST_CASE("a network whose gas runs in a circle is refused") {
  std::string text = sample_text();
  text = text.substr(0, text.find("[[header]]"));
  text = replaced(text,
                  "[1, 8, 4, 3, 6, 5, 7, 2]\nbanks = { left = [1, 3, 5, 7], right = [2, 4, 6, 8] }",
                  "[1]");
  text += R"([[header]]
name = "circle"
kind = "network"
[[header.pipe]]
name = "primary"
from = "cylinder 1"
to = "junction A"
tube = "40 mm ID"
length = "0.5 m"
[[header.pipe]]
name = "there"
from = "junction A"
to = "junction B"
tube = "40 mm ID"
length = "0.5 m"
[[header.pipe]]
name = "back"
from = "junction B"
to = "junction A"
tube = "40 mm ID"
length = "0.5 m"
[[header.junction]]
name = "A"
[[header.junction]]
name = "B"
[run]
speeds = ["3000 rpm"]
)";
  const std::vector<Problem> problems = problems_of(text);
  REQUIRE(problems.size() == 1);
  CHECK(problems[0].key == "header[1].pipe[1].from");
  CHECK(problems[0].line == line_of(text, "from = \"cylinder 1\""));
  CHECK(contains(problems[0].message, "the gas of cylinder 1 never reaches an open end"));
  // With an outlet in the circle it reads.
  const std::string open =
      replaced(text, "name = \"B\"\n[run]", "name = \"B\"\nvent_area = \"10 cm2\"\n[run]");
  CHECK(problems_of(open).empty());
  // A cylinder without a pipe, and one with two.
  const std::string none = replaced(text, "from = \"cylinder 1\"", "from = \"open\"");
  REQUIRE(!problems_of(none).empty());
  CHECK(contains(problems_of(none)[0].message, "no pipe begins at cylinder 1"));
  const std::string two = replaced(text, "from = \"junction A\"", "from = \"cylinder 1\"");
  REQUIRE(!problems_of(two).empty());
  CHECK(contains(problems_of(two)[0].message, "which has a pipe already"));
}

TEST_CASE("a circle of pipes without any end is refused") {
  std::string text = sample_pipes();
  for (const char* end : {"from = \"closed\"", "from = \"closed\""}) {
    text = replaced(text, end, "from = \"junction J\"");
  }
  CHECK(problems_of(text).empty());  // the third pipe still ends in the open
  text = replaced(text, "to = \"open\"", "to = \"junction J\"");
  const std::vector<Problem> problems = problems_of(text);
  REQUIRE(problems.size() == 1);
  CHECK(problems[0].key == "header[1].pipe[1].name");
  CHECK(problems[0].line == line_of(text, "name = \"one\""));
  CHECK(contains(problems[0].message, "is part of a loop without an outlet"));
}

TEST_CASE("headers that the engine does not admit are refused") {
  const std::string one_bank =
      replaced(sample_text(), "banks = { left = [1, 3, 5, 7], right = [2, 4, 6, 8] }", "");
  const auto crossed =
      problems_of(replaced(one_bank, "kind = \"equal-length\"", "kind = \"180-degree\""));
  REQUIRE(crossed.size() == 1);
  CHECK(contains(crossed[0].message, "this engine has one bank"));
  // All eight on one collector fire evenly: nothing to step for.
  const auto stepped = problems_of(one_bank);
  REQUIRE(stepped.size() == 1);
  CHECK(stepped[0].key == "header[2].kind");
  CHECK(contains(stepped[0].message, "no close pair"));
  std::string small =
      replaced(sample_text(), "right = [2, 4, 6, 8]", "mid = [2, 4], right = [6, 8]");
  small = replaced(small, "kind = \"equal-length\"",
                   "kind = \"4-2-1\"\nsecondary_tube = \"2 in ID\"\nsecondary_length = \"16 in\"");
  const auto paired = problems_of(small);
  REQUIRE(!paired.empty());
  CHECK(contains(paired[0].message, "needs at least four cylinders on each collector"));
}

TEST_CASE("a missing file, a folder and a device are refused") {
  CHECK(contains(refusal_of("/nowhere/at/all.toml").message, "no such file"));
  CHECK(contains(refusal_of(std::filesystem::temp_directory_path()).message, "is a folder"));
  CHECK(contains(refusal_of("/dev/null").message, "not a plain file"));
  CHECK(refusal_of("/nowhere/at/all.toml").file == "/nowhere/at/all.toml");
}

TEST_CASE("a file of 10 MB is refused before it is read") {
  const ScratchFile file(std::string(10 * 1024 * 1024, '#'));
  const Problem problem = refusal_of(file.path());
  CHECK(contains(problem.message, "has 10485760 bytes; a case file has at most 1048576"));
  CHECK(problem.file == file.path().string());
}

TEST_CASE("binary garbage and broken UTF-8 are refused with their line") {
  std::string garbage = "title = \"x\"\n";
  for (int i = 0; i < 4096; ++i) garbage += static_cast<char>((i * 7919 + 13) % 256);
  const ScratchFile file(garbage);
  const Problem problem = refusal_of(file.path());
  CHECK(contains(problem.message, "is no text"));
  CHECK(problem.line == 2);
  for (const char* bytes :
       {"\xff\xfe", "\xc0\xaf", "\xed\xa0\x80", "\xf4\x90\x80\x80", "\xe2\x82"}) {
    const auto problems = problems_of(sample_text() + "# " + bytes + "\n");
    REQUIRE(problems.size() == 1);
    CHECK(contains(problems[0].message, "is no text"));
    CHECK(problems[0].line == line_of(sample_text(), "step = \"250 rpm\"") + 1);
  }
  CHECK(problems_of(sample_text() + "# caf\xc3\xa9 \xe2\x82\xac \xf0\x9f\x94\xa7\n").empty());
}

TEST_CASE("a file without permission is refused") {
  const ScratchFile file(sample_text());
  REQUIRE(::chmod(file.path().c_str(), 0) == 0);
  // The superuser reads everything: become nobody for the moment.
  const bool super = ::geteuid() == 0;
  if (super) REQUIRE(::seteuid(65534) == 0);
  const Problem problem = refusal_of(file.path());
  if (super) REQUIRE(::seteuid(0) == 0);
  CHECK(contains(problem.message, "cannot be opened for reading"));
}

TEST_CASE("deep nesting and long lines end in an error, not in a crash") {
  CHECK(!problems_of("title = " + std::string(100000, '[') + "\n").empty());
  std::string long_key(500000, 'k');
  long_key += " = 1\n";
  CHECK(!problems_of(long_key).empty());
  const auto problems =
      problems_of(replaced(sample_text(), "\"102 mm\"", "\"" + std::string(10000, '9') + " mm\""));
  REQUIRE(!problems.empty());
  CHECK(problems[0].value.size() <= 60);
}

TEST_CASE("a key of more parts than the parser survives is refused at its line") {
  std::string parts = "a";
  for (int i = 1; i < 40000; ++i) parts += i % 3 == 0 ? ".\"b\"" : i % 3 == 1 ? " . a" : ".c";
  for (const std::string& text :
       {"title = \"x\"\n" + parts + " = 1\n", "title = \"x\"\n[" + parts + "]\n",
        "title = \"x\"\n[[" + parts + "]]\n", "title = \"x\"\nbuild = { " + parts + " = 1 }\n",
        "notes = \"\"\"x\n\"\"\"\"\"; " + parts + " = 1\n"}) {
    const std::vector<Problem> problems = problems_of(text);
    REQUIRE(problems.size() == 1);
    CHECK(contains(problems[0].message, "a key of more than 16 parts"));
    CHECK(problems[0].line == 2);
  }
  // Dots that are no parts of a key.
  const std::string dots(1000, '.');
  CHECK(
      problems_of(replaced(sample_text(), "invented = true", "notes = \"" + dots + "\"\n# " + dots))
          .empty());
  CHECK(problems_of(
            replaced(sample_text(), "invented = true", "notes = \'\'\'it\'s\n" + dots + "\'\'\'"))
            .empty());
}

TEST_CASE("a bank that is called like a pair of its cylinders is refused") {
  std::string text = replaced(sample_text(), "left = [1, 3, 5, 7]", "\"1+7\" = [1, 3, 5, 7]");
  text = replaced(text, "kind = \"equal-length\"",
                  "kind = \"4-2-1\"\nsecondary_tube = \"2-1/8 in OD, 16 ga\"\nsecondary_length = "
                  "\"16 in\"");
  // Pairs of 1-3-7-5 (the order of the bank), a cycle's half apart: 1 with 7 or with 5.
  std::string pair;
  for (const char* name : {"1+7", "1+3", "1+5"}) {
    const auto problems = problems_of(replaced(text, "\"1+7\"", "\"" + std::string(name) + "\""));
    if (problems.empty()) continue;
    REQUIRE(problems.size() == 1);
    CHECK(problems[0].key == "engine.banks");
    CHECK(problems[0].line == line_of(text, "banks ="));
    CHECK(contains(problems[0].message, "makes two junctions \"merge " + std::string(name) + "\""));
    pair += name;
  }
  CHECK(pair.size() == 3);  // one of them is a pair
}

TEST_CASE("pipes and junctions of a network are not called like those of the intake") {
  std::string text = sample_text();
  text = text.substr(0, text.find("[[header]]"));
  text = replaced(text,
                  "[1, 8, 4, 3, 6, 5, 7, 2]\nbanks = { left = [1, 3, 5, 7], right = [2, 4, 6, 8] }",
                  "[1]");
  text = replaced(text, "entry_diameter = \"50 mm\"",
                  "entry_diameter = \"50 mm\"\nsource = \"plenum\"\nplenum_volume = \"6 "
                  "L\"\nthrottle_area = \"45 cm2\"");
  text += R"([[header]]
name = "boxed"
kind = "network"
[[header.pipe]]
name = "primary"
from = "cylinder 1"
to = "junction box"
tube = "40 mm ID"
length = "0.5 m"
[[header.junction]]
name = "box"
vent_area = "10 cm2"
[run]
speeds = ["3000 rpm"]
)";
  CHECK(problems_of(text).empty());
  const auto pipe = problems_of(replaced(text, "\"primary\"", "\"runner 1\""));
  REQUIRE(pipe.size() == 1);
  CHECK(pipe[0].key == "header[1].pipe");
  CHECK(pipe[0].line > 0);
  CHECK(contains(pipe[0].message, "\"runner 1\""));
  const auto junction = problems_of(replaced(replaced(text, "junction box", "junction plenum"),
                                             "name = \"box\"", "name = \"plenum\""));
  REQUIRE(junction.size() == 1);
  CHECK(junction[0].key == "header[1].junction");
}

namespace {

// Pipes one behind the other, with a dead end at every joint.
std::string chain_text(int joints) {
  std::string text = "title = \"chain\"\n[[header]]\nname = \"chain\"\nkind = \"network\"\n";
  const auto add_pipe = [&](const std::string& name, const std::string& from,
                            const std::string& to) {
    text += "[[header.pipe]]\nname = \"" + name + "\"\nfrom = \"" + from + "\"\nto = \"" + to +
            "\"\ntube = \"40 mm ID\"\nlength = \"0.1 m\"\n";
  };
  for (int i = 0; i <= joints; ++i) {
    const auto joint = [](int k) { return "junction J" + std::to_string(k); };
    add_pipe("run " + std::to_string(i), i == 0 ? "closed" : joint(i - 1),
             i == joints ? "open" : joint(i));
    if (i < joints) add_pipe("stub " + std::to_string(i), "closed", joint(i));
  }
  for (int i = 0; i < joints; ++i) {
    text += "[[header.junction]]\nname = \"J" + std::to_string(i) + "\"\n";
  }
  return text + "[run]\nduration = \"5 ms\"\n";
}

}  // namespace

// network_reading.py counts its instructions with fewer joints.
TEST_CASE("a network of as many pipes as can be simulated is read") {
  const char* joints = std::getenv("PULSEWRIGHT_JOINTS");
  CHECK(problems_of(chain_text(joints == nullptr ? 499 : std::stoi(joints))).empty());  // 999 pipes
}

TEST_CASE("a network of more pipes than can be simulated is refused") {
  const auto problems = problems_of(chain_text(500));
  REQUIRE(problems.size() == 1);
  CHECK(problems[0].key == "header[1].pipe");
  CHECK(contains(problems[0].message + problems[0].advice, "lists 1001 pipes"));
}

TEST_CASE("a grid of too many cells is refused") {
  std::string text = sample_pipes();
  text = replaced(text, "length = \"0.5 m\"", "length = \"100 m\"");
  text = replaced(text, "duration = \"5 ms\"", "duration = \"5 ms\"\ncell_size = \"0.5 mm\"");
  const std::vector<Problem> problems = problems_of(text);
  REQUIRE(problems.size() == 1);
  CHECK(problems[0].key == "run.cell_size");
  CHECK(problems[0].line == line_of(text, "cell_size"));
  CHECK(contains(problems[0].message, "into 202000 cells"));
}
