#include "engine/document/convert_parts.h"

namespace ratebound::document {

static_assert(static_cast<int>(LogSpanKind::kIgnored) + 1 == v1::LOG_SPAN_KIND_IGNORED);

static void Read(const v1::LogSpan& from, LogSpan& to, base::FaultList& faults) {
  to.kind = ReadEnum<LogSpanKind>(from.kind(), "LogSpan.kind", faults);
  to.first_line = from.first_line();
  to.last_line = from.last_line();
  to.start_s = from.start_s();
  to.end_s = from.end_s();
  to.reason = from.reason();
  to.point = from.point();
}

static void Write(const LogSpan& from, v1::LogSpan* to) {
  to->set_kind(WriteEnum<v1::LogSpanKind>(from.kind));
  to->set_first_line(from.first_line);
  to->set_last_line(from.last_line);
  to->set_start_s(from.start_s);
  to->set_end_s(from.end_s);
  to->set_reason(from.reason);
  to->set_point(from.point);
}

static void Read(const v1::CycleFigure& from, CycleFigure& to, base::FaultList&) {
  to.name = from.name();
  to.value = from.value();
  to.unit = from.unit();
  to.how = from.how();
}

static void Write(const CycleFigure& from, v1::CycleFigure* to) {
  to->set_name(from.name);
  to->set_value(from.value);
  to->set_unit(from.unit);
  to->set_how(from.how);
}

static void Read(const v1::CycleSummary& from, CycleSummary& to,
                 base::FaultList& faults) {
  to.first_line = from.first_line();
  to.last_line = from.last_line();
  ReadAll(from.figures(), to.figures, faults);
}

static void Write(const CycleSummary& from, v1::CycleSummary* to) {
  to->set_first_line(from.first_line);
  to->set_last_line(from.last_line);
  WriteAll(from.figures, to->mutable_figures());
}

void Read(const v1::LogReport& from, LogReport& to, base::FaultList& faults) {
  to.path = from.path();
  to.row_count = from.row_count();
  to.duration_s = from.duration_s();
  ReadAll(from.spans(), to.spans, faults);
  ReadAll(from.cycles(), to.cycles, faults);
  ReadAll(from.figures(), to.figures, faults);
}

void Write(const LogReport& from, v1::LogReport* to) {
  to->set_path(from.path);
  to->set_row_count(from.row_count);
  to->set_duration_s(from.duration_s);
  WriteAll(from.spans, to->mutable_spans());
  WriteAll(from.cycles, to->mutable_cycles());
  WriteAll(from.figures, to->mutable_figures());
}

}  // namespace ratebound::document
