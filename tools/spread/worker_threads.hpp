// Workers that are threads of the coordinator: they compute as the other processes do. The
// coordinator receives their messages in its own thread, so that MPI and the results
// file are used in that thread only. Their numbers follow those of the processes.
#pragma once

#include <atomic>
#include <chrono>
#include <condition_variable>
#include <deque>
#include <mutex>
#include <optional>
#include <string>
#include <thread>
#include <utility>
#include <vector>

#include "tools/spread/channel.hpp"

namespace pulsewright::tools {

class WorkerThreads {
 public:
  // Starts `count` threads with the numbers first, first + 1, ...
  WorkerThreads(const Study& study, const std::atomic<bool>& stop, int first, unsigned count)
      : first_(first), assignments_(count) {
    try {
      for (unsigned i = 0; i < count; ++i) {
        threads_.emplace_back([this, &study, &stop, i] {
          ThreadChannel channel(*this, i);
          compute_points(study, stop, channel);
        });
      }
    } catch (...) {  // the system cannot start another thread
      shut_down();
      throw;
    }
  }
  // Gives up what is being computed, within an engine cycle.
  ~WorkerThreads() { shut_down(); }
  WorkerThreads(const WorkerThreads&) = delete;
  WorkerThreads& operator=(const WorkerThreads&) = delete;

  // The next message of any of them, if there is one.
  bool try_receive(Message& message) {
    const std::scoped_lock lock(mutex_);
    if (messages_.empty()) return false;
    message = std::move(messages_.front());
    messages_.pop_front();
    return true;
  }

  // Until there is a message, and not longer than that.
  void wait(std::chrono::milliseconds longest) {
    std::unique_lock lock(mutex_);
    message_sent_.wait_for(lock, longest, [&] { return !messages_.empty(); });
  }

  bool has(int number) const { return number >= first_; }

  // Replies to `ready` of the thread with this number: bytes of its work unit.
  void assign(int number, std::string bytes) {
    {
      const std::scoped_lock lock(mutex_);
      assignments_.at(static_cast<std::size_t>(number - first_)) = std::move(bytes);
    }
    assigned_.notify_all();
  }

 private:
  class ThreadChannel : public Channel {
   public:
    ThreadChannel(WorkerThreads& threads, unsigned index) : threads_(threads), index_(index) {}

    void send(Tag tag, std::string bytes) override {
      {
        const std::scoped_lock lock(threads_.mutex_);
        threads_.messages_.push_back(
            {threads_.first_ + static_cast<int>(index_), tag, std::move(bytes)});
      }
      threads_.message_sent_.notify_one();
    }

    Message receive() override {
      std::optional<std::string>& assignment = threads_.assignments_[index_];
      std::unique_lock lock(threads_.mutex_);
      threads_.assigned_.wait(lock, [&] { return threads_.shut_down_ || assignment.has_value(); });
      if (threads_.shut_down_) return {0, Tag::shut_down, ""};
      Message message{0, Tag::assignment, std::move(*assignment)};
      assignment.reset();
      return message;
    }

    bool is_shut_down() override { return threads_.shut_down_; }

   private:
    WorkerThreads& threads_;
    unsigned index_;
  };

  void shut_down() {
    {
      const std::scoped_lock lock(mutex_);
      shut_down_ = true;
    }
    assigned_.notify_all();
    threads_.clear();  // joins
  }

  int first_;
  std::mutex mutex_;
  std::condition_variable message_sent_, assigned_;  // for the coordinator; for the threads
  std::deque<Message> messages_;
  std::vector<std::optional<std::string>> assignments_;  // by thread
  std::atomic<bool> shut_down_{false};
  std::vector<std::jthread> threads_;
};

}  // namespace pulsewright::tools
