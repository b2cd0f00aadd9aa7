// Built-in procedures, minimum levels and test tolerances by their ids.
#ifndef RATEBOUND_TESTS_OUTSIDE_RATING_FILES_H_
#define RATEBOUND_TESTS_OUTSIDE_RATING_FILES_H_

#include <span>
#include <string>
#include <string_view>

#include "absl/status/statusor.h"
#include "absl/strings/str_cat.h"
#include "engine/document/test_tolerance_text.h"
#include "engine/document/text.h"
#include "ratings/procedures.h"

namespace ratebound::rating {

inline absl::StatusOr<ratings::EmbeddedFile> FindFile(
    std::span<const ratings::EmbeddedFile> files, std::string_view id) {
  const std::string ending = absl::StrCat("/", std::string(id), ".textproto");
  for (const ratings::EmbeddedFile& file : files) {
    if (file.path.ends_with(ending)) return file;
  }
  return absl::NotFoundError(absl::StrCat("no file ", ending));
}

inline absl::StatusOr<document::Procedure> LoadProcedure(std::string_view id) {
  const auto file = FindFile(ratings::EmbeddedProcedures(), id);
  if (!file.ok()) return file.status();
  return document::ParseProcedure(file->path, file->bytes);
}

inline absl::StatusOr<document::MinimumLevels> LoadMinimumLevels(std::string_view id) {
  const auto file = FindFile(ratings::EmbeddedMinimums(), id);
  if (!file.ok()) return file.status();
  return document::ParseMinimumLevels(file->path, file->bytes);
}

inline absl::StatusOr<document::TestTolerances> LoadTolerances(std::string_view id) {
  const auto file = FindFile(ratings::EmbeddedTolerances(), id);
  if (!file.ok()) return file.status();
  return document::ParseTestTolerances(file->path, file->bytes);
}

}  // namespace ratebound::rating

#endif  // RATEBOUND_TESTS_OUTSIDE_RATING_FILES_H_
