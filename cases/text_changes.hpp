// Changes of a case's text, one at a time: a key set or taken away, a table more or less, a header
// copied, renamed or removed. Comments, order, line ends and everything else stay as they are
// written.
//
// Keys are full names as messages show them, counted from 1: "engine.bore",
// "header[2].primary_length", "exhaust.bends[1].angle". Values are TOML as a file has them. Every
// function returns the whole text. The parser judges each change: what reads otherwise than it
// should is refused.
//
// All throw CaseError for a text that is no TOML, and std::invalid_argument where there is nothing
// of that name, where the value is no TOML, or where the text cannot be changed like that.
#pragma once

#include <string>
#include <string_view>

namespace pulsewright::cases {

// A value in place of the one that stands there, else a line behind the last one of its table, else
// a table at the end of the text.
std::string with_key(std::string_view text, std::string_view key, std::string_view value);

// Without a key and its value, without a table and the comment above it, or without one of an
// array.
std::string without_key(std::string_view text, std::string_view key);

// One more table behind the last of an array, "header[1].part"; `fields`: an inline table,
// {kind = "pipe", length = "1 m"}. An array that is not there is made: with headings of its own if
// `with_headings`, else as an array of inline tables.
std::string with_table(std::string_view text, std::string_view key, std::string_view fields,
                       bool with_headings);

// A header like the one named, directly behind it. The new name must not be taken, here and below.
std::string with_header_copy(std::string_view text, std::string_view name,
                             std::string_view new_name);

// The header under a new name, in [[dyno]] and [tune] too.
std::string with_header_renamed(std::string_view text, std::string_view name,
                                std::string_view new_name);

std::string without_header(std::string_view text, std::string_view name);

}  // namespace pulsewright::cases
