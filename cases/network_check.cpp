#include "cases/network_check.hpp"

#include <fmt/format.h>
#include <map>
#include <set>

#include "cases/case_text.hpp"
#include "cases/nearest_key.hpp"
#include "cases/visible_text.hpp"

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
    // Once for each name, however many pipes have it.
    if (!undescribed_.insert(end.junction).second) return;
    std::vector<std::string> known;
    for (const auto& [name, count] : uses_) known.push_back(name);
    const std::string near = nearest_key(end.junction, known);
    s.problem(key,
              fmt::format("names junction '{}', which is not described", shortened(end.junction)),
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
      // A junction that no pipe names is the one that is missing under another name.
      if (uses_[junction.name] < least && undescribed_.empty()) {
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
    find_neighbours();
    const std::vector<bool> drains = reaching_end(true);
    const std::vector<bool> ends = reaching_end(false);
    for (std::size_t i = 0; i < header_.pipes.size(); ++i) {
      if (header_.pipes[i].from.kind == NodeKind::cylinder && !drains[i]) {
        pipes_[i].problem(
            "from",
            fmt::format("the gas of cylinder {} never reaches an open end",
                        header_.pipes[i].from.cylinder),
            "let a pipe that its gas runs through end with to = \"open\"; a loop needs "
            "an outlet");
        return;
      }
      if (!ends[i]) {
        pipes_[i].problem("name", "is part of a loop without an outlet",
                          "let one of its pipes end \"open\", \"closed\" or \"anechoic\"");
        return;
      }
    }
  }

  void find_neighbours() {
    for (const NetworkJunction& junction : header_.junctions) {
      neighbours_[junction.name].vented = junction.vent_area > 0;
    }
    for (std::size_t i = 0; i < header_.pipes.size(); ++i) {
      const NetworkPipe& pipe = header_.pipes[i];
      if (pipe.from.kind == NodeKind::junction)
        neighbours_[pipe.from.junction].leaving.push_back(i);
      if (pipe.to.kind == NodeKind::junction) neighbours_[pipe.to.junction].entering.push_back(i);
    }
  }

  bool is_outlet(const NetworkEnd& end, bool open_only) const {
    if (end.kind == NodeKind::junction) return neighbours_.at(end.junction).vented;
    if (end.kind == NodeKind::cylinder) return false;
    return !open_only || end.kind != NodeKind::closed;
  }

  // Which pipes lead to an open end downstream, along the direction of the pipes (the way of a
  // cylinder's gas), or else to any end either way: from the ends backwards, each junction once.
  std::vector<bool> reaching_end(bool downstream) const {
    std::vector<bool> reaches(header_.pipes.size(), false);
    std::vector<std::size_t> to_visit;
    std::set<std::string> visited;
    const auto reach = [&](std::size_t i) {
      if (!reaches[i]) to_visit.push_back(i);
      reaches[i] = true;
    };
    const auto visit = [&](const NetworkEnd& end) {
      if (end.kind != NodeKind::junction || !visited.insert(end.junction).second) return;
      const Neighbours& neighbours = neighbours_.at(end.junction);
      for (const std::size_t i : neighbours.entering) reach(i);
      if (downstream) return;
      for (const std::size_t i : neighbours.leaving) reach(i);
    };
    for (std::size_t i = 0; i < header_.pipes.size(); ++i) {
      const NetworkPipe& pipe = header_.pipes[i];
      if (is_outlet(pipe.to, downstream) || (!downstream && is_outlet(pipe.from, false))) reach(i);
    }
    while (!to_visit.empty()) {
      const NetworkPipe& pipe = header_.pipes[to_visit.back()];
      to_visit.pop_back();
      visit(pipe.from);
      if (!downstream) visit(pipe.to);
    }
    return reaches;
  }

  struct Neighbours {
    std::vector<std::size_t> entering, leaving;  // pipes
    bool vented = false;
  };
  static constexpr std::string_view name_advice =
      "use letters, digits, spaces and . _ + -, at most 40";
  Problems& problems_;
  const CaseFile& case_;
  const HeaderDesign& header_;
  std::vector<Section>& pipes_;
  std::vector<Section>& junctions_;
  std::map<std::string, int> uses_;
  std::set<std::string> undescribed_;             // junctions that pipes name
  std::map<std::string, Neighbours> neighbours_;  // by junction
};

}  // namespace

void check_network(Problems& problems, const CaseFile& case_file, const HeaderDesign& header,
                   std::vector<Section>& pipes, std::vector<Section>& junctions) {
  Graph(problems, case_file, header, pipes, junctions).check();
}

}  // namespace pulsewright::cases
