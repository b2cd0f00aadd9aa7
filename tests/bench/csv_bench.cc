// How fast the lab's files are read: the same CsvFile::Open and Read that ingest uses,
// checks of encoding, finiteness, row length and limits included, from a file on disk
// into columns.
//
//   csv_bench --data DIR      writes DIR/digits.csv and DIR/decimals.csv where they are
//   missing
//                             and prints one JSON line; csv_peer.py DIR reads the same
//                             files.
#include <fcntl.h>
#include <sys/mman.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <chrono>
#include <cmath>
#include <cstdio>
#include <cstring>
#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "absl/strings/str_format.h"
#include "engine/points/csv.h"
#include "tests/testing/random.h"

namespace {

using namespace ratebound;

constexpr int kColumns = 20;
constexpr int64_t kBytes = 100'000'000;
constexpr int kRuns = 7;

using File = std::unique_ptr<std::FILE, int (*)(std::FILE*)>;

bool WriteTable(const std::string& path, bool ten_digits) {
  if (File(std::fopen(path.c_str(), "rb"), std::fclose)) return true;
  File file(std::fopen(path.c_str(), "wb"), std::fclose);
  if (!file) return false;
  testing::Random random("CSV_BENCH");
  std::string rows;
  for (int j = 0; j < kColumns; ++j) {
    absl::StrAppendFormat(&rows, "channel_%d%s", j, j + 1 < kColumns ? "," : "\n");
  }
  int64_t written = 0;
  while (written < kBytes) {
    for (int j = 0; j < kColumns; ++j) {
      const double value = 20.0 * j - 40 + 5 * random.Normal();
      const char* end = j + 1 < kColumns ? "," : "\n";
      if (ten_digits) {
        absl::StrAppendFormat(&rows, "%.10g%s", value, end);
      } else {
        absl::StrAppendFormat(&rows, "%.3f%s", value, end);
      }
    }
    if (rows.size() > (1 << 20)) {
      if (std::fwrite(rows.data(), 1, rows.size(), file.get()) != rows.size())
        return false;
      written += static_cast<int64_t>(rows.size());
      rows.clear();
    }
  }
  return true;
}

// A file's bytes without copying them; empty where it cannot be read.
class MappedFile {
 public:
  explicit MappedFile(const std::string& path) {
    const int descriptor = open(path.c_str(), O_RDONLY);
    struct stat status = {};
    if (descriptor >= 0 && fstat(descriptor, &status) == 0 && status.st_size > 0) {
      size_ = static_cast<size_t>(status.st_size);
      data_ = mmap(nullptr, size_, PROT_READ, MAP_PRIVATE | MAP_POPULATE, descriptor, 0);
    }
    if (descriptor >= 0) close(descriptor);
  }
  ~MappedFile() {
    if (data_ != MAP_FAILED) munmap(data_, size_);
  }
  MappedFile(const MappedFile&) = delete;
  MappedFile& operator=(const MappedFile&) = delete;

  std::string_view bytes() const {
    return data_ == MAP_FAILED ? std::string_view()
                               : std::string_view(static_cast<const char*>(data_), size_);
  }

 private:
  void* data_ = MAP_FAILED;
  size_t size_ = 0;
};

// Megabytes (10^6) a second, the median of several runs; 0 where something is wrong.
double Measure(const std::string& path) {
  const points::CsvLimits limits{.file_bytes = int64_t{1} << 30};
  std::vector<double> rates;
  for (int run = 0; run < kRuns; ++run) {
    const auto start = std::chrono::steady_clock::now();
    const MappedFile file(path);
    const std::string_view bytes = file.bytes();
    base::FaultList faults;
    const auto csv = points::CsvFile::Open(path, bytes, limits, faults);
    if (!csv) return 0;
    const std::vector<points::CsvUse> uses(kColumns, points::CsvUse::kNumber);
    const points::CsvTable table = csv->Read(uses, faults);
    if (!faults.empty() || table.row_count == 0) return 0;
    const std::chrono::duration<double> seconds =
        std::chrono::steady_clock::now() - start;
    rates.push_back(static_cast<double>(bytes.size()) / 1e6 / seconds.count());
  }
  std::sort(rates.begin(), rates.end());
  return rates[rates.size() / 2];
}

}  // namespace

int main(int argc, char** argv) {
  if (argc != 3 || std::strcmp(argv[1], "--data") != 0) {
    std::fprintf(stderr, "usage: csv_bench --data DIR\n");
    return 2;
  }
  const std::string folder = argv[2];
  const std::string digits = folder + "/digits.csv";
  const std::string decimals = folder + "/decimals.csv";
  if (!WriteTable(digits, true) || !WriteTable(decimals, false)) {
    std::fprintf(stderr, "cannot write below %s\n", folder.c_str());
    return 3;
  }
  const double digits_rate = Measure(digits);
  const double decimals_rate = Measure(decimals);
  std::printf(
      "{\"name\":\"csv\",\"unit\":\"MB/s\",\"ours\":%.0f,\"ours_three_decimals\":%.0f}\n",
      digits_rate, decimals_rate);
  return digits_rate > 0 && decimals_rate > 0 ? 0 : 3;
}
