// Performance tables: what was asked for, and the table. See
// proto/ratebound/v1/table.proto.
#ifndef RATEBOUND_ENGINE_DOCUMENT_TABLE_H_
#define RATEBOUND_ENGINE_DOCUMENT_TABLE_H_

#include <string>
#include <vector>

#include "engine/document/measure.h"

namespace ratebound::document {

struct TableAxis {
  std::string quantity;  // empty: the table has no such axis
  std::string unit;
  std::vector<double> values;
  std::vector<double> values_si;
  friend bool operator==(const TableAxis&, const TableAxis&) = default;
};

struct TableFigure {
  std::string quantity;
  std::string unit;
  int decimal_count = 0;
  friend bool operator==(const TableFigure&, const TableFigure&) = default;
};

struct TableRequest {
  std::string id;
  std::string title;
  std::string unit;
  std::string mode;
  std::string stage;
  TableAxis rows;
  TableAxis columns;
  std::vector<Measure> fixed_conditions;
  std::vector<TableFigure> figures;
  double confidence = 0.95;
  friend bool operator==(const TableRequest&, const TableRequest&) = default;
};

// Cells row by row, in the figure's unit.
struct TableColumnSet {
  TableFigure figure;
  std::vector<double> values;
  std::vector<double> half_widths;  // empty where it cannot be estimated
  std::vector<Footing> footings;
  friend bool operator==(const TableColumnSet&, const TableColumnSet&) = default;
};

struct Table {
  TableRequest request;
  std::vector<TableColumnSet> figures;
  std::vector<std::string> notes;
  friend bool operator==(const Table&, const Table&) = default;
};

}  // namespace ratebound::document

#endif  // RATEBOUND_ENGINE_DOCUMENT_TABLE_H_
