// Tries something in a child process first, where a crash harms nobody.
#pragma once

#include <functional>

namespace pulsewright::tools {

// Whether `action` comes to its end, by an exception too, in a copy of this process that has
// nothing but the calling thread: false if it is ended by a signal, stops itself, or computes for
// more than a minute. Nothing that it changes in memory is seen here, and what it prints is
// dropped. Throws std::runtime_error where no process can be made.
bool comes_to_its_end(const std::function<void()>& action);

}  // namespace pulsewright::tools
