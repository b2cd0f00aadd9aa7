// The files of a line folder as the program hands them over, and the published procedures
// and methods to build it with.
//
// Example:
//   const auto files = ReadLineFiles("ratings/lines/canal-halls");
//   const auto procedures = PublishedProcedures();
//   const auto methods = PublishedMethods();
//   release::Build({.files = files, .procedures = procedures, .methods = methods});
#ifndef RATEBOUND_TESTS_TESTING_LINE_FILES_H_
#define RATEBOUND_TESTS_TESTING_LINE_FILES_H_

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <string>
#include <vector>

#include "engine/document/text.h"
#include "engine/release/line_file.h"
#include "ratings/procedures.h"

namespace ratebound::testing {

// Whether the path, relative to a line folder, is of a file that belongs to the line.
inline bool BelongsToLine(const std::string& path) {
  const auto below = [&](const char* folder, const char* extension) {
    return path.starts_with(folder) && path.ends_with(extension);
  };
  return path == "line.textproto" || path == "claims.textproto" ||
         below("points/", ".csv") || below("logs/", ".csv") ||
         below("procedures/", ".textproto") || below("methods/", ".textproto") ||
         below("weather/", ".csv") || below("weather/", ".epw");
}

// By path; of a folder, which may be relative to the sources where those are known.
// Empty where a file cannot be read.
inline std::vector<release::LineFile> ReadLineFiles(std::filesystem::path folder) {
#ifdef RATEBOUND_SOURCE_DIR
  if (folder.is_relative()) {
    folder = std::filesystem::path(RATEBOUND_SOURCE_DIR) / folder;
  }
#endif
  std::vector<release::LineFile> files;
  std::error_code error;
  for (const auto& entry : std::filesystem::recursive_directory_iterator(folder, error)) {
    const std::string path = entry.path().lexically_relative(folder).generic_string();
    if (!entry.is_regular_file() || !BelongsToLine(path)) continue;
    std::ifstream in(entry.path(), std::ios::binary);
    files.push_back({path, std::string(std::istreambuf_iterator<char>(in), {})});
    if (!in) return {};
  }
  std::sort(files.begin(), files.end(),
            [](const auto& a, const auto& b) { return a.path < b.path; });
  return files;
}

inline std::vector<document::Procedure> PublishedProcedures() {
  std::vector<document::Procedure> procedures;
  for (const ratings::EmbeddedFile& file : ratings::EmbeddedProcedures()) {
    procedures.push_back(document::ParseProcedure(file.path, file.bytes).value());
  }
  return procedures;
}

inline std::vector<document::MeasurementMethod> PublishedMethods() {
  std::vector<document::MeasurementMethod> methods;
  for (const ratings::EmbeddedFile& file : ratings::EmbeddedMethods()) {
    methods.push_back(document::ParseMethod(file.path, file.bytes).value());
  }
  return methods;
}

}  // namespace ratebound::testing

#endif  // RATEBOUND_TESTS_TESTING_LINE_FILES_H_
