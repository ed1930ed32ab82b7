// Reading a case file.
#pragma once

#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

#include "cases/case_error.hpp"
#include "cases/case_file.hpp"
#include "cases/header_builder.hpp"
#include "cases/quantity_text.hpp"

namespace pulsewright::cases {

// Reads, converts to SI and checks a case. On return every header is known to build.
// Throws CaseError, which names file, line, key, value, what is allowed and what to do: file
// missing or not readable, a folder, larger than 1 MiB, no text, no TOML, or any wrong key or
// value. units: in which the messages, and the remarks of the case, show quantities.
CaseFile read_case_file(const std::filesystem::path& file,
                        MessageUnits units = MessageUnits::metric);

// A key and the value that it is read with in place of what the file has, or does not have; as it
// would be written, without quotes. Not for keys of [[header]].
struct Override {
  std::string key;    // full name, e.g. "combustion.burned_50"
  std::string value;  // "14 deg ATDC"; "" = as if the file did not have the key
};

// The same for a text; `file_name` is only shown in messages.
CaseFile read_case_text(std::string_view text, const std::string& file_name,
                        MessageUnits units = MessageUnits::metric,
                        const std::vector<Override>& overrides = {});

}  // namespace pulsewright::cases
