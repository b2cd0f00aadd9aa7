#include "engine/points/ingest.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <optional>
#include <set>
#include <string>
#include <tuple>
#include <utility>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_join.h"
#include "engine/base/fault.h"
#include "engine/base/iso_date.h"
#include "engine/base/nearest_name.h"
#include "engine/base/text.h"
#include "engine/points/csv.h"
#include "engine/points/headings.h"
#include "engine/points/point_checks.h"

namespace ratebound::points {
namespace {

using base::Absl;
using document::ColumnLabel;
using document::TestPoint;

const document::PointFile* FindPointFile(const document::LineManifest& manifest,
                                         std::string_view path) {
  for (const document::PointFile& file : manifest.point_files) {
    if (file.path == path) return &file;
  }
  return nullptr;
}

// Index of the entry with this id, or the number of entries.
template <typename Entry>
size_t IndexOf(const std::vector<Entry>& entries, std::string_view id) {
  return static_cast<size_t>(
      std::find_if(entries.begin(), entries.end(),
                   [&](const Entry& entry) { return entry.id == id; }) -
      entries.begin());
}

template <typename Entry>
const Entry* FindId(const std::vector<Entry>& entries, std::string_view id) {
  const size_t index = IndexOf(entries, id);
  return index < entries.size() ? &entries[index] : nullptr;
}

std::string& LabelOf(TestPoint& point, ColumnLabel label) {
  switch (label) {
    case ColumnLabel::kPoint:
      return point.id;
    case ColumnLabel::kUnit:
      return point.unit;
    case ColumnLabel::kMode:
      return point.mode;
    case ColumnLabel::kStage:
      return point.stage;
    case ColumnLabel::kBlock:
      return point.block;
    case ColumnLabel::kSpecimen:
      return point.specimen;
    case ColumnLabel::kRegime:
      return point.regime;
    case ColumnLabel::kTestedOn:
      break;
  }
  return point.tested_on;
}

std::string_view LastPart(std::string_view path) {
  return path.substr(path.rfind('/') + 1);  // npos + 1 is 0
}

// Empty for a point that the manifest keeps.
std::string DroppedReason(const document::LineManifest& manifest, std::string_view id) {
  for (const document::DroppedPoint& dropped : manifest.dropped_points) {
    if (dropped.point == id) return dropped.reason;
  }
  return "";
}

// Conditions of a point that was cut from a log.
void CheckWindow(const document::LineManifest& manifest, const TestPoint& window,
                 base::FaultList& faults) {
  const document::Unit* const unit = FindId(manifest.units, window.unit);
  const document::Mode* const mode =
      unit != nullptr ? FindId(unit->modes, window.mode) : nullptr;
  if (mode == nullptr) return;  // reading the manifest has refused it
  const auto fault = [&](std::string message, std::string remedy) {
    faults.Add({.file = window.file,
                .line = window.line,
                .message = absl::StrCat("window '", window.id, "': ", message),
                .remedy = std::move(remedy)});
  };
  for (const std::string& condition : AllConditions(*mode)) {
    if (mode->reduction || window.FindValue(condition) != nullptr) continue;
    fault(
        absl::StrCat(condition, ", a condition of mode ", mode->id, ", was not measured"),
        "map the log's heading to it, or drop the window with a reason");
  }
  for (const PointFault& wrong : CheckValues(manifest, *mode, window)) {
    fault(wrong.message, wrong.remedy);
  }
}

class FileReader {
 public:
  FileReader(const document::LineManifest& manifest, const CsvFile& csv,
             base::FaultList& faults)
      : manifest_(manifest),
        own_(FindPointFile(manifest, csv.name())),
        csv_(csv),
        faults_(faults),
        headings_(ResolveHeadings(manifest, own_, csv, faults)) {
    std::vector<CsvUse> uses;
    for (size_t j = 0; j < headings_.size(); ++j) {
      const Heading& heading = headings_[j];
      const auto column = static_cast<int>(j);
      switch (heading.use) {
        case Heading::Use::kQuantity:
          uses.push_back(CsvUse::kNumber);
          if (heading.statistic == document::ReadingStatistic::kMean) {
            column_of_quantity_.emplace(heading.quantity->name, column);
          } else {
            spread_columns_.push_back(column);
          }
          break;
        case Heading::Use::kLabel:
          uses.push_back(CsvUse::kText);
          column_of_label_.emplace(heading.label, column);
          break;
        case Heading::Use::kUnused:
          uses.push_back(CsvUse::kSkip);
      }
    }
    headings_are_faulty_ = !faults.empty();
    table_ = csv.Read(uses, faults);
  }

  void Read(std::vector<TestPoint>& points) {
    for (int row = 0; row < table_.row_count; ++row) points.push_back(ReadRow(row));
  }

 private:
  void Fault(CsvPlace place, std::string message, std::string remedy) {
    faults_.Add({.file = csv_.name(),
                 .line = place.line,
                 .column = place.column,
                 .message = std::move(message),
                 .remedy = std::move(remedy)});
  }

  bool HasFaultAt(CsvPlace place) const {
    const std::vector<base::Fault>& told = faults_.faults();
    return std::any_of(told.begin(), told.end(), [&](const base::Fault& fault) {
      return fault.line == place.line && fault.column == place.column;
    });
  }

  // The cell of a label, or the row where no column gives it.
  CsvPlace PlaceOfLabel(int row, ColumnLabel label) const {
    const auto found = column_of_label_.find(label);
    if (found != column_of_label_.end()) return csv_.PlaceOf(table_, row, found->second);
    return {table_.row_lines[row], 0};
  }

  CsvPlace PlaceOfQuantity(int row, std::string_view quantity) const {
    const auto found = column_of_quantity_.find(quantity);
    if (found != column_of_quantity_.end()) {
      return csv_.PlaceOf(table_, row, found->second);
    }
    return {table_.row_lines[row], 0};
  }

  TestPoint ReadRow(int row) {
    TestPoint point;
    point.file = csv_.name();
    point.line = table_.row_lines[row];
    ReadLabels(row, point);
    const document::Mode* mode = CheckLabels(row, point);
    point.dropped_reason = DroppedReason(manifest_, point.id);
    // column_of_quantity_ is in the order of names, which becomes that of the values.
    for (const auto& [name, column] : column_of_quantity_) {
      const double value = table_.numbers[column][row];
      if (std::isnan(value)) continue;
      const Heading& heading = headings_[column];
      const double value_si = quantity::ToSi(value, heading.unit) + 0.0;  // no -0
      if (point.accepted()) {
        const absl::Status plausible =
            quantity::CheckPlausible(*heading.quantity, value_si);
        if (!plausible.ok()) {
          Fault(csv_.PlaceOf(table_, row, column), std::string(plausible.message()), "");
          continue;
        }
      } else if (!std::isfinite(value_si)) {
        continue;
      }
      point.values.push_back({.quantity = std::string(name), .value_si = value_si});
    }
    ReadSpreads(row, point);
    if (mode != nullptr && point.accepted()) CheckConditions(row, *mode, point);
    return point;
  }

  // Standard deviations and spreads of the readings that the values are means of.
  void ReadSpreads(int row, TestPoint& point) {
    for (document::SiValue& value : point.values) {
      if (own_ != nullptr) value.reading_count = own_->reading_count;
      for (int column : spread_columns_) {
        const Heading& heading = headings_[column];
        const double spread = table_.numbers[column][row];
        if (heading.quantity->name != value.quantity || std::isnan(spread)) continue;
        if (spread < 0) {
          Fault(csv_.PlaceOf(table_, row, column),
                absl::StrCat("a spread of ", value.quantity, " is negative"), "");
          continue;
        }
        const double spread_si = quantity::DifferenceToSi(spread, heading.unit);
        (heading.statistic == document::ReadingStatistic::kSpread
             ? value.spread_si
             : value.standard_deviation_si) = spread_si;
      }
    }
  }

  void ReadLabels(int row, TestPoint& point) {
    if (own_ != nullptr) {
      point.tested_on = own_->tested_on;
      point.curve = own_->curve;
      point.unit = own_->unit;
      point.mode = own_->mode;
      point.stage = own_->stage;
      point.block = own_->block;
      point.specimen = own_->specimen;
      point.regime = own_->regime;
    }
    for (const auto& [label, column] : column_of_label_) {
      const std::string& text = table_.texts[column][row];
      if (!text.empty()) LabelOf(point, label) = text;
    }
    if (point.id.empty()) {
      point.id = absl::StrCat(Absl(LastPart(csv_.name())), ":", point.line);
      if (column_of_label_.contains(ColumnLabel::kPoint)) {
        Fault(PlaceOfLabel(row, ColumnLabel::kPoint), "point has no id",
              "give every point of the file one");
      }
    }
  }

  // The entry that a label names; null, with a fault, where it names none.
  template <typename Entry>
  const Entry* Lookup(int row, ColumnLabel label, const std::string& id,
                      const std::vector<Entry>& entries) {
    const std::string_view what = LabelName(label);
    if (id.empty()) {
      // Once a file where no column could have said it; a heading that was not understood
      // may have been this one.
      if (column_of_label_.contains(label) ||
          (!headings_are_faulty_ && missing_labels_.insert(label).second)) {
        Fault(PlaceOfLabel(row, label), absl::StrCat("point has no ", Absl(what)),
              absl::StrCat("give a column ", Absl(what), " or set it in point_files"));
      }
      return nullptr;
    }
    const Entry* entry = FindId(entries, id);
    if (entry != nullptr) return entry;
    std::vector<std::string> known;
    for (const Entry& each : entries) known.push_back(each.id);
    if (column_of_label_.contains(label) || unknown_labels_.emplace(label, id).second) {
      Fault(PlaceOfLabel(row, label),
            absl::StrCat("unknown ", Absl(what), " '", base::Printable(id), "'",
                         base::DidYouMean(id, known)),
            known.empty()
                ? "list it in the manifest"
                : absl::StrCat("the manifest lists ", absl::StrJoin(known, ", ")));
    }
    return nullptr;
  }

  // The mode of the point; null for a point of a curve, and where a label is wrong.
  const document::Mode* CheckLabels(int row, const TestPoint& point) {
    if (!point.tested_on.empty() && !base::IsIsoDate(point.tested_on)) {
      Fault(PlaceOfLabel(row, ColumnLabel::kTestedOn),
            absl::StrCat("'", base::Printable(point.tested_on), "' is no day"),
            "write it as 2026-03-31");
    }
    if (!point.specimen.empty()) {
      Lookup(row, ColumnLabel::kSpecimen, point.specimen, manifest_.specimens);
    }
    const document::Unit* unit =
        Lookup(row, ColumnLabel::kUnit, point.unit, manifest_.units);
    if (unit == nullptr) return nullptr;
    if (!point.curve.empty()) {
      if (FindId(unit->curves, point.curve) == nullptr &&
          unknown_labels_.emplace(ColumnLabel::kMode, point.curve).second) {
        std::vector<std::string> known;
        for (const document::CurveRequest& curve : unit->curves)
          known.push_back(curve.id);
        Fault({table_.row_lines[row], 0},
              absl::StrCat("unit ", unit->id, " has no curve '",
                           base::Printable(point.curve), "'",
                           base::DidYouMean(point.curve, known)),
              "list it under the unit's curves");
      }
      return nullptr;
    }
    const document::Mode* mode = Lookup(row, ColumnLabel::kMode, point.mode, unit->modes);
    if (mode == nullptr) return nullptr;
    Lookup(row, ColumnLabel::kStage, point.stage, mode->stages);
    return mode;
  }

  void CheckConditions(int row, const document::Mode& mode, const TestPoint& point) {
    for (const std::string& condition : AllConditions(mode)) {
      // The reduction may compute it; the pipeline asks again when it has.
      if (point.Find(condition) || mode.reduction.has_value()) continue;
      const auto column = column_of_quantity_.find(condition);
      if (column == column_of_quantity_.end()) {
        // A heading that was not understood may have been this one.
        if (headings_are_faulty_ ||
            !missing_conditions_.emplace(mode.id, condition).second) {
          continue;
        }
        Fault({csv_.header()[0].place.line, 0},
              absl::StrCat("file has no column for ", condition, ", a condition of mode ",
                           mode.id),
              absl::StrCat("add a column ", condition,
                           "[unit] or map the lab's heading to it"));
      } else if (std::isnan(table_.numbers[column->second][row])) {
        const CsvPlace place = csv_.PlaceOf(table_, row, column->second);
        if (HasFaultAt(place)) continue;  // it was measured and could not be read
        Fault(place,
              absl::StrCat(condition, ", a condition of mode ", mode.id,
                           ", was not measured"),
              "give the value, or drop the point with a reason");
      }
    }
    for (PointFault& fault : CheckValues(manifest_, mode, point)) {
      Fault(PlaceOfQuantity(row, fault.quantity), std::move(fault.message),
            std::move(fault.remedy));
    }
  }

  const document::LineManifest& manifest_;
  const document::PointFile* own_;
  const CsvFile& csv_;
  base::FaultList& faults_;
  std::vector<Heading> headings_;
  std::map<std::string_view, int> column_of_quantity_;
  std::vector<int> spread_columns_;
  std::map<ColumnLabel, int> column_of_label_;
  bool headings_are_faulty_ = false;
  CsvTable table_;
  // What was told already, where one sentence serves the whole file.
  std::set<ColumnLabel> missing_labels_;
  std::set<std::pair<ColumnLabel, std::string>> unknown_labels_;
  std::set<std::pair<std::string, std::string>> missing_conditions_;
};

void ReadFile(const document::LineManifest& manifest, const PointSource& source,
              std::vector<TestPoint>& points, base::FaultList& faults) {
  base::FaultList of_file;
  const std::optional<CsvFile> csv =
      CsvFile::Open(source.path, source.bytes, CsvLimits(), of_file);
  if (csv) FileReader(manifest, *csv, of_file).Read(points);
  faults.AddStatus(of_file.ToStatus());
}

void CheckIds(const std::vector<TestPoint>& points, base::FaultList& faults) {
  std::map<std::string_view, const TestPoint*> first_of_id;
  for (const TestPoint& point : points) {
    const auto [first, is_new] = first_of_id.emplace(point.id, &point);
    if (is_new) continue;
    faults.Add({.file = point.file,
                .line = point.line,
                .message = absl::StrCat("point '", base::Printable(point.id),
                                        "' stands already at ", first->second->file, ":",
                                        first->second->line),
                .remedy = "give every point of the line an id of its own"});
  }
}

void CheckManifestMentions(const document::LineManifest& manifest,
                           std::span<const PointSource> files,
                           const std::vector<TestPoint>& points,
                           base::FaultList& faults) {
  std::vector<std::string> ids;
  for (const TestPoint& point : points) ids.push_back(point.id);
  for (size_t i = 0; i < manifest.dropped_points.size(); ++i) {
    const std::string& id = manifest.dropped_points[i].point;
    if (std::find(ids.begin(), ids.end(), id) != ids.end()) continue;
    faults.Add({.file = "line.textproto",
                .field = absl::StrCat("dropped_points[", i, "].point"),
                .message = absl::StrCat("no file has a point '", base::Printable(id), "'",
                                        base::DidYouMean(id, ids))});
  }
  std::vector<std::string> paths;
  for (const PointSource& file : files) paths.emplace_back(file.path);
  for (size_t i = 0; i < manifest.point_files.size(); ++i) {
    const std::string& path = manifest.point_files[i].path;
    if (std::find(paths.begin(), paths.end(), path) != paths.end()) continue;
    faults.Add({.file = "line.textproto",
                .field = absl::StrCat("point_files[", i, "].path"),
                .message = absl::StrCat("the line has no file '", base::Printable(path),
                                        "'", base::DidYouMean(path, paths))});
  }
}

struct SortKey {
  size_t unit;
  size_t mode;
  size_t stage;
  std::vector<double> conditions;  // not measured sorts first
};

SortKey KeyOf(const document::LineManifest& manifest, const TestPoint& point) {
  SortKey key{.unit = IndexOf(manifest.units, point.unit), .mode = 0, .stage = 0};
  if (key.unit == manifest.units.size()) return key;
  const std::vector<document::Mode>& modes = manifest.units[key.unit].modes;
  key.mode = IndexOf(modes, point.mode);
  if (key.mode == modes.size()) return key;
  key.stage = IndexOf(modes[key.mode].stages, point.stage);
  for (const std::string& condition : modes[key.mode].conditions) {
    key.conditions.push_back(point.Find(condition).value_or(-1e300));
  }
  return key;
}

bool ValuesComeBefore(const TestPoint& a, const TestPoint& b) {
  return std::lexicographical_compare(
      a.values.begin(), a.values.end(), b.values.begin(), b.values.end(),
      [](const document::SiValue& x, const document::SiValue& y) {
        return std::tie(x.quantity, x.value_si) < std::tie(y.quantity, y.value_si);
      });
}

}  // namespace

absl::StatusOr<std::vector<TestPoint>> ReadAllPoints(
    const document::LineManifest& manifest, std::span<const PointSource> files,
    std::vector<TestPoint> windows) {
  std::vector<PointSource> ordered(files.begin(), files.end());
  std::stable_sort(
      ordered.begin(), ordered.end(),
      [](const PointSource& a, const PointSource& b) { return a.path < b.path; });
  base::FaultList faults;
  std::vector<TestPoint> points;
  for (const PointSource& file : ordered) ReadFile(manifest, file, points, faults);
  for (TestPoint& window : windows) {
    window.dropped_reason = DroppedReason(manifest, window.id);
    if (window.accepted()) CheckWindow(manifest, window, faults);
    points.push_back(std::move(window));
  }
  CheckIds(points, faults);
  CheckManifestMentions(manifest, ordered, points, faults);
  if (!faults.empty()) return faults.ToStatus();
  SortPoints(manifest, points);
  return points;
}

absl::StatusOr<std::vector<TestPoint>> ReadPoints(const document::LineManifest& manifest,
                                                  std::string_view path,
                                                  std::string_view bytes) {
  base::FaultList faults;
  std::vector<TestPoint> points;
  ReadFile(manifest, {path, bytes}, points, faults);
  CheckIds(points, faults);
  if (!faults.empty()) return faults.ToStatus();
  SortPoints(manifest, points);
  return points;
}

void SortPoints(const document::LineManifest& manifest, std::vector<TestPoint>& points) {
  std::vector<std::pair<SortKey, TestPoint>> keyed;
  keyed.reserve(points.size());
  for (TestPoint& point : points) {
    SortKey key = KeyOf(manifest, point);
    keyed.emplace_back(std::move(key), std::move(point));
  }
  std::sort(keyed.begin(), keyed.end(), [](const auto& a, const auto& b) {
    const auto leading = [](const std::pair<SortKey, TestPoint>& p) {
      return std::tie(p.first.unit, p.first.mode, p.first.stage, p.second.regime,
                      p.second.block, p.second.specimen, p.second.curve,
                      p.first.conditions);
    };
    if (leading(a) != leading(b)) return leading(a) < leading(b);
    if (ValuesComeBefore(a.second, b.second)) return true;
    if (ValuesComeBefore(b.second, a.second)) return false;
    return a.second.id < b.second.id;
  });
  for (size_t i = 0; i < points.size(); ++i) points[i] = std::move(keyed[i].second);
}

}  // namespace ratebound::points
