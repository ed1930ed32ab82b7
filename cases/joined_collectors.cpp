#include "cases/joined_collectors.hpp"

#include <fmt/format.h>

#include "cases/header_parts.hpp"

namespace pulsewright::cases {
namespace {

using models::Side;

// The side of a collector as an angle round the axis: the first one stands at -y, the last at +y,
// as their outlets do.
double side_deg(std::size_t index, std::size_t count) {
  return 180.0 + 360.0 * static_cast<double>(index) / static_cast<double>(count);
}

class Joiner {
 public:
  Joiner(NetworkBuilder& builder, const HeaderDesign& header)
      : builder_(builder), header_(header), ends_(builder.collector_ends()) {
    for (const CollectorEnd& end : ends_) {
      outlet_of_.push_back(pipes_.size());
      pipes_.push_back(end.pipe);
    }
  }

  void join() {
    for (std::size_t i = 0; i < header_.balance.size(); ++i) {
      add_balance(i);
    }
    if (header_.shared_tail) {
      add_shared_tail();
    } else {
      for (std::size_t k = 0; k < ends_.size(); ++k) {
        builder_.add_outlet({pipes_[k], Side::right}, ends_[k].outlet);
      }
    }
  }

 private:
  // m along the profile of a collector to a balance pipe, or to its end.
  double place(const CollectorEnd& end, std::size_t i) const {
    if (i == header_.balance.size()) return end.profile.back().x;
    return header_.collector_length + header_.balance[i].at - end.behind;
  }

  void extend_paths(std::size_t way, int pipe) {
    for (std::size_t k = 0; k < ends_.size(); ++k) {
      if (outlet_of_[k] != way) continue;
      for (const int cylinder : ends_[k].group->cylinders) builder_.extend_path(cylinder, pipe);
    }
  }

  // The next pipe of each side, by collector.
  std::vector<int> next_pipes(std::size_t i) {
    std::vector<int> next;
    for (const CollectorEnd& end : ends_) {
      next.push_back(builder_.add_pipe(
          builder_.exhaust_pipe(fmt::format("{} {}", numbered("tail", i), end.group->name),
                                cut_profile(end.profile, place(end, i), place(end, i + 1)),
                                header_.collector_tube.wall)));
    }
    return next;
  }

  void add_balance(std::size_t i) {
    const BalancePipe& balance = header_.balance[i];
    const std::vector<int> next = next_pipes(i);
    if (balance.kind == BalanceKind::bar) {
      add_bar(i, balance, next);
    } else {
      add_crossing(i, balance, next);
    }
    pipes_ = next;
    for (std::size_t way = 0; way < next.size(); ++way) extend_paths(way, next[way]);
  }

  void add_bar(std::size_t i, const BalancePipe& balance, const std::vector<int>& next) {
    const double bore = balance.tube.inside_diameter;
    const int bar = builder_.add_pipe(builder_.exhaust_pipe(
        numbered("H pipe", i), {{0, bore}, {balance.length, bore}}, balance.tube.wall));
    for (std::size_t k = 0; k < ends_.size(); ++k) {
      models::JunctionSpecification& junction =
          builder_.add_junction(fmt::format("{} {}", numbered("H", i), ends_[k].group->name));
      junction.branches = {{{pipes_[k], Side::right}, incoming_direction(0, 0)},
                           {{bar, k == 0 ? Side::left : Side::right},
                            outgoing_direction(90, side_deg(k + 1, ends_.size()))}};
      merge_into(junction, next[k]);
    }
  }

  void add_crossing(std::size_t i, const BalancePipe& balance, const std::vector<int>& next) {
    models::JunctionSpecification& junction = builder_.add_junction(numbered("X", i));
    for (std::size_t k = 0; k < ends_.size(); ++k) {
      junction.branches.push_back(
          {{pipes_[k], Side::right},
           incoming_direction(balance.half_angle_deg, side_deg(k, ends_.size()))});
    }
    for (std::size_t k = 0; k < ends_.size(); ++k) {
      junction.branches.push_back(
          {{next[k], Side::left},
           outgoing_direction(balance.half_angle_deg, side_deg(k, ends_.size()))});
    }
    for (std::size_t& way : outlet_of_) way = ends_.size() - 1 - way;
  }

  void add_shared_tail() {
    const double bore = header_.tail_tube.inside_diameter;
    const double behind = builder_.merge_behind_crotch(header_.collector_tube.inside_diameter);
    const double length = header_.tail_length - behind;
    const int tail = builder_.add_pipe(
        builder_.exhaust_pipe("tail", {{0, bore}, {length, bore}}, header_.tail_tube.wall));
    models::JunctionSpecification& junction = builder_.add_junction("Y");
    for (std::size_t k = 0; k < ends_.size(); ++k) {
      junction.branches.push_back(
          {{pipes_[k], Side::right},
           incoming_direction(header_.merge_half_angle_deg, side_deg(k, ends_.size()))});
    }
    merge_into(junction, tail);
    for (std::size_t way = 0; way < ends_.size(); ++way) extend_paths(way, tail);
    builder_.add_outlet({tail, Side::right}, Eigen::Vector3d::Zero());
  }

  NetworkBuilder& builder_;
  const HeaderDesign& header_;
  const std::vector<CollectorEnd>& ends_;
  std::vector<int> pipes_;              // the last one of each side
  std::vector<std::size_t> outlet_of_;  // side on which the pulses of each collector are by now
};

}  // namespace

std::string numbered(std::string_view name, std::size_t balance) {
  return balance == 0 ? std::string(name) : fmt::format("{} {}", name, balance + 1);
}

bool has_joined_collectors(const HeaderDesign& header) {
  return header.shared_tail || !header.balance.empty();
}

double beyond_collector(const NetworkBuilder& builder, const HeaderDesign& header) {
  if (!header.shared_tail) return 0;
  return along_tube(header, builder.merge_behind_crotch(header.collector_tube.inside_diameter));
}

double first_joint(const NetworkBuilder& builder, const HeaderDesign& header, double behind) {
  if (!header.balance.empty()) return header.collector_length + header.balance[0].at - behind;
  return header.collector_length + beyond_collector(builder, header) - behind;
}

void join_collectors(NetworkBuilder& builder, const HeaderDesign& header) {
  Joiner(builder, header).join();
}

}  // namespace pulsewright::cases
