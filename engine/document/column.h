// What one heading of the lab's files means. See proto/ratebound/v1/line.proto.
#ifndef RATEBOUND_ENGINE_DOCUMENT_COLUMN_H_
#define RATEBOUND_ENGINE_DOCUMENT_COLUMN_H_

#include <optional>
#include <string>

namespace ratebound::document {

enum class ColumnLabel {
  kPoint,
  kUnit,
  kMode,
  kStage,
  kBlock,
  kSpecimen,
  kRegime,
  kTestedOn
};
enum class ReadingStatistic { kMean, kStandardDeviation, kSpread };

// Exactly one of quantity, label and unused_reason is set.
struct Column {
  std::string header;
  std::string quantity;
  std::optional<ColumnLabel> label;
  std::string unused_reason;
  std::string unit;  // of the quantity
  ReadingStatistic statistic = ReadingStatistic::kMean;
  std::string instrument;
  friend bool operator==(const Column&, const Column&) = default;
};

}  // namespace ratebound::document

#endif  // RATEBOUND_ENGINE_DOCUMENT_COLUMN_H_
