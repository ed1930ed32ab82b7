#include "tools/spread/point_serialization.hpp"

#include <boost/archive/binary_iarchive.hpp>
#include <boost/archive/binary_oarchive.hpp>
#include <boost/serialization/string.hpp>
#include <boost/serialization/vector.hpp>
#include <sstream>

#include "models/figures/figure_table.hpp"

// A result goes out member by member, as the table of figures lists them.
namespace boost::serialization {

template <class Archive, class Struct>
requires pulsewright::models::IsResultStruct<Struct>
void serialize(Archive& archive, Struct& object, unsigned) {
  pulsewright::models::for_each_member(object, [&](auto& member) { archive& member; });
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
