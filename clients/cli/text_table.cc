#include "clients/cli/text_table.h"

#include <algorithm>
#include <cstddef>

namespace ratebound::cli {
namespace {

size_t Width(const std::string& text) {
  return std::count_if(text.begin(), text.end(),
                       [](char c) { return (c & 0xC0) != 0x80; });
}

}  // namespace

std::string TextTable::ToString(int indent) const {
  std::vector<size_t> widths(alignment_.size(), 0);
  for (const auto& row : rows_) {
    for (size_t i = 0; i < widths.size() && i < row.size(); ++i) {
      widths[i] = std::max(widths[i], Width(row[i]));
    }
  }
  std::string text;
  for (const auto& row : rows_) {
    std::string line(indent, ' ');
    for (size_t i = 0; i < widths.size() && i < row.size(); ++i) {
      const std::string fill(widths[i] - Width(row[i]), ' ');
      if (i > 0) line += "  ";
      line += alignment_[i] == Align::kRight ? fill + row[i] : row[i] + fill;
    }
    line.erase(line.find_last_not_of(' ') + 1);
    text += line + "\n";
  }
  return text;
}

std::string CsvField(const std::string& text) {
  if (text.find_first_of(",\"\r\n") == std::string::npos) return text;
  std::string quoted = "\"";
  for (char c : text) {
    if (c == '"') quoted += '"';
    quoted += c;
  }
  return quoted + "\"";
}

std::string TextTable::ToCsv() const {
  std::string text;
  for (const auto& row : rows_) {
    for (size_t i = 0; i < row.size(); ++i) {
      if (i > 0) text += ',';
      text += CsvField(row[i]);
    }
    text += "\r\n";
  }
  return text;
}

}  // namespace ratebound::cli
