#include "cases/case_file.hpp"

#include "cases/parameters.hpp"

namespace pulsewright::cases {
namespace {

const Parameter& kind_entry() { return *find_parameter("header", "kind"); }
const Parameter& law_entry() { return *find_parameter("exhaust", "junction"); }

template <class Enumerator>
std::string name_of(const Parameter& entry, Enumerator enumerator) {
  return choice_of(entry, static_cast<std::size_t>(enumerator));
}

template <class Enumerator>
std::optional<Enumerator> enumerator_of(const Parameter& entry, std::string_view name) {
  const auto index = choice_index(entry, name);
  if (!index) return std::nullopt;
  return static_cast<Enumerator>(*index);
}

}  // namespace

std::string kind_name(HeaderKind kind) { return name_of(kind_entry(), kind); }

bool has_secondaries(HeaderKind kind) {
  return kind == HeaderKind::four_two_one || kind == HeaderKind::six_two_one ||
         kind == HeaderKind::six_three_one;
}

std::optional<HeaderKind> kind_of_name(std::string_view name) {
  return enumerator_of<HeaderKind>(kind_entry(), name);
}

std::string law_name(models::JunctionLaw law) { return name_of(law_entry(), law); }

std::optional<models::JunctionLaw> law_of_name(std::string_view name) {
  return enumerator_of<models::JunctionLaw>(law_entry(), name);
}

std::vector<models::JunctionLaw> junction_laws() {
  std::vector<models::JunctionLaw> all;
  for (std::size_t i = 0; i < choices_of(law_entry()).size(); ++i) {
    all.push_back(static_cast<models::JunctionLaw>(i));
  }
  return all;
}

}  // namespace pulsewright::cases
