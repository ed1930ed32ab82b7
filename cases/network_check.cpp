#include "cases/network_check.hpp"

#include <algorithm>
#include <fmt/format.h>
#include <map>
#include <set>

#include "cases/case_text.hpp"
#include "cases/nearest_key.hpp"

namespace pulsewright::cases {
namespace {

class Graph {
 public:
  Graph(Problems& problems, const CaseFile& case_file, const HeaderDesign& header,
        std::vector<Section>& pipes, std::vector<Section>& junctions)
      : problems_(problems),
        case_(case_file),
        header_(header),
        pipes_(pipes),
        junctions_(junctions) {}

  void check() {
    check_names();
    if (problems_.any()) return;
    check_junctions();
    check_cylinders();
    if (problems_.any()) return;
    check_outlets();
  }

 private:
  void check_names() {
    std::set<std::string> names;
    for (std::size_t i = 0; i < header_.pipes.size(); ++i) {
      const std::string& name = header_.pipes[i].pipe.name;
      if (!good_name(name)) pipes_[i].problem("name", "is no good name", std::string(name_advice));
      if (!names.insert(name).second) {
        pipes_[i].problem("name", "is the name of an earlier pipe", "give every pipe its own name");
      }
    }
    names.clear();
    for (std::size_t i = 0; i < header_.junctions.size(); ++i) {
      const std::string& name = header_.junctions[i].name;
      if (!good_name(name)) {
        junctions_[i].problem("name", "is no good name", std::string(name_advice));
      }
      if (!names.insert(name).second) {
        junctions_[i].problem("name", "is the name of an earlier junction",
                              "give every junction its own name");
      }
      uses_[name] = 0;
    }
  }

  void use(Section& s, const std::string& key, const NetworkEnd& end) {
    if (end.kind != NodeKind::junction) return;
    const auto found = uses_.find(end.junction);
    if (found != uses_.end()) {
      ++found->second;
      return;
    }
    std::vector<std::string> known;
    for (const auto& [name, count] : uses_) known.push_back(name);
    const std::string near = nearest_key(end.junction, known);
    s.problem(key, fmt::format("names junction '{}', which is not described", end.junction),
              near.empty() ? "add a [[header.junction]] of this name"
                           : fmt::format("did you mean \"junction {}\"?", near));
  }

  void check_junctions() {
    for (std::size_t i = 0; i < header_.pipes.size(); ++i) {
      use(pipes_[i], "from", header_.pipes[i].from);
      use(pipes_[i], "to", header_.pipes[i].to);
    }
    for (std::size_t i = 0; i < header_.junctions.size(); ++i) {
      const NetworkJunction& junction = header_.junctions[i];
      const int least = junction.vent_area > 0 ? 1 : 2;
      if (uses_[junction.name] < least) {
        junctions_[i].problem("name", fmt::format("has {} pipe ends", uses_[junction.name]),
                              "a junction joins at least two pipe ends, or one and a vent_area");
      }
    }
  }

  void check_cylinders() {
    const int n = static_cast<int>(case_.engine.firing_order.size());
    std::set<int> seen;
    for (std::size_t i = 0; i < header_.pipes.size(); ++i) {
      const NetworkEnd& from = header_.pipes[i].from;
      if (from.kind != NodeKind::cylinder) continue;
      if (from.cylinder < 1 || from.cylinder > n) {
        pipes_[i].problem(
            "from", fmt::format("names cylinder {}, which the case does not have", from.cylinder),
            n == 0 ? std::string("the case has no [engine]")
                   : fmt::format("the engine has cylinders 1 to {}", n));
      } else if (!seen.insert(from.cylinder).second) {
        pipes_[i].problem("from",
                          fmt::format("names cylinder {}, which has a pipe already", from.cylinder),
                          "one pipe begins at each cylinder");
      }
    }
    for (int cylinder = 1; cylinder <= n; ++cylinder) {
      if (seen.count(cylinder) > 0 || problems_.any()) continue;
      problems_.add({"", header_.line, fmt::format("header \"{}\"", header_.name), "",
                     fmt::format("no pipe begins at cylinder {}", cylinder), "",
                     fmt::format("add a [[header.pipe]] with from = \"cylinder {}\"", cylinder)});
    }
  }

  // A network that gas enters needs a way out; a closed loop of pipes alone has no meaning either.
  void check_outlets() {
    for (std::size_t i = 0; i < header_.pipes.size(); ++i) {
      if (header_.pipes[i].from.kind == NodeKind::cylinder && !reaches_end(i, true)) {
        pipes_[i].problem(
            "from",
            fmt::format("the gas of cylinder {} never reaches an open end",
                        header_.pipes[i].from.cylinder),
            "let a pipe that its gas runs through end with to = \"open\"; a loop needs "
            "an outlet");
        return;
      }
      if (!reaches_end(i, false)) {
        pipes_[i].problem("name", "is part of a loop without an outlet",
                          "let one of its pipes end \"open\", \"closed\" or \"anechoic\"");
        return;
      }
    }
  }

  bool is_outlet(const NetworkEnd& end, bool open_only) const {
    if (end.kind == NodeKind::junction) {
      return std::any_of(header_.junctions.begin(), header_.junctions.end(),
                         [&](const auto& j) { return j.name == end.junction && j.vent_area > 0; });
    }
    if (end.kind == NodeKind::cylinder) return false;
    return !open_only || end.kind != NodeKind::closed;
  }

  // Downstream along the pipes' direction (the way of a cylinder's gas), or either way.
  bool reaches_end(std::size_t start, bool downstream) const {
    std::set<std::size_t> seen{start};
    std::vector<std::size_t> to_visit{start};
    while (!to_visit.empty()) {
      const NetworkPipe& pipe = header_.pipes[to_visit.back()];
      to_visit.pop_back();
      if (is_outlet(pipe.to, downstream)) return true;
      if (!downstream && is_outlet(pipe.from, false)) return true;
      for (std::size_t i = 0; i < header_.pipes.size(); ++i) {
        const NetworkPipe& other = header_.pipes[i];
        bool joined = same(pipe.to, other.from);
        if (!downstream) {
          joined = joined || same(pipe.to, other.to) || same(pipe.from, other.from) ||
                   same(pipe.from, other.to);
        }
        if (joined && seen.insert(i).second) to_visit.push_back(i);
      }
    }
    return false;
  }

  static bool same(const NetworkEnd& a, const NetworkEnd& b) {
    return a.kind == NodeKind::junction && b.kind == NodeKind::junction && a.junction == b.junction;
  }

  static constexpr std::string_view name_advice =
      "use letters, digits, spaces and . _ + -, at most 40";
  Problems& problems_;
  const CaseFile& case_;
  const HeaderDesign& header_;
  std::vector<Section>& pipes_;
  std::vector<Section>& junctions_;
  std::map<std::string, int> uses_;
};

}  // namespace

void check_network(Problems& problems, const CaseFile& case_file, const HeaderDesign& header,
                   std::vector<Section>& pipes, std::vector<Section>& junctions) {
  Graph(problems, case_file, header, pipes, junctions).check();
}

}  // namespace pulsewright::cases
