#include "cases/case_file.hpp"

#include "cases/parameters.hpp"

namespace pulsewright::cases {
namespace {

template <class Enumerator>
std::string name_of(std::string_view section, std::string_view key, Enumerator enumerator) {
  return choice_of(*find_parameter(section, key), static_cast<std::size_t>(enumerator));
}

}  // namespace

std::string kind_name(HeaderKind kind) { return name_of("header", "kind", kind); }

std::string law_name(models::JunctionLaw law) { return name_of("exhaust", "junction", law); }

std::optional<models::JunctionLaw> law_of_name(std::string_view name) {
  const auto index = choice_index(*find_parameter("exhaust", "junction"), name);
  if (!index) return std::nullopt;
  return static_cast<models::JunctionLaw>(*index);
}

}  // namespace pulsewright::cases
