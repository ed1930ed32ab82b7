// What the program says on the standard error: errors, remarks and progress. None of it may change
// what is computed or stored, so nothing here throws, and nothing waits while a study runs: what
// cannot be written at once is kept, and written when there is room. The standard output is written
// out before a message, which may wait for its reader; studies print on it when they have ended.
#pragma once

#include <string>
#include <string_view>

namespace pulsewright::tools {

// Makes sure that no file that is opened later takes the place of a standard stream that is closed,
// and that writing to a pipe without a reader, or beyond a limit on file sizes, is an error and not
// the end of the program. To be called first.
void secure_standard_streams();

// Writes a text, with the end of line it has. It may quote arguments and files, which hold
// anything: what a terminal would obey is shown by its code (cases/visible_text.hpp). Where the
// standard error is closed or full the text is lost. May be called from several threads.
void print_message(std::string_view text);

// The same for a line that the next one replaces: dropped where it cannot be written at once.
void print_progress(std::string_view text);

// Waits until the messages that were kept are written, for two seconds at most without any
// progress. To be called last.
void finish_messages();

// Whether writing to the standard output has failed, and what is said then.
bool output_failed();
inline constexpr const char* output_failure = "cannot write to the standard output";

// Writes out the standard output, of both libraries; throws std::runtime_error if that fails.
void finish_output();

}  // namespace pulsewright::tools
