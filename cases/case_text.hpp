// A case file as text, before it is parsed.
#pragma once

#include <filesystem>
#include <string>
#include <string_view>

namespace pulsewright::cases {

// Throws a CaseError of one problem about the file as a whole or one of its lines (0 = the whole).
[[noreturn]] void refuse_file(const std::string& file, int line, std::string message,
                              std::string advice);

// The bytes of a plain file of at most 1 MiB. Throws CaseError: missing, a folder or a device, too
// large, not readable.
std::string read_text_file(const std::filesystem::path& file);

// Throws CaseError unless `text` is UTF-8 without control characters, of at most 1 MiB.
void check_text(std::string_view text, const std::string& file);

// Throws CaseError where a key has so many dotted parts, or brackets are open so deep, that a
// parser that calls itself for each of them would not survive it. text: as check_text() takes it.
void check_nesting(std::string_view text, const std::string& file);

// A text as a case file has it, in quotes: quotes, backslashes and control characters escaped.
std::string toml_text(std::string_view text);

// Whether a text may be a name: letters, digits, spaces and . _ + -, 1 to 40 characters.
bool good_name(const std::string& name);

}  // namespace pulsewright::cases
