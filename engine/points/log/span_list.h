// The fate of every row of a log, as spans: neighbouring rows rejected for one reason
// become one span, which tells the worst of their figures.
//
// Example:
//   const int reason = spans.AddReason([](double worst) { return "..."; });
//   spans.Reject(reason, {12, 12, 60, 60}, 1.3);
//   spans.Reject(reason, {13, 13, 61, 61}, 1.1);
//   spans.Take();    // one span, lines 12 to 13
//
// Memory: at most the number of spans given; the rest are counted.
// Thread-safety: none.
#ifndef RATEBOUND_ENGINE_POINTS_LOG_SPAN_LIST_H_
#define RATEBOUND_ENGINE_POINTS_LOG_SPAN_LIST_H_

#include <cstdint>
#include <functional>
#include <map>
#include <string>
#include <vector>

#include "engine/document/log.h"

namespace ratebound::points {

struct LogStretch {
  int64_t first_line = 0;
  int64_t last_line = 0;
  double start_s = 0;
  double end_s = 0;
};

class SpanList {
 public:
  explicit SpanList(int most_spans) : most_spans_(most_spans) {}

  // The text of a reason is made once for a span, from the greatest figure of its rows.
  int AddReason(std::function<std::string(double worst)> text);
  // The same number for the same text.
  int AddReason(const std::string& text);

  // Joins the span before it where that was rejected for the same reason.
  void Reject(int reason, const LogStretch& stretch, double figure = 0);
  // Never joined, such as a gap.
  void RejectApart(int reason, const LogStretch& stretch, double figure = 0);
  void Ignore(const std::string& reason, const LogStretch& stretch);
  void Keep(document::LogSpanKind kind, const LogStretch& stretch, std::string point);

  // Turns windows and cycles that reach `line` or end behind it into rejected spans.
  void Withdraw(int64_t line, int reason);

  int64_t left_out() const { return left_out_; }
  // In the order of time.
  std::vector<document::LogSpan> Take();

 private:
  struct Entry {
    document::LogSpan span;
    int reason = -1;
    double worst = 0;
    bool joins = false;
  };
  void Close();
  void Add(Entry entry);

  int most_spans_;
  int64_t left_out_ = 0;
  std::vector<std::function<std::string(double)>> reasons_;
  std::map<std::string, int> reason_of_text_;
  bool open_ = false;  // last_ is still to be stored
  Entry last_;
  std::vector<document::LogSpan> spans_;
};

}  // namespace ratebound::points

#endif  // RATEBOUND_ENGINE_POINTS_LOG_SPAN_LIST_H_
