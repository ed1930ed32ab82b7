#include "tools/cli/messages.hpp"

#include <algorithm>
#include <cerrno>
#include <climits>
#include <csignal>
#include <cstdio>
#include <fcntl.h>
#include <iostream>
#include <mutex>
#include <poll.h>
#include <stdexcept>
#include <unistd.h>

#include "cases/visible_text.hpp"

namespace pulsewright::tools {

namespace {

// Beyond this nobody reads: the oldest text that is kept is dropped.
constexpr std::size_t most_kept = std::size_t{1} << 20U;

std::mutex mutex;

std::string& kept() {
  static auto& text = *new std::string;  // outlives every thread
  return text;
}

bool is_ready(int milliseconds) {
  pollfd stream{STDERR_FILENO, POLLOUT, 0};
  int ready = 0;
  do {
    ready = ::poll(&stream, 1, milliseconds);
  } while (ready < 0 && errno == EINTR);
  return ready > 0;  // an error too: the write will tell
}

// Writes what can be written without waiting longer than that for each part. A pipe that is ready
// takes PIPE_BUF bytes at once.
void write_kept(int milliseconds) {
  std::string& text = kept();
  while (!text.empty() && is_ready(milliseconds)) {
    const auto count =
        ::write(STDERR_FILENO, text.data(), std::min<std::size_t>(text.size(), PIPE_BUF));
    if (count < 0 && (errno == EINTR || errno == EAGAIN)) {
      if (milliseconds == 0) return;
      continue;
    }
    if (count <= 0) {
      text.clear();
      return;
    }
    text.erase(0, static_cast<std::size_t>(count));
  }
}

// What was printed before stands before it, also where both streams go to one file. A failure is
// remembered by the streams, see output_failed().
void flush_output() {
  std::cout.flush();
  static_cast<void>(std::fflush(stdout));
}

}  // namespace

void secure_standard_streams() {
  // Opened the other way round: reading finds the end, writing fails.
  for (const int stream : {STDIN_FILENO, STDOUT_FILENO, STDERR_FILENO}) {
    if (::fcntl(stream, F_GETFD) >= 0 || errno != EBADF) continue;
    // The lowest free number is taken, which is this one.
    if (::open("/dev/null", stream == STDIN_FILENO ? O_WRONLY : O_RDONLY) < 0) return;
  }
  std::signal(SIGPIPE, SIG_IGN);
  std::signal(SIGXFSZ, SIG_IGN);
}

void print_message(std::string_view text) {
  const std::scoped_lock lock(mutex);
  flush_output();
  kept().append(cases::visible_lines(text));
  if (kept().size() > most_kept) kept().erase(0, kept().size() - most_kept);
  write_kept(0);
}

void print_progress(std::string_view text) {
  const std::scoped_lock lock(mutex);
  write_kept(0);
  if (!kept().empty() || !is_ready(0)) return;
  kept().assign(text.substr(0, PIPE_BUF));
  write_kept(0);
  kept().clear();
}

void finish_messages() {
  const std::scoped_lock lock(mutex);
  write_kept(2000);
}

bool output_failed() { return std::ferror(stdout) != 0 || !std::cout; }

void finish_output() {
  flush_output();
  if (output_failed()) throw std::runtime_error(output_failure);
}

}  // namespace pulsewright::tools
