// A plain table for a terminal: columns as wide as their widest cell, two spaces apart.
//
// Example:
//   TextTable table({"unit", "IEER"}, {Align::kLeft, Align::kRight});
//   table.AddRow({"hall-46", "14.2"});
//   std::string text = table.ToString();
//
// Widths count Unicode characters, not bytes.
#ifndef RATEBOUND_CLIENTS_CLI_TEXT_TABLE_H_
#define RATEBOUND_CLIENTS_CLI_TEXT_TABLE_H_

#include <string>
#include <vector>

namespace ratebound::cli {

enum class Align { kLeft, kRight };

class TextTable {
 public:
  TextTable(std::vector<std::string> header, std::vector<Align> alignment)
      : alignment_(std::move(alignment)) {
    rows_.push_back(std::move(header));
  }
  void AddRow(std::vector<std::string> row) { rows_.push_back(std::move(row)); }
  std::string ToString(int indent = 0) const;
  // RFC 4180.
  std::string ToCsv() const;

 private:
  std::vector<Align> alignment_;
  std::vector<std::vector<std::string>> rows_;
};

// "1 claim", "2 claims", "1 box", "2 boxes".
std::string Count(int count, const std::string& noun);

// Words in lines of at most 100 columns, each indented; a word that is longer stands
// alone.
std::string Wrapped(const std::string& text, int indent);

// A field of a CSV file, quoted where it must be.
std::string CsvField(const std::string& text);

}  // namespace ratebound::cli

#endif  // RATEBOUND_CLIENTS_CLI_TEXT_TABLE_H_
