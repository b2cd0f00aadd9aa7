// Any bytes: the reader must neither crash nor hang, its columns must be of one length,
// every place it tells must be in the file, and what it refuses it must explain.
#include <cmath>
#include <cstdlib>
#include <string_view>
#include <vector>

#include "engine/points/csv.h"

extern "C" int LLVMFuzzerTestOneInput(const uint8_t* data, size_t size) {
  using namespace ratebound;
  const std::string_view bytes(reinterpret_cast<const char*>(data), size);
  const points::CsvLimits limits{
      .file_bytes = 1 << 16, .line_bytes = 1 << 12, .columns = 64, .cells = 1 << 12};
  base::FaultList faults;
  const auto file = points::CsvFile::Open("f.csv", bytes, limits, faults);
  if (!file) {
    if (faults.empty()) std::abort();
    return 0;
  }
  std::vector<points::CsvUse> uses;
  for (size_t j = 0; j < file->header().size(); ++j) {
    uses.push_back(static_cast<points::CsvUse>(j % 3));
  }
  const points::CsvTable table = file->Read(uses, faults);
  const auto rows = static_cast<size_t>(table.row_count);
  if (rows == 0 && faults.empty()) std::abort();
  for (size_t j = 0; j < uses.size(); ++j) {
    if (uses[j] == points::CsvUse::kNumber && table.numbers[j].size() != rows)
      std::abort();
    if (uses[j] == points::CsvUse::kText && table.texts[j].size() != rows) std::abort();
    for (double value : table.numbers[j]) {
      if (std::isinf(value)) std::abort();
    }
  }
  for (size_t i = 0; i < rows && i < 8; ++i) {
    const auto place = file->PlaceOf(table, static_cast<int>(i), 0);
    if (place.line < table.row_lines[i] || place.column < 1) std::abort();
  }
  return 0;
}
