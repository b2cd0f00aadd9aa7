#include "engine/points/headings.h"

#include <array>
#include <map>
#include <optional>
#include <string>
#include <utility>

#include "absl/strings/str_cat.h"
#include "engine/base/nearest_name.h"
#include "engine/base/text.h"
#include "engine/quantity/measure.h"

namespace ratebound::points {
namespace {

using base::Absl;
using document::Column;
using document::ColumnLabel;

constexpr std::array kLabels = {ColumnLabel::kPoint,  ColumnLabel::kUnit,
                                ColumnLabel::kMode,   ColumnLabel::kStage,
                                ColumnLabel::kBlock,  ColumnLabel::kSpecimen,
                                ColumnLabel::kRegime, ColumnLabel::kTestedOn};

const Column* FindColumn(const std::vector<Column>& columns, std::string_view header) {
  for (const Column& column : columns) {
    if (column.header == header) return &column;
  }
  return nullptr;
}

// The meaning that the manifest gives a heading, or why it gives none.
absl::StatusOr<Heading> FromColumn(const Column& column) {
  Heading heading;
  if (column.label) {
    heading.use = Heading::Use::kLabel;
    heading.label = *column.label;
  } else if (!column.quantity.empty()) {
    heading.use = Heading::Use::kQuantity;
    const auto quantity = quantity::FindQuantity(column.quantity);
    if (!quantity.ok()) return quantity.status();
    heading.quantity = *quantity;
    heading.statistic = column.statistic;
    auto unit = quantity::FindUnit(column.unit, heading.quantity->dimension);
    if (!unit.ok() && column.statistic != document::ReadingStatistic::kMean) {
      // A spread may be in a unit of difference, such as delta_degF.
      const auto difference = quantity::FindUnit(
          column.unit, quantity::DifferenceOf(heading.quantity->dimension));
      if (difference.ok()) unit = *difference;
    }
    if (!unit.ok()) return unit.status();
    heading.unit = *unit;
  } else if (column.unused_reason.empty()) {
    return absl::InvalidArgumentError(
        "gives neither quantity nor label nor why it is unused");
  }
  return heading;
}

std::optional<ColumnLabel> FindLabel(std::string_view text) {
  for (ColumnLabel label : kLabels) {
    if (LabelName(label) == text) return label;
  }
  return {};
}

std::string_view StatisticName(document::ReadingStatistic statistic) {
  switch (statistic) {
    case document::ReadingStatistic::kMean:
      break;
    case document::ReadingStatistic::kStandardDeviation:
      return "the standard deviation of ";
    case document::ReadingStatistic::kSpread:
      return "the spread of ";
  }
  return "";
}

// Every heading that would have been known, to find the one that was meant.
std::string DidYouMean(std::string_view heading, const document::LineManifest& manifest,
                       const document::PointFile* own) {
  std::vector<std::string> known;
  if (own != nullptr) {
    for (const Column& column : own->columns) known.push_back(column.header);
  }
  for (const Column& column : manifest.columns) known.push_back(column.header);
  for (ColumnLabel label : kLabels) known.emplace_back(LabelName(label));
  const std::string mapped = base::NearestName(heading, known);
  if (!mapped.empty()) return absl::StrCat("did you mean '", mapped, "'?");
  known.clear();
  for (const quantity::Quantity& quantity : quantity::AllQuantities()) {
    known.emplace_back(quantity.name);
  }
  const std::string name = base::NearestName(heading.substr(0, heading.find('[')), known);
  if (!name.empty()) return absl::StrCat("did you mean '", name, "[unit]'?");
  return "write quantity[unit], or say in the manifest's columns what it means or why it "
         "is "
         "unused";
}

}  // namespace

std::string_view LabelName(ColumnLabel label) {
  switch (label) {
    case ColumnLabel::kPoint:
      return "point";
    case ColumnLabel::kUnit:
      return "unit";
    case ColumnLabel::kMode:
      return "mode";
    case ColumnLabel::kStage:
      return "stage";
    case ColumnLabel::kBlock:
      return "block";
    case ColumnLabel::kSpecimen:
      return "specimen";
    case ColumnLabel::kRegime:
      return "regime";
    case ColumnLabel::kTestedOn:
      return "tested_on";
  }
  return "";
}

std::vector<Heading> ResolveHeadings(const document::LineManifest& manifest,
                                     const document::PointFile* own, const CsvFile& file,
                                     base::FaultList& faults) {
  std::vector<Heading> headings;
  std::map<std::string, CsvPlace> seen;                 // by heading
  std::map<std::string, std::string> first_of_meaning;  // by quantity or label
  for (const CsvCell& cell : file.header()) {
    const std::string shown = absl::StrCat("'", base::Printable(cell.text), "'");
    const auto fault = [&](std::string message, std::string remedy) {
      faults.Add({.file = file.name(),
                  .line = cell.place.line,
                  .column = cell.place.column,
                  .message = std::move(message),
                  .remedy = std::move(remedy)});
    };
    Heading& heading = headings.emplace_back();
    if (const auto [first, is_new] = seen.emplace(cell.text, cell.place); !is_new) {
      fault(absl::StrCat("heading ", shown, " stands twice, first in column ",
                         first->second.column),
            "rename one of them");
      continue;
    }
    const Column* column = own != nullptr ? FindColumn(own->columns, cell.text) : nullptr;
    if (column == nullptr) column = FindColumn(manifest.columns, cell.text);
    if (column != nullptr) {
      auto meaning = FromColumn(*column);
      if (!meaning.ok()) {
        fault(absl::StrCat("the manifest's column for heading ", shown, ": ",
                           meaning.status().message()),
              "");
        continue;
      }
      heading = *std::move(meaning);
    } else if (const auto label = FindLabel(cell.text)) {
      heading.use = Heading::Use::kLabel;
      heading.label = *label;
    } else if (cell.text.empty()) {
      fault("heading is empty", "name the column");
      continue;
    } else {
      const auto parsed = quantity::ParseHeaderCell(cell.text);
      if (!parsed.ok()) {
        const std::string_view name =
            std::string_view(cell.text).substr(0, cell.text.find('['));
        if (quantity::FindQuantity(name).ok()) {
          fault(std::string(parsed.status().message()), "");
        } else if (file.header().size() == 1 &&
                   cell.text.find_first_of(";\t|") != std::string::npos) {
          fault(absl::StrCat("heading ", shown, " has no meaning"),
                "cells are parted by commas; this file seems to part them otherwise");
        } else {
          fault(absl::StrCat("heading ", shown, " has no meaning"),
                DidYouMean(cell.text, manifest, own));
        }
        continue;
      }
      heading.use = Heading::Use::kQuantity;
      heading.quantity = parsed->quantity;
      heading.unit = parsed->unit;
    }
    if (heading.use == Heading::Use::kUnused) continue;
    const std::string meaning = heading.use == Heading::Use::kLabel
                                    ? std::string(LabelName(heading.label))
                                    : absl::StrCat(Absl(StatisticName(heading.statistic)),
                                                   Absl(heading.quantity->name));
    const auto [first, is_new] = first_of_meaning.emplace(meaning, cell.text);
    if (!is_new) {
      fault(absl::StrCat("headings '", base::Printable(first->second), "' and ", shown,
                         " both give ", meaning),
            "mark one of them as unused in the manifest's columns, with the reason");
      heading = {};
    }
  }
  for (size_t j = 0; j < headings.size(); ++j) {
    const Heading& heading = headings[j];
    if (heading.use != Heading::Use::kQuantity ||
        heading.statistic == document::ReadingStatistic::kMean ||
        first_of_meaning.contains(std::string(heading.quantity->name))) {
      continue;
    }
    const CsvCell& cell = file.header()[j];
    faults.Add({.file = file.name(),
                .line = cell.place.line,
                .column = cell.place.column,
                .message = absl::StrCat(
                    "heading '", base::Printable(cell.text), "' gives ",
                    Absl(StatisticName(heading.statistic)), Absl(heading.quantity->name),
                    ", whose mean no column gives"),
                .remedy = "map the column of the mean, too"});
  }
  if (own != nullptr) {
    for (const Column& column : own->columns) {
      if (seen.contains(column.header)) continue;
      faults.Add({.file = file.name(),
                  .line = file.header()[0].place.line,
                  .message = absl::StrCat("file has no heading '",
                                          base::Printable(column.header),
                                          "', which its point_files entry describes"),
                  .remedy = "correct the heading in the manifest"});
    }
  }
  return headings;
}

}  // namespace ratebound::points
