// An array over the cells of a pipe, with a ghost value at each side: index -1 .. n.
//
// Its numbers stand one after the other in memory of its own, number 0 at the start of a cache line
// so that packs of cells do not cross lines, or, while the pipe is one of an ensemble
// (PipeEnsemble), at even distances in the memory of the ensemble. A copy is always one with memory
// of its own; to assign to an array of the same size copies number by number and leaves it where it
// is.
#pragma once

#include <boost/align/aligned_allocator.hpp>
#include <cstddef>
#include <utility>
#include <vector>

namespace pulsewright::solver {

class CellArray {
 public:
  explicit CellArray(std::size_t n = 0, double value = 0) : own_(line + n + 1, value), n_(n) {
    data_ = own_.data() + line;
  }
  CellArray(const CellArray& other) : CellArray(other.n_) { copy(other); }
  CellArray(CellArray&& other) noexcept
      : own_(std::move(other.own_)),
        data_(std::exchange(other.data_, nullptr)),
        n_(std::exchange(other.n_, 0)),
        stride_(std::exchange(other.stride_, 1)) {}
  CellArray& operator=(const CellArray& other) {
    if (n_ == other.n_) {
      copy(other);
    } else {
      CellArray fresh(other);
      swap(fresh);
    }
    return *this;
  }
  CellArray& operator=(CellArray&& other) noexcept {
    if (n_ == other.n_ && stride_ != 1) {
      copy(other);
    } else {
      swap(other);
    }
    return *this;
  }
  ~CellArray() = default;

  double& operator[](std::ptrdiff_t i) { return data_[i * stride_]; }
  double operator[](std::ptrdiff_t i) const { return data_[i * stride_]; }
  std::size_t size() const { return n_; }
  void swap(CellArray& other) noexcept {
    own_.swap(other.own_);
    std::swap(data_, other.data_);
    std::swap(n_, other.n_);
    std::swap(stride_, other.stride_);
  }

  // Of an array with memory of its own: number 0, the others follow.
  double* data() { return data_; }
  const double* data() const { return data_; }

  // Moves the numbers to shared memory, number i to first[i * stride], which must outlive that.
  void move_to(double* first, std::ptrdiff_t stride) {
    for (std::ptrdiff_t i = -1; i <= static_cast<std::ptrdiff_t>(n_); ++i) {
      first[i * stride] = (*this)[i];
    }
    own_ = {};
    data_ = first;
    stride_ = stride;
  }
  // And back to memory of its own.
  void move_back() {
    CellArray own(*this);
    swap(own);
  }

 private:
  void copy(const CellArray& other) {
    for (std::ptrdiff_t i = -1; i <= static_cast<std::ptrdiff_t>(n_); ++i) (*this)[i] = other[i];
  }

  static constexpr std::size_t line = 8;  // numbers in a cache line

  std::vector<double, boost::alignment::aligned_allocator<double, line * sizeof(double)>> own_;
  double* data_ = nullptr;
  std::size_t n_ = 0;
  std::ptrdiff_t stride_ = 1;
};

}  // namespace pulsewright::solver
