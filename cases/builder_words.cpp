#include "cases/builder_words.hpp"

#include <algorithm>
#include <array>
#include <cctype>

namespace pulsewright::cases {
namespace {

struct BuilderWord {
  std::string_view section, key;  // key "": the words are keys
  std::string_view words;         // separated by spaces, in small letters with hyphens
  std::string_view advice;
};

constexpr std::array all_words{
    BuilderWord{
        "header.part", "kind", "muffler mufflers silencer",
        "a muffler is \"straight-through\" (perforated core in a shell) or \"chamber\" (one "
        "part for each of its chambers); by its measured pressure: \"back-pressure\""},
    BuilderWord{"header.part", "kind", "glasspack glass-pack absorption perforated bullet",
                "write kind = \"straight-through\""},
    BuilderWord{"header.part", "kind", "chambered chambered-muffler expansion-chamber chambers",
                "write kind = \"chamber\", one part for each chamber"},
    BuilderWord{"header.part", "kind", "cat catalytic-converter converter",
                "write kind = \"catalyst\""},
    BuilderWord{
        "header.part", "kind", "resonator",
        "a resonator on the side is \"quarter-wave\" (closed tube) or \"helmholtz\" (volume "
        "behind a neck); one that the gas runs through is \"straight-through\""},
    BuilderWord{"header.part", "kind", "j-pipe branch side-branch",
                "write kind = \"quarter-wave\""},
    BuilderWord{"header.part", "kind", "tube tailpipe tail tail-pipe", "write kind = \"pipe\""},
    BuilderWord{"header.part", "kind", "restriction restrictor loss",
                "write kind = \"back-pressure\""},

    BuilderWord{"header", "kind",
                "1-1 2-1 3-1 4-1 5-1 6-1 8-1 2-into-1 3-into-1 4-into-1 5-into-1 6-into-1 4in1 "
                "long-tube longtube shorty full-length equal unequal-length merge-collector",
                "tubes of one length into one collector, of a bank or of a list in groups, are "
                "\"equal-length\"; single ones may differ by lengths"},
    BuilderWord{"header", "kind", "tri-y triy try-y 4-into-2-into-1 4-2", "write kind = \"4-2-1\""},
    BuilderWord{"header", "kind", "6-into-2-into-1 6-into-3-into-1",
                "write kind = \"6-2-1\" or \"6-3-1\""},
    BuilderWord{"header", "kind", "180 180-deg crossover bundle-of-snakes snakes",
                "write kind = \"180-degree\""},
    BuilderWord{"header", "kind", "step stepped-tube stepped-diameter step-tube",
                "tubes that change their diameter are \"equal-length\" with primary_steps; "
                "\"stepped-length\" has tubes of different length"},
    BuilderWord{"header", "kind", "megaphone single open straight zoomie zoomies stack stacks",
                "a tube for each cylinder is \"equal-length\" with groups of one, [[1], [2], ...]; "
                "one that widens has primary_steps with a cone_length"},
    BuilderWord{"header", "kind", "log manifold log-manifold cast-manifold",
                "describe it with kind = \"network\""},
    BuilderWord{"header", "kind", "x-pipe h-pipe y-pipe",
                "describe the primaries by kind, and what joins the collectors by "
                "[[header.balance]] or shared_tail = true"},
    BuilderWord{"header.balance", "kind", "h-pipe balance bar straight", "write kind = \"H\""},
    BuilderWord{"header.balance", "kind", "x-pipe cross crossing crossover", "write kind = \"X\""},

    BuilderWord{"combustion", "fuel", "alcohol", "write \"methanol\" or \"ethanol\""},
    BuilderWord{"combustion", "fuel",
                "petrol gasoline gas pump pump-gas pump-fuel premium regular unleaded super",
                "write \"pump-petrol\""},
    BuilderWord{"combustion", "fuel", "race race-gas race-fuel racing avgas racing-petrol octane",
                "write \"race-petrol\""},
    BuilderWord{"combustion", "fuel", "m100 meth", "write \"methanol\""},
    BuilderWord{"combustion", "fuel", "e100 grain-alcohol", "write \"ethanol\""},
    BuilderWord{"combustion", "fuel", "nitro nitromethane lpg cng propane methane hydrogen e50 e30",
                "leave fuel out and give its values: heating_value, stoichiometric_air_fuel, "
                "hydrogen_to_carbon, oxygen_to_carbon, latent_heat, molar_mass"},
    BuilderWord{"combustion", "fuel", "diesel",
                "the model burns a mixture that a spark lights; a diesel is not one"},

    BuilderWord{"intake", "source",
                "carburettor carburetor carb single-plane dual-plane manifold throttle-body "
                "open-plenum common",
                "write source = \"plenum\", and what its throttle or carburettor flows in "
                "throttle_flow and throttle_drop"},
    BuilderWord{"intake", "source", "itb itbs individual individual-throttles stacks open none",
                "write source = \"atmosphere\""},
    BuilderWord{"valve.cam", "follower", "mechanical solid-roller flat-solid",
                "write follower = \"solid\""},
    BuilderWord{"valve.cam", "follower", "hydraulic-roller", "write follower = \"hydraulic\""},
    BuilderWord{"valve.cam", "follower", "roller flat flat-tappet bucket buckets",
                "what counts is whether it runs with lash: \"solid\", or without: \"hydraulic\""},
    BuilderWord{"exhaust", "finish", "ceramic coating jet-hot", "write finish = \"coated\""},
    BuilderWord{"exhaust", "finish", "wrap lagged", "write finish = \"wrapped\""},
    BuilderWord{"exhaust", "finish", "none stainless mild-steel steel painted raw",
                "write finish = \"bare\""},

    BuilderWord{"header", "", "muffler mufflers silencer catalyst cat resonator converter",
                "parts behind a collector have tables of their own: [[header.part]]"},
    BuilderWord{"header", "", "h-pipe x-pipe crossover balance-pipe",
                "what joins two collectors has a table of its own: [[header.balance]]"},
    BuilderWord{"header", "", "y-pipe", "write shared_tail = true"},
    BuilderWord{"header", "", "tailpipe tail-pipe", "write tail_tube and tail_length"},
    BuilderWord{"header", "", "tube diameter primary-diameter primary primary-size",
                "write primary_tube"},
    BuilderWord{"header", "", "length", "write primary_length"},
    BuilderWord{"header", "", "collector-diameter collector collector-size",
                "write collector_tube"},
    BuilderWord{"header", "", "choke choke-diameter neck neck-diameter", "write merge_diameter"},
    BuilderWord{"header", "", "megaphone steps", "write primary_steps"},
    BuilderWord{"engine", "", "displacement capacity",
                "it follows from bore, stroke and the number "
                "of cylinders; remove it"},
    BuilderWord{"engine", "", "cylinders", "the firing order says how many there are; remove it"},
    BuilderWord{"engine", "", "cr compression", "write compression_ratio"},
    BuilderWord{"cam", "", "lsa lca lobe-center lobe-centre lobe-center-angle",
                "write lobe_separation"},
    BuilderWord{"cam", "", "icl centerline intake-lobe-center", "write intake_centerline"},
    BuilderWord{"cam", "", "advance", "write intake_centerline: lobe separation less the advance"},
    BuilderWord{
        "valve", "", "diameter valve-diameter head-diameter size",
        "write seat_diameter, the inner diameter of the seat: a little less than the valve"},
    BuilderWord{"valve.cam", "", "gross-lift valve-lift", "write lift"},
    BuilderWord{"valve.cam", "", "ratio", "write rocker_ratio"},
    BuilderWord{"valve.flow", "", "cfm flow", "write forward"},
    BuilderWord{"valve.flow", "", "pressure test-pressure", "write depression"},
    BuilderWord{"intake", "", "carburettor carburetor carb cfm throttle-cfm",
                "write throttle_flow, and throttle_drop at which it is rated"},
    BuilderWord{"intake", "", "runner-length", "write length"},
    BuilderWord{"intake", "", "runner-diameter diameter", "write entry_diameter"},
    BuilderWord{"intake", "", "plenum", "write source = \"plenum\" and plenum_volume"},
    BuilderWord{"ambient", "", "humidity", "write relative_humidity"},
    BuilderWord{"ambient", "", "elevation height", "write altitude"},
    BuilderWord{"ambient", "", "barometer", "write pressure"},
    BuilderWord{"", "", "fuel afr", "it stands under [combustion]"},
    BuilderWord{"", "", "camshaft", "it is [cam], for what the card says of both valves"},
};

std::string plain(std::string_view word) {
  std::string out;
  for (const char c : word) {
    const bool gap = c == ' ' || c == '_';
    out += gap ? '-' : static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
  }
  return out;
}

}  // namespace

std::string builder_word(std::string_view section, std::string_view key, std::string_view word) {
  if (word.empty() || word.size() > 40) return {};
  const std::string wanted = " " + plain(word) + " ";
  for (const BuilderWord& entry : all_words) {
    if (entry.section != section || entry.key != key) continue;
    const std::string words = " " + std::string(entry.words) + " ";
    if (words.find(wanted) != std::string::npos) return std::string(entry.advice);
  }
  return {};
}

}  // namespace pulsewright::cases
