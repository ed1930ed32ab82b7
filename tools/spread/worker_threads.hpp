// Threads of the process that leads which compute as the other processes do: they ask for points
// and say what they found. Who leads takes that by receive(), in its own thread, so that whatever
// it does with it, MPI and the results file, stays there. Their numbers follow those of the
// processes.
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
  WorkerThreads(const Study& study, const std::atomic<bool>& stop, int first, unsigned count)
      : first_(first), orders_(count) {
    try {
      for (unsigned i = 0; i < count; ++i) {
        threads_.emplace_back([this, &study, &stop, i] {
          Within line(*this, i);
          compute_points(study, stop, line);
        });
      }
    } catch (...) {  // the system gives no thread more
      end();
      throw;
    }
  }
  // Gives up what is being computed, within an engine cycle.
  ~WorkerThreads() { end(); }
  WorkerThreads(const WorkerThreads&) = delete;
  WorkerThreads& operator=(const WorkerThreads&) = delete;

  bool receive(Message& message) {
    const std::scoped_lock lock(mutex_);
    if (said_.empty()) return false;
    message = std::move(said_.front());
    said_.pop_front();
    return true;
  }

  // Until one of them says something, and not longer than that.
  void wait(std::chrono::milliseconds longest) {
    std::unique_lock lock(mutex_);
    heard_.wait_for(lock, longest, [&] { return !said_.empty(); });
  }

  bool has(int number) const { return number >= first_; }

  void order(int number, std::string bytes) {
    {
      const std::scoped_lock lock(mutex_);
      orders_.at(static_cast<std::size_t>(number - first_)) = std::move(bytes);
    }
    changed_.notify_all();
  }

 private:
  class Within : public Line {
   public:
    Within(WorkerThreads& threads, unsigned index) : threads_(threads), index_(index) {}

    void say(Tag tag, std::string bytes) override {
      {
        const std::scoped_lock lock(threads_.mutex_);
        threads_.said_.push_back(
            {threads_.first_ + static_cast<int>(index_), tag, std::move(bytes)});
      }
      threads_.heard_.notify_one();
    }

    Message hear() override {
      std::optional<std::string>& order = threads_.orders_[index_];
      std::unique_lock lock(threads_.mutex_);
      threads_.changed_.wait(lock, [&] { return threads_.dismissed_ || order.has_value(); });
      if (threads_.dismissed_) return {0, Tag::no_more, ""};
      Message message{0, Tag::take_points, std::move(*order)};
      order.reset();
      return message;
    }

    bool is_dismissed() override { return threads_.dismissed_; }

   private:
    WorkerThreads& threads_;
    unsigned index_;
  };

  void end() {
    {
      const std::scoped_lock lock(mutex_);
      dismissed_ = true;
    }
    changed_.notify_all();
    threads_.clear();  // joins
  }

  int first_;
  std::mutex mutex_;
  std::condition_variable heard_, changed_;  // by the one that leads; by the threads
  std::deque<Message> said_;
  std::vector<std::optional<std::string>> orders_;  // by thread
  std::atomic<bool> dismissed_{false};
  std::vector<std::jthread> threads_;
};

}  // namespace pulsewright::tools
