#include "tools/search/shared_trials.hpp"

#include <algorithm>
#include <cstdint>
#include <cstring>
#include <exception>
#include <numeric>
#include <set>
#include <stdexcept>

namespace pulsewright::tools {

namespace {

// Points of a process between two exchanges: enough to fill its batches, few enough that what is
// exchanged reaches the file often.
constexpr std::size_t points_between = 32;

enum class State : char { done, stopped, broken };

template <class Number>
void append(std::string& bytes, Number number) {
  bytes.append(reinterpret_cast<const char*>(&number), sizeof number);
}

void append_text(std::string& bytes, const std::string& text) {
  append(bytes, static_cast<std::uint64_t>(text.size()));
  bytes += text;
}

// Reads what was appended, in the same order.
class Bytes {
 public:
  explicit Bytes(const std::string& bytes) : bytes_(bytes) {}
  bool at_end() const { return at_ == bytes_.size(); }

  template <class Number>
  Number number() {
    Number number{};
    require(sizeof number);
    std::memcpy(&number, bytes_.data() + at_, sizeof number);
    at_ += sizeof number;
    return number;
  }
  std::string text() {
    const auto size = static_cast<std::size_t>(number<std::uint64_t>());
    require(size);
    at_ += size;
    return bytes_.substr(at_ - size, size);
  }

 private:
  void require(std::size_t size) const {
    if (bytes_.size() - at_ < size) {
      throw std::runtime_error("a message of wrong size between processes");
    }
  }
  const std::string& bytes_;
  std::size_t at_ = 0;
};

void append_point(std::string& bytes, const DesignPoint& point) {
  append(bytes, static_cast<std::uint64_t>(point.design));
  append(bytes, static_cast<std::uint64_t>(point.speed));
  append(bytes, point.torque);
  append(bytes, point.power);
  append(bytes, point.seconds);
  append(bytes, point.fault ? static_cast<int>(*point.fault) : -1);
  append_text(bytes, point.failure);
}

DesignPoint point_of(Bytes& bytes) {
  DesignPoint point;
  point.design = static_cast<std::size_t>(bytes.number<std::uint64_t>());
  point.speed = static_cast<std::size_t>(bytes.number<std::uint64_t>());
  point.torque = bytes.number<double>();
  point.power = bytes.number<double>();
  point.seconds = bytes.number<double>();
  const int fault = bytes.number<int>();
  if (fault >= 0) point.fault = static_cast<PointFault>(fault);
  point.failure = bytes.text();
  return point;
}

}  // namespace

std::vector<std::size_t> equal_parts(const std::vector<double>& work, std::size_t parts) {
  const double all = std::accumulate(work.begin(), work.end(), 0.0);
  std::vector<std::size_t> begins{0};
  double sum = 0;
  std::size_t item = 0;
  for (std::size_t part = 1; part < parts; ++part) {
    const double wanted = all * static_cast<double>(part) / static_cast<double>(parts);
    while (item < work.size() && sum + 0.5 * work[item] <= wanted) sum += work[item++];
    begins.push_back(item);
  }
  begins.push_back(work.size());
  return begins;
}

bool SharedTrials::compute_piece(const std::vector<TrialKey>& keys,
                                 const std::vector<Point>& points,
                                 const std::function<bool()>& keep_going,
                                 const DesignEvaluator::PointSink& consume) {
  std::vector<double> work;
  for (const auto& [design, speed] : points) work.push_back(1 / speeds_[speed]);
  const auto begins = equal_parts(work, share_.size);
  const auto at = [&](std::size_t part) {
    return points.begin() + static_cast<std::ptrdiff_t>(begins[part]);
  };
  const std::set<Point> own(at(share_.rank), at(share_.rank + 1));
  State state = State::done;
  std::string error, bytes;
  try {
    const bool complete = source_.compute(
        keys,
        [&](std::size_t design, std::size_t speed) {
          return own.contains({design, speed});
        },
        keep_going, [&](const DesignPoint& point) { append_point(bytes, point); });
    if (!complete) state = State::stopped;
  } catch (const std::exception& exception) {
    state = State::broken;
    error = exception.what();
  }
  std::string message;
  append(message, state);
  append_text(message, error);
  message += bytes;
  const std::vector<std::string> all = share_.exchange(message);
  bool stopped = false;
  for (const std::string& one : all) {
    Bytes from(one);
    const State of = from.number<State>();
    const std::string text = from.text();
    if (of == State::broken) throw std::runtime_error("a process of the job: " + text);
    stopped = stopped || of == State::stopped;
    while (!from.at_end()) consume(point_of(from));
  }
  return !stopped;
}

bool SharedTrials::compute(const std::vector<TrialKey>& keys,
                           const DesignEvaluator::PointFilter& selected,
                           const std::function<bool()>& keep_going,
                           const DesignEvaluator::PointSink& consume) {
  std::vector<Point> points;
  for (std::size_t speed = 0; speed < speeds_.size(); ++speed) {
    for (std::size_t key = 0; key < keys.size(); ++key) {
      if (!selected || selected(key, speed)) points.emplace_back(key, speed);
    }
  }
  const std::size_t piece = points_between * share_.size;
  for (std::size_t begin = 0; begin < points.size(); begin += piece) {
    const std::size_t end = std::min(points.size(), begin + piece);
    const std::vector<Point> some(points.begin() + static_cast<std::ptrdiff_t>(begin),
                                  points.begin() + static_cast<std::ptrdiff_t>(end));
    if (!compute_piece(keys, some, keep_going, consume)) return false;
  }
  return true;
}

}  // namespace pulsewright::tools
