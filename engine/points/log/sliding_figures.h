// Figures of the newest rows of one channel, kept up to date as rows come and go: mean,
// scatter, least and greatest in a constant number of steps a row.
//
// Example:
//   SlidingFigures figures(true, true);
//   figures.Push(x);                       // a row comes
//   figures.Pop(x);                        // the oldest goes; its value is told again
//   if (figures.pops() >= n) figures.Anchor(values);   // every so often
//   figures.Variance(n);                   // within variance_error() of the exact one
//
// Sums are of differences from a reading near by, and begin anew with each Anchor, so
// that their rounding error stays below a bound that they can tell: 4 N u n d^2 for the
// sum of squares, N being the steps since, n the most readings held, d the greatest
// difference and u = 2^-53 (each step errs by at most u times the size of the sum). A
// decision that the bound leaves open is then made on the rows themselves, so that none
// depends on what came before the window.
//
// Thread-safety: none.
#ifndef RATEBOUND_ENGINE_POINTS_LOG_SLIDING_FIGURES_H_
#define RATEBOUND_ENGINE_POINTS_LOG_SLIDING_FIGURES_H_

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <vector>

namespace ratebound::points {

// The least of a sliding window: values that a later one undercuts are dropped, so the
// front is the least. With the sign turned, the greatest.
class SlidingLeast {
 public:
  void Clear() {
    entries_.clear();
    head_ = 0;
  }
  void Push(int64_t sequence, double value) {
    while (entries_.size() > head_ && entries_.back().value >= value) entries_.pop_back();
    if (head_ > 64 && 2 * head_ > entries_.size()) {
      entries_.erase(entries_.begin(),
                     entries_.begin() + static_cast<std::ptrdiff_t>(head_));
      head_ = 0;
    }
    entries_.push_back({sequence, value});
  }
  // Drops what is older.
  void PopBefore(int64_t sequence) {
    while (head_ < entries_.size() && entries_[head_].sequence < sequence) ++head_;
  }
  double least() const { return entries_[head_].value; }

 private:
  struct Entry {
    int64_t sequence;
    double value;
  };
  std::vector<Entry> entries_;
  size_t head_ = 0;
};

class SlidingFigures {
 public:
  SlidingFigures(bool needs_sums, bool needs_extremes)
      : needs_sums_(needs_sums), needs_extremes_(needs_extremes) {}

  void Clear() {
    *this = SlidingFigures(needs_sums_, needs_extremes_, std::move(least_),
                           std::move(greatest_));
  }

  void Push(double value) {
    if (needs_sums_) {
      if (count_ == 0) Restart(value);
      const double difference = value - anchor_;
      sum_ += difference;
      sum_of_squares_ += difference * difference;
      furthest_ = std::max(furthest_, std::fabs(difference));
      ++steps_;
    }
    ++count_;
    most_ = std::max(most_, count_);
    if (needs_extremes_) {
      least_.Push(next_, value);
      greatest_.Push(next_, -value);
    }
    ++next_;
  }

  void Pop(double value) {
    if (needs_sums_) {
      const double difference = value - anchor_;
      sum_ -= difference;
      sum_of_squares_ -= difference * difference;
      ++steps_;
      ++pops_;
    }
    --count_;
    if (needs_extremes_) {
      least_.PopBefore(next_ - count_);
      greatest_.PopBefore(next_ - count_);
    }
  }

  bool needs_sums() const { return needs_sums_; }
  int64_t count() const { return count_; }
  int64_t pops() const { return pops_; }  // since the sums began

  // Begins the sums anew; then give them every value held, by AddAgain.
  void Anchor(double value) { Restart(value); }
  void AddAgain(double value) {
    const double difference = value - anchor_;
    sum_ += difference;
    sum_of_squares_ += difference * difference;
    furthest_ = std::max(furthest_, std::fabs(difference));
    ++steps_;
  }

  double mean() const { return anchor_ + sum_ / static_cast<double>(count_); }
  double mean_error() const {
    return 4 * static_cast<double>(steps_ + 1) * kU * furthest_ +
           2 * kU * std::fabs(anchor_);
  }
  double variance() const {
    const auto n = static_cast<double>(count_);
    return std::max(0.0, (sum_of_squares_ - sum_ * sum_ / n) / (n - 1));
  }
  double variance_error() const {
    const auto n = static_cast<double>(count_);
    return 4 * static_cast<double>(steps_ + 1) * kU * static_cast<double>(most_) *
           furthest_ * furthest_ / (n - 1);
  }
  double least() const { return least_.least(); }
  double greatest() const { return -greatest_.least(); }

 private:
  static constexpr double kU = 0x1p-53;

  SlidingFigures(bool needs_sums, bool needs_extremes, SlidingLeast least,
                 SlidingLeast greatest)
      : needs_sums_(needs_sums),
        needs_extremes_(needs_extremes),
        least_(std::move(least)),
        greatest_(std::move(greatest)) {
    least_.Clear();
    greatest_.Clear();
  }

  void Restart(double value) {
    anchor_ = value;
    sum_ = 0;
    sum_of_squares_ = 0;
    furthest_ = 0;
    steps_ = 0;
    pops_ = 0;
    most_ = count_;
  }

  bool needs_sums_;
  bool needs_extremes_;
  int64_t count_ = 0;
  int64_t next_ = 0;
  double anchor_ = 0;
  double sum_ = 0;
  double sum_of_squares_ = 0;
  double furthest_ = 0;
  int64_t steps_ = 0;
  int64_t pops_ = 0;
  int64_t most_ = 0;
  SlidingLeast least_;
  SlidingLeast greatest_;
};

}  // namespace ratebound::points

#endif  // RATEBOUND_ENGINE_POINTS_LOG_SLIDING_FIGURES_H_
