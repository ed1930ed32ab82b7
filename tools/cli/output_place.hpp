// Files that options name. Whether one can be written is tried before long work, so that a place
// that cannot be written is wrong input and not a lost result.
#pragma once

#include <string>
#include <string_view>

namespace pulsewright::tools {

// How a file is written: into the file of that name, or as another one beside it that then gets the
// name.
enum class Writing { in_place, beside };

// Makes a file and takes it away again, or opens the one that is there, without changing it. Throws
// UsageError with the option, the path and the system's reason.
void require_writable(std::string_view option, const std::string& path, Writing writing);

// Throws UsageError with the verb if there is anything of that name.
void refuse_existing(std::string_view verb, const std::string& path);

// Writes a file that is not there yet, whole or not at all. Throws StoreError, also when it has
// come to be there.
void write_new(const std::string& path, const std::string& text);

// Writes a text over what is there. Throws std::runtime_error with the option, the path and the
// system's reason.
void write_text(std::string_view option, const std::string& path, const std::string& text);

}  // namespace pulsewright::tools
