// Whether a file can be written where an option names it: tried before long work, so that a place
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

}  // namespace pulsewright::tools
