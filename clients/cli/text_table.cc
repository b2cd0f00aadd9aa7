#include "clients/cli/text_table.h"

#include <algorithm>
#include <cstddef>
#include <string>

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

std::string Count(int count, const std::string& noun) {
  const char* const plural = noun.back() == 'x' ? "es" : "s";
  return std::to_string(count) + " " + noun + (count == 1 ? "" : plural);
}

std::string Wrapped(const std::string& text, int indent) {
  constexpr size_t kColumns = 100;
  const std::string start(indent, ' ');
  std::string lines;
  std::string line;
  for (size_t at = 0; at < text.size();) {
    const size_t end = std::min(text.find(' ', at), text.size());
    const std::string word = text.substr(at, end - at);
    at = end + 1;
    if (!line.empty() && indent + Width(line) + 1 + Width(word) > kColumns) {
      lines += start + line + "\n";
      line.clear();
    }
    line += (line.empty() ? "" : " ") + word;
  }
  return lines + start + line + "\n";
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
