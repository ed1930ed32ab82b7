#include "tools/spread/point_serialization.hpp"

#include <boost/archive/binary_iarchive.hpp>
#include <boost/archive/binary_oarchive.hpp>
#include <boost/serialization/string.hpp>
#include <boost/serialization/vector.hpp>
#include <sstream>

// Each struct is taken apart by a structured binding, so that a field that is added to it and not
// here does not compile.
namespace boost::serialization {

using namespace pulsewright::models;

template <class Archive, class... Fields>
void each(Archive& archive, Fields&... fields) {
  (archive & ... & fields);
}

template <class Archive>
void serialize(Archive& archive, CylinderFigures& x, unsigned) {
  auto& [a, b, c, d, e, f, g, h, i, j, k, l, m, n, o, p, q, r, s] = x;
  each(archive, a, b, c, d, e, f, g, h, i, j, k, l, m, n, o, p, q, r, s);
}
template <class Archive>
void serialize(Archive& archive, MergeFigures& x, unsigned) {
  auto& [a, b, c, d, e, f, g, h, i] = x;
  each(archive, a, b, c, d, e, f, g, h, i);
}
template <class Archive>
void serialize(Archive& archive, LedgerLine& x, unsigned) {
  auto& [a, b, c, d, e, f] = x;
  each(archive, a, b, c, d, e, f);
}
template <class Archive>
void serialize(Archive& archive, Ledger& x, unsigned) {
  auto& [a, b, c] = x;
  each(archive, a, b, c);
}
template <class Archive>
void serialize(Archive& archive, CylinderTraces& x, unsigned) {
  auto& [a, b, c, d, e, f, g, h] = x;
  each(archive, a, b, c, d, e, f, g, h);
}
template <class Archive>
void serialize(Archive& archive, TailTrace& x, unsigned) {
  auto& [a, b] = x;
  each(archive, a, b);
}
template <class Archive>
void serialize(Archive& archive, WaveDiagram& x, unsigned) {
  auto& [a, b, c, d, e, f, g] = x;
  each(archive, a, b, c, d, e, f, g);
}
template <class Archive>
void serialize(Archive& archive, PipeFigures& x, unsigned) {
  auto& [a, b, c, d] = x;
  each(archive, a, b, c, d);
}
template <class Archive>
void serialize(Archive& archive, PointResult& x, unsigned) {
  auto& [a, b, c, d, e, f, g, h, i, j, k, l, m, n, o, p, q, r, s, t, u, v, w, y, z, aa, ab, ac,
         cylinders, merges, pipes, ledger, traces, tails, wave] = x;
  each(archive, a, b, c, d, e, f, g, h, i, j, k, l, m, n, o, p, q, r, s, t, u, v, w, y, z, aa, ab,
       ac, cylinders, merges, pipes, ledger, traces, tails, wave);
}

}  // namespace boost::serialization

namespace pulsewright::tools {

std::string bytes_of(const PointOutcome& outcome) {
  std::ostringstream stream(std::ios::binary);
  boost::archive::binary_oarchive archive(stream, boost::archive::no_header);
  const bool has_result = outcome.result != nullptr;
  archive << outcome.header_index << outcome.speed_index << has_result << outcome.failure
          << outcome.seconds;
  if (has_result) archive << *outcome.result;
  return stream.str();
}

OwnedOutcome outcome_of(const std::string& bytes) {
  std::istringstream stream(bytes, std::ios::binary);
  boost::archive::binary_iarchive archive(stream, boost::archive::no_header);
  OwnedOutcome outcome;
  bool has_result = false;
  archive >> outcome.header_index >> outcome.speed_index >> has_result >> outcome.failure >>
      outcome.seconds;
  if (has_result) archive >> outcome.result.emplace();
  return outcome;
}

}  // namespace pulsewright::tools
