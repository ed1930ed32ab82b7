// The list of all validation cases and of the broken variants that must fail.
#include "validation/case.hpp"
#include "validation/waves/waves.hpp"

namespace pulsewright::validation {

const std::vector<CaseEntry>& all_cases() {
  static const std::vector<CaseEntry> cases{
      {"waves", "contact", contact_carried},
      {"waves", "sod", shock_tube_sod},
  };
  return cases;
}

const std::vector<BrokenVariant>& broken_variants() {
  static const std::vector<BrokenVariant> variants{
      {"waves", "contact", Broken::smeared_contact},
      {"waves", "sod", Broken::first_order},
  };
  return variants;
}

}  // namespace pulsewright::validation
