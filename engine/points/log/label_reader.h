// The labels of a log's rows: from its columns where it has them, otherwise from its
// LogFile; checked against the manifest as they change.
//
// Inside of LogIntake. Thread-safety: none.
#ifndef RATEBOUND_ENGINE_POINTS_LOG_LABEL_READER_H_
#define RATEBOUND_ENGINE_POINTS_LOG_LABEL_READER_H_

#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "engine/points/log/log_row.h"

namespace ratebound::points {

class LabelReader {
 public:
  explicit LabelReader(const LogContext& context);

  // Columns that hold labels; false for one that a log cannot have.
  bool AddColumn(document::ColumnLabel label, int column);

  // Texts by column. Faults: a stage, specimen or day that is not known, each once.
  void Read(int line, const std::string_view* texts);

  const LogLabels& labels() const { return labels_; }
  // Another number with each change.
  int64_t version() const { return version_; }
  // The stage is one of off_stages.
  bool is_off() const { return is_off_; }

 private:
  struct LabelColumn {
    document::ColumnLabel label;
    int column;
    std::string text;  // of the row before
  };
  void Check(int line);
  void Complain(int line, std::string message, std::string remedy);

  const LogContext& context_;
  std::vector<LabelColumn> columns_;
  LogLabels labels_;
  bool is_off_ = false;
  int64_t version_ = 0;
  std::vector<std::string> told_;
};

}  // namespace ratebound::points

#endif  // RATEBOUND_ENGINE_POINTS_LOG_LABEL_READER_H_
