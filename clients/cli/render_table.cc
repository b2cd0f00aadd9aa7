#include <algorithm>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_format.h"
#include "clients/cli/render.h"
#include "clients/cli/text_table.h"

namespace ratebound::cli {
namespace {

std::string Mark(v1::Footing footing) {
  switch (footing) {
    case v1::FOOTING_TESTED:
      return " t";
    case v1::FOOTING_INTERPOLATED:
      return "  ";
    case v1::FOOTING_EXTRAPOLATED:
      return " x";
    default:
      return " p";
  }
}

bool HasColumns(const v1::Table& table) {
  return table.request().columns().values_size() > 0;
}

int ColumnCount(const v1::Table& table) {
  return HasColumns(table) ? table.request().columns().values_size() : 1;
}

}  // namespace

std::string TableText(const v1::Table& table) {
  const v1::TableRequest& request = table.request();
  const std::vector<v1::Measure> fixed(request.fixed_conditions().begin(),
                                       request.fixed_conditions().end());
  std::string text = absl::StrCat(request.title(), "\n  ", request.unit(), ", ",
                                  request.mode(), ", stage ", request.stage(),
                                  fixed.empty() ? "" : "; at ", Conditions(fixed), "\n");
  const int columns = ColumnCount(table);
  for (const v1::TableColumnSet& set : table.figures()) {
    const v1::TableFigure& figure = set.figure();
    absl::StrAppend(&text, "\n  ", figure.quantity(), ", ", figure.unit());
    if (set.half_widths_size() > 0) {
      const double widest =
          *std::max_element(set.half_widths().begin(), set.half_widths().end());
      absl::StrAppend(&text, "   (surface within +-", absl::StrFormat("%.2g", widest),
                      " ", figure.unit(),
                      absl::StrFormat(" at %.3g %%", 100 * request.confidence()), ")");
    } else {
      absl::StrAppend(&text, "   (uncertainty cannot be estimated)");
    }
    absl::StrAppend(&text, "\n");
    std::vector<std::string> header = {
        absl::StrCat(request.rows().quantity(), ", ", request.rows().unit())};
    std::vector<Align> alignment = {Align::kRight};
    for (int c = 0; c < columns; ++c) {
      header.push_back(HasColumns(table) ? Number(request.columns().values(c)) + "  "
                                         : "");
      alignment.push_back(Align::kRight);
    }
    TextTable grid(std::move(header), std::move(alignment));
    for (int r = 0; r < request.rows().values_size(); ++r) {
      std::vector<std::string> row = {Number(request.rows().values(r))};
      for (int c = 0; c < columns; ++c) {
        const int cell = r * columns + c;
        row.push_back(absl::StrFormat("%.*f", figure.decimal_count(), set.values(cell)) +
                      Mark(set.footings(cell)));
      }
      grid.AddRow(std::move(row));
    }
    if (HasColumns(table)) {
      absl::StrAppend(&text, "    columns: ", request.columns().quantity(), ", ",
                      request.columns().unit(), "\n");
    }
    absl::StrAppend(&text, grid.ToString(4));
  }
  absl::StrAppend(&text,
                  "\n  t tested at the condition, x outside the tested region, otherwise "
                  "interpolated by the map\n");
  for (const std::string& note : table.notes()) absl::StrAppend(&text, "  ", note, "\n");
  return text;
}

std::string TableCsv(const v1::Table& table) {
  const v1::TableRequest& request = table.request();
  std::vector<std::string> header = {
      absl::StrCat(request.rows().quantity(), "[", request.rows().unit(), "]")};
  if (HasColumns(table)) {
    header.push_back(
        absl::StrCat(request.columns().quantity(), "[", request.columns().unit(), "]"));
  }
  for (const v1::Measure& fixed : request.fixed_conditions()) {
    header.push_back(absl::StrCat(fixed.quantity(), "[", fixed.unit(), "]"));
  }
  for (const v1::TableColumnSet& set : table.figures()) {
    const std::string name =
        absl::StrCat(set.figure().quantity(), "[", set.figure().unit(), "]");
    header.push_back(name);
    header.push_back("half_width_" + name);
  }
  header.push_back("footing");
  TextTable rows(std::move(header), {});
  const int columns = ColumnCount(table);
  for (int cell = 0; cell < request.rows().values_size() * columns; ++cell) {
    std::vector<std::string> row = {Exact(request.rows().values(cell / columns))};
    if (HasColumns(table)) row.push_back(Exact(request.columns().values(cell % columns)));
    for (const v1::Measure& fixed : request.fixed_conditions()) {
      row.push_back(Exact(fixed.value()));
    }
    v1::Footing footing = v1::FOOTING_UNSPECIFIED;
    for (const v1::TableColumnSet& set : table.figures()) {
      row.push_back(Exact(set.values(cell)));
      row.push_back(set.half_widths_size() > 0 ? Exact(set.half_widths(cell)) : "");
      footing = std::max(footing, set.footings(cell));
    }
    row.push_back(FootingWord(footing));
    rows.AddRow(std::move(row));
  }
  return rows.ToCsv();
}

}  // namespace ratebound::cli
