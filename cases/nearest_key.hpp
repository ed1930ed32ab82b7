// The known word that a mistyped one most likely meant.
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace pulsewright::cases {

// Number of single-letter insertions, deletions, changes and swaps of neighbours between two words,
// upper and lower case taken as equal (restricted edit distance, Damerau, Commun. ACM 7 (1964) 171,
// from memory).
std::size_t edit_distance(std::string_view a, std::string_view b);

// The known word nearest to `word`; empty if none is near enough to be a likely meaning.
std::string nearest_key(std::string_view word, const std::vector<std::string>& known);

}  // namespace pulsewright::cases
