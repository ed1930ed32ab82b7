// The HDF5 file of a search. Its layout: SEARCH_FORMAT.md beside this file.
//
// A search has few numbers, so the file is written as a whole, beside its place and then renamed: a
// kill at any instant leaves the one before or the new one.
#pragma once

#include <string>

#include "tools/search/search_record.hpp"

namespace pulsewright::tools {

inline constexpr int search_format_version = 1;
inline constexpr const char* search_format_name = "pulsewright-search";

// The file as bytes, and from bytes: for another process. Throw StoreError.
std::string search_bytes(const SearchRecord& record);
SearchRecord search_from_bytes(const std::string& bytes);

// Throws StoreError.
void write_search(const std::string& path, const SearchRecord& record);
// Throws StoreError for what cannot be read or is no such file, FormatVersionError for one of
// another version.
SearchRecord read_search(const std::string& path);

// Whether it is an HDF5 file with that format's name.
bool looks_like_search(const std::string& path);

}  // namespace pulsewright::tools
