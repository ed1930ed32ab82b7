// Reads and checks what comes behind the primaries of a header: collector, tail, balance pipes.
#pragma once

#include <initializer_list>
#include <string_view>
#include <vector>

#include "cases/case_file.hpp"
#include "cases/section.hpp"

namespace pulsewright::cases {

// Notes those of the keys of a header that are missing, and why they are needed.
void need_keys(Section& header, std::initializer_list<std::string_view> keys, std::string_view why);

// Reads the balance pipes of a header into `design`. Returns their tables, in the same order.
std::vector<Section> read_balance(Section& header, const CaseFile& case_file, HeaderDesign& design);

// Collector and tail against each other and against the kind. Groups must be set.
void check_collector(Section& header, const HeaderDesign& design);

// The pipes of a merge meet behind its crotch, from which lengths count: what follows must reach
// further, with every law. Primaries must be set.
void check_room_for_merge(Section& header, const HeaderDesign& design);

// A shared tail and balance pipes: as many collectors as they need, and places that leave room for
// the pipes between them. balance: as read_balance() returned them.
void check_joined_collectors(Section& header, const HeaderDesign& design,
                             std::vector<Section>& balance);

}  // namespace pulsewright::cases
