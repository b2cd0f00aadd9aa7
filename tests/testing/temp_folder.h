// A folder of its own for each test, gone afterwards.
//
// Example:
//   TempFolder folder;
//   folder.Write("points/day1.csv", "...");
#ifndef RATEBOUND_TESTS_TESTING_TEMP_FOLDER_H_
#define RATEBOUND_TESTS_TESTING_TEMP_FOLDER_H_

#include <stdlib.h>

#include <filesystem>
#include <fstream>
#include <string>
#include <string_view>

namespace ratebound::testing {

class TempFolder {
 public:
  TempFolder() {
    std::string name =
        (std::filesystem::temp_directory_path() / "ratebound-XXXXXX").string();
    path_ = mkdtemp(name.data());
  }
  ~TempFolder() {
    std::error_code ignored;
    std::filesystem::remove_all(path_, ignored);
  }
  TempFolder(const TempFolder&) = delete;
  TempFolder& operator=(const TempFolder&) = delete;

  const std::filesystem::path& path() const { return path_; }
  std::string Below(std::string_view name) const { return (path_ / name).string(); }
  void Write(std::string_view name, std::string_view bytes) const {
    const std::filesystem::path file = path_ / name;
    std::filesystem::create_directories(file.parent_path());
    std::ofstream(file, std::ios::binary) << bytes;
  }
  std::string Read(std::string_view name) const {
    std::ifstream in(path_ / name, std::ios::binary);
    return {std::istreambuf_iterator<char>(in), {}};
  }

 private:
  std::filesystem::path path_;
};

}  // namespace ratebound::testing

#endif  // RATEBOUND_TESTS_TESTING_TEMP_FOLDER_H_
