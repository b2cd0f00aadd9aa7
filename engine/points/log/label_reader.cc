#include "engine/points/log/label_reader.h"

#include <algorithm>

#include "absl/strings/str_cat.h"
#include "engine/base/iso_date.h"
#include "engine/base/nearest_name.h"
#include "engine/base/text.h"

namespace ratebound::points {
namespace {

using document::ColumnLabel;

constexpr size_t kMostComplaints = 100;

template <typename Entry>
std::vector<std::string> IdsOf(const std::vector<Entry>& entries) {
  std::vector<std::string> ids;
  for (const Entry& entry : entries) ids.push_back(entry.id);
  return ids;
}

bool Contains(const std::vector<std::string>& texts, std::string_view text) {
  return std::find(texts.begin(), texts.end(), text) != texts.end();
}

}  // namespace

LabelReader::LabelReader(const LogContext& context) : context_(context) {
  const document::LogFile& log = *context.log;
  labels_ = {.stage = log.stage,
             .block = log.block.empty() ? log.path : log.block,
             .specimen = log.specimen,
             .regime = log.regime};
}

bool LabelReader::AddColumn(ColumnLabel label, int column) {
  if (label == ColumnLabel::kPoint || label == ColumnLabel::kUnit ||
      label == ColumnLabel::kMode) {
    return false;
  }
  columns_.push_back({label, column, ""});
  return true;
}

void LabelReader::Read(int line, const std::string_view* texts) {
  bool changed = version_ == 0;
  for (LabelColumn& column : columns_) {
    const std::string_view text = texts[column.column];
    if (text == column.text) continue;
    changed = true;
    column.text = std::string(text);
    const document::LogFile& log = *context_.log;
    const auto take = [&](std::string& label, const std::string& otherwise) {
      label = text.empty() ? otherwise : std::string(text);
    };
    switch (column.label) {
      case ColumnLabel::kStage:
        take(labels_.stage, log.stage);
        break;
      case ColumnLabel::kBlock:
        take(labels_.block, log.block.empty() ? log.path : log.block);
        break;
      case ColumnLabel::kSpecimen:
        take(labels_.specimen, log.specimen);
        break;
      case ColumnLabel::kRegime:
        take(labels_.regime, log.regime);
        break;
      default:
        take(labels_.tested_on, "");
    }
  }
  if (changed) Check(line);
}

void LabelReader::Complain(int line, std::string message, std::string remedy) {
  if (told_.size() >= kMostComplaints || Contains(told_, message)) return;
  told_.push_back(message);
  context_.AddFault(line, std::move(message), std::move(remedy));
}

void LabelReader::Check(int line) {
  ++version_;
  is_off_ = Contains(context_.log->off_stages, labels_.stage);
  if (labels_.stage.empty()) {
    Complain(line, "row has no stage", "give a column of stages or the log a stage");
  } else if (const auto known = IdsOf(context_.mode->stages);
             !is_off_ && !Contains(known, labels_.stage)) {
    Complain(line,
             absl::StrCat("unknown stage '", base::Printable(labels_.stage), "'",
                          base::DidYouMean(labels_.stage, known)),
             "list it under the mode's stages or the log's off_stages");
  }
  if (const auto known = IdsOf(context_.manifest->specimens);
      !labels_.specimen.empty() && !Contains(known, labels_.specimen)) {
    Complain(line,
             absl::StrCat("unknown specimen '", base::Printable(labels_.specimen), "'",
                          base::DidYouMean(labels_.specimen, known)),
             "list it in the manifest");
  }
  if (!labels_.tested_on.empty() && !base::IsIsoDate(labels_.tested_on)) {
    Complain(line, absl::StrCat("'", base::Printable(labels_.tested_on), "' is no day"),
             "write it as 2026-03-31");
  }
}

}  // namespace ratebound::points
