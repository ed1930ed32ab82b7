// Which lines of a case file belong to a table, [..] or [[..]], and where a value stands: for
// changes of the text that leave everything else as its author wrote it.
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <toml++/toml.h>
#include <vector>

namespace pulsewright::cases {

// The text of a case file as tables. Throws std::invalid_argument for a text that is no TOML.
toml::table parsed_case(std::string_view text);

// The place of the header of a name among those of a parsed case, from 0; none where it has none.
std::optional<std::size_t> header_place(const toml::table& root, std::string_view name);

// Lines without their ends.
std::vector<std::string> lines_of(std::string_view text);

// Without more than spaces and tabs.
bool is_blank(const std::string& line);

struct LineSpan {
  std::size_t from, to;  // indices of lines; `to` is the first that does not belong to it
};

// The lines of the tables within `part` of a parsed text, span by span: from the comment directly
// above a heading to the next heading of something else, without the comments and blank lines
// above that. None for a part without headings of its own.
std::vector<LineSpan> blocks_of(const toml::table& root, const toml::node& part,
                                const std::vector<std::string>& lines);

// Where a line and column of the parser lie in the text; both count from 1, columns in characters.
std::size_t offset_of(std::string_view text, toml::source_position position);

// The end of the line that holds `at`: its line feed, or the end of the text.
std::size_t line_end(std::string_view text, std::size_t at);

// The end of the line with the heading "[combustion]" or "[[header.part]]" of a table; npos where
// it has none of that name of its own, as `a` of "[a.b]" alone.
std::size_t end_of_heading(std::string_view text, const toml::table& table, std::string_view name);

// Where the first key or heading stands.
std::size_t first_content(std::string_view text);

}  // namespace pulsewright::cases
