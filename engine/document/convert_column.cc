#include "engine/document/convert_parts.h"

namespace ratebound::document {

static_assert(static_cast<int>(ColumnLabel::kTestedOn) + 1 == v1::COLUMN_LABEL_TESTED_ON);
static_assert(static_cast<int>(ReadingStatistic::kSpread) ==
              v1::READING_STATISTIC_SPREAD);

void Read(const v1::Column& from, Column& to, base::FaultList& faults) {
  to.header = from.header();
  switch (from.meaning_case()) {
    case v1::Column::kQuantity:
      to.quantity = from.quantity();
      break;
    case v1::Column::kLabel:
      to.label = ReadEnum<ColumnLabel>(from.label(), "Column.label", faults);
      break;
    case v1::Column::kUnused:
      to.unused_reason = from.unused();
      break;
    case v1::Column::MEANING_NOT_SET:
      faults.Add({.field = "Column.meaning", .message = "is missing"});
      break;
  }
  to.unit = from.unit();
  to.statistic = ReadEnum<ReadingStatistic, Unspecified::kKept>(
      from.statistic(), "Column.statistic", faults);
  to.instrument = from.instrument();
}

void Write(const Column& from, v1::Column* to) {
  to->set_header(from.header);
  if (!from.quantity.empty()) {
    to->set_quantity(from.quantity);
  } else if (from.label.has_value()) {
    to->set_label(WriteEnum<v1::ColumnLabel>(*from.label));
  } else {
    to->set_unused(from.unused_reason);
  }
  to->set_unit(from.unit);
  to->set_statistic(WriteEnum<v1::ReadingStatistic, Unspecified::kKept>(from.statistic));
  to->set_instrument(from.instrument);
}

}  // namespace ratebound::document
