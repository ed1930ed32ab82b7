// From the values of the variables of a search to a header: the one place that knows what each
// variable means.
//
//   primary_length    mean length of the primaries of the cylinders named, whose differences stay
//   primary_span      of each collector, longest less shortest primary, stepped as those of a
//                     stepped-length header (grouping.hpp); their mean stays
//   primary_tube      size of the primaries from the flange on
//   step_at           distance of the first step of every primary from the flange; the steps behind
//                     it move along
//   collector_order   which of the collector_orders() of each collector
//   others            length or size as their key in [[header]] says
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "cases/case_file.hpp"
#include "cases/tune.hpp"

namespace pulsewright::cases {

// "primary_length", as the case file spells it.
std::string varied_part_name(VariedPart part);
// "primary length 1+3", "collector tube", for tables.
std::string variable_name(const DesignVariable& variable);

// Why a header has nothing that the variable could change, or its value cannot be: "has no
// secondaries"; empty where it can. `part` and `cylinders` are looked at.
std::string why_not_varied(const HeaderDesign& header, const DesignVariable& variable);

// The value that the header has: of a tube the nearest size by bore, of spans the largest, of
// orders that of the first collector.
double variable_value(const HeaderDesign& header, const DesignVariable& variable);

// The place of a value in a list of so many: the nearest.
std::size_t place_in_list(double value, std::size_t count);

// The header with every variable set to its value, in the order of the list, and then the primaries
// within what fits. A value between two sizes or orders is rounded. A length, span or order that is
// so already is left as it is, so that collectors which differ in it stay different. Throws
// std::invalid_argument for what why_not_varied() refuses, and for steps that the values leave no
// room or no meaning.
HeaderDesign varied_header(const HeaderDesign& header, const std::vector<DesignVariable>& variables,
                           const std::vector<double>& values,
                           const std::vector<TubeFit>& fits = {});

// Sizes next to one: outside diameters in steps of an eighth of an inch, two smaller and two larger
// where there are, with the same wall (how tube is stocked: common practice, no source).
std::vector<Tube> neighbouring_tubes(const Tube& tube);

// Of a variable with a list of sizes the one that the header has, where the list has not got it, by
// bore: the header as it is would be none of its values.
std::optional<Tube> size_left_out(const HeaderDesign& header, const DesignVariable& variable);

// The variable with what it may choose from where its list is empty: neighbouring_tubes(), or all
// orders.
DesignVariable with_choices(DesignVariable variable, const HeaderDesign& header);

// Every length and every size that a header has: its primaries one by one, those of the same size
// with one variable for it. Lengths range a tenth to either side; sizes are neighbouring_tubes().
std::vector<DesignVariable> all_variables(const HeaderDesign& header);

}  // namespace pulsewright::cases
