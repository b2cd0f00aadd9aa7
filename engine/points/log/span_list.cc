#include "engine/points/log/span_list.h"

#include <algorithm>
#include <utility>

namespace ratebound::points {

using document::LogSpan;
using document::LogSpanKind;

int SpanList::AddReason(std::function<std::string(double)> text) {
  reasons_.push_back(std::move(text));
  return static_cast<int>(reasons_.size()) - 1;
}

int SpanList::AddReason(const std::string& text) {
  const auto [known, is_new] =
      reason_of_text_.emplace(text, static_cast<int>(reasons_.size()));
  if (is_new) reasons_.push_back([text](double) { return text; });
  return known->second;
}

void SpanList::Close() {
  if (!open_) return;
  open_ = false;
  if (static_cast<int>(spans_.size()) >= most_spans_) {
    ++left_out_;
    return;
  }
  if (last_.reason >= 0) {
    last_.span.reason = reasons_[static_cast<size_t>(last_.reason)](last_.worst);
  }
  spans_.push_back(std::move(last_.span));
}

void SpanList::Add(Entry entry) {
  if (open_ && last_.joins && entry.joins && last_.span.kind == entry.span.kind &&
      last_.reason == entry.reason && last_.span.reason == entry.span.reason) {
    last_.span.last_line = entry.span.last_line;
    last_.span.end_s = entry.span.end_s;
    last_.worst = std::max(last_.worst, entry.worst);
    return;
  }
  Close();
  last_ = std::move(entry);
  open_ = true;
}

void SpanList::Reject(int reason, const LogStretch& stretch, double figure) {
  // The common case, once for every row of an unsteady log.
  if (open_ && last_.joins && last_.reason == reason) {
    last_.span.last_line = stretch.last_line;
    last_.span.end_s = stretch.end_s;
    last_.worst = std::max(last_.worst, figure);
    return;
  }
  Add({.span = {.kind = LogSpanKind::kRejected,
                .first_line = stretch.first_line,
                .last_line = stretch.last_line,
                .start_s = stretch.start_s,
                .end_s = stretch.end_s},
       .reason = reason,
       .worst = figure,
       .joins = true});
}

void SpanList::RejectApart(int reason, const LogStretch& stretch, double figure) {
  Reject(reason, stretch, figure);
  last_.joins = false;
  Close();
}

void SpanList::Ignore(const std::string& reason, const LogStretch& stretch) {
  Add({.span = {.kind = LogSpanKind::kIgnored,
                .first_line = stretch.first_line,
                .last_line = stretch.last_line,
                .start_s = stretch.start_s,
                .end_s = stretch.end_s,
                .reason = reason},
       .joins = true});
}

void SpanList::Keep(LogSpanKind kind, const LogStretch& stretch, std::string point) {
  Add({.span = {.kind = kind,
                .first_line = stretch.first_line,
                .last_line = stretch.last_line,
                .start_s = stretch.start_s,
                .end_s = stretch.end_s,
                .point = std::move(point)}});
}

void SpanList::Withdraw(int64_t line, int reason) {
  Close();
  for (auto span = spans_.rbegin(); span != spans_.rend(); ++span) {
    const bool kept =
        span->kind == LogSpanKind::kWindow || span->kind == LogSpanKind::kCycle;
    if (kept && span->last_line < line) break;
    if (!kept) continue;
    span->kind = LogSpanKind::kRejected;
    span->reason = reasons_[static_cast<size_t>(reason)](0);
    span->point.clear();
  }
}

std::vector<LogSpan> SpanList::Take() {
  Close();
  std::stable_sort(spans_.begin(), spans_.end(), [](const LogSpan& a, const LogSpan& b) {
    return a.first_line < b.first_line;
  });
  return std::move(spans_);
}

}  // namespace ratebound::points
