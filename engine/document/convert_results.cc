#include "absl/strings/str_cat.h"
#include "engine/document/convert_parts.h"

namespace ratebound::document {

static void Read(const v1::TableAxis& from, TableAxis& to, base::FaultList& faults) {
  to.quantity = from.quantity();
  to.unit = from.unit();
  to.values = Plainly(from.values());
  for (double value : to.values) {
    to.values_si.push_back(SiOf(to.quantity, value, to.unit, faults));
  }
}

static void Write(const TableAxis& from, v1::TableAxis* to) {
  to->set_quantity(from.quantity);
  to->set_unit(from.unit);
  Fill(from.values, to->mutable_values());
}

static void Read(const v1::TableFigure& from, TableFigure& to, base::FaultList&) {
  to.quantity = from.quantity();
  to.unit = from.unit();
  to.decimal_count = from.decimal_count();
}

static void Write(const TableFigure& from, v1::TableFigure* to) {
  to->set_quantity(from.quantity);
  to->set_unit(from.unit);
  to->set_decimal_count(from.decimal_count);
}

static void Read(const v1::TableColumnSet& from, TableColumnSet& to,
                 base::FaultList& faults) {
  Read(from.figure(), to.figure, faults);
  to.values = Plainly(from.values());
  to.half_widths = Plainly(from.half_widths());
  for (int footing : from.footings())
    to.footings.push_back(static_cast<Footing>(footing));
}

static void Write(const TableColumnSet& from, v1::TableColumnSet* to) {
  Write(from.figure, to->mutable_figure());
  Fill(from.values, to->mutable_values());
  Fill(from.half_widths, to->mutable_half_widths());
  for (Footing footing : from.footings) to->add_footings(ToMessage(footing));
}

static void Read(const v1::SourceFile& from, SourceFile& to, base::FaultList&) {
  to.path = from.path();
  to.sha256 = from.sha256();
  to.byte_count = from.byte_count();
}

static void Write(const SourceFile& from, v1::SourceFile* to) {
  to->set_path(from.path);
  to->set_sha256(from.sha256);
  to->set_byte_count(from.byte_count);
}

void Read(const v1::TableRequest& from, TableRequest& to, base::FaultList& faults) {
  to.id = from.id();
  to.title = from.title();
  to.unit = from.unit();
  to.mode = from.mode();
  to.stage = from.stage();
  Read(from.rows(), to.rows, faults);
  Read(from.columns(), to.columns, faults);
  ReadAll(from.fixed_conditions(), to.fixed_conditions, faults);
  ReadAll(from.figures(), to.figures, faults);
  if (from.has_confidence()) to.confidence = from.confidence();
}

void Write(const TableRequest& from, v1::TableRequest* to) {
  to->set_id(from.id);
  to->set_title(from.title);
  to->set_unit(from.unit);
  to->set_mode(from.mode);
  to->set_stage(from.stage);
  Write(from.rows, to->mutable_rows());
  if (!from.columns.quantity.empty()) Write(from.columns, to->mutable_columns());
  WriteAll(from.fixed_conditions, to->mutable_fixed_conditions());
  WriteAll(from.figures, to->mutable_figures());
  to->set_confidence(from.confidence);
}

void Read(const v1::Table& from, Table& to, base::FaultList& faults) {
  Read(from.request(), to.request, faults);
  ReadAll(from.figures(), to.figures, faults);
  to.notes = Plainly(from.notes());

  const size_t columns =
      to.request.columns.quantity.empty() ? 1 : to.request.columns.values.size();
  const size_t cells = to.request.rows.values.size() * columns;
  for (const TableColumnSet& figure : to.figures) {
    const bool fits = figure.values.size() == cells && figure.footings.size() == cells &&
                      (figure.half_widths.empty() || figure.half_widths.size() == cells);
    if (fits) continue;
    faults.Add({.field = "Table.figures",
                .message = absl::StrCat("'", figure.figure.quantity,
                                        "' does not have one value and one footing for "
                                        "each of ",
                                        cells, " cells")});
  }
}

void Write(const Table& from, v1::Table* to) {
  Write(from.request, to->mutable_request());
  WriteAll(from.figures, to->mutable_figures());
  Fill(from.notes, to->mutable_notes());
}

void Read(const v1::Release& from, Release& to, base::FaultList& faults) {
  to.engine_version = from.engine_version();
  Read(from.manifest(), to.manifest, faults);
  ReadAll(from.source_files(), to.source_files, faults);
  ReadAll(from.points(), to.points, faults);
  ReadAll(from.findings(), to.findings, faults);
  ReadAll(from.maps(), to.maps, faults);
  ReadAll(from.procedures(), to.procedures, faults);
  ReadAll(from.ratings(), to.ratings, faults);
  ReadAll(from.verdicts(), to.verdicts, faults);
  ReadAll(from.tables(), to.tables, faults);
  ReadAll(from.methods(), to.methods, faults);
  ReadAll(from.log_reports(), to.log_reports, faults);
  ReadAll(from.curves(), to.curves, faults);
}

void Write(const Release& from, v1::Release* to) {
  to->set_engine_version(from.engine_version);
  Write(from.manifest, to->mutable_manifest());
  WriteAll(from.source_files, to->mutable_source_files());
  WriteAll(from.points, to->mutable_points());
  WriteAll(from.findings, to->mutable_findings());
  WriteAll(from.maps, to->mutable_maps());
  WriteAll(from.procedures, to->mutable_procedures());
  WriteAll(from.ratings, to->mutable_ratings());
  WriteAll(from.verdicts, to->mutable_verdicts());
  WriteAll(from.tables, to->mutable_tables());
  WriteAll(from.methods, to->mutable_methods());
  WriteAll(from.log_reports, to->mutable_log_reports());
  WriteAll(from.curves, to->mutable_curves());
}

}  // namespace ratebound::document
