// A built-in procedure by its id.
#ifndef RATEBOUND_TESTS_OUTSIDE_RATING_FILES_H_
#define RATEBOUND_TESTS_OUTSIDE_RATING_FILES_H_

#include <string>
#include <string_view>

#include "absl/status/statusor.h"
#include "absl/strings/str_cat.h"
#include "engine/document/text.h"
#include "ratings/procedures.h"

namespace ratebound::rating {

inline absl::StatusOr<document::Procedure> LoadProcedure(std::string_view id) {
  const std::string ending = absl::StrCat("/", std::string(id), ".textproto");
  for (const ratings::EmbeddedFile& file : ratings::EmbeddedProcedures()) {
    if (file.path.ends_with(ending))
      return document::ParseProcedure(file.path, file.bytes);
  }
  return absl::NotFoundError(absl::StrCat("no procedure file ", ending));
}

}  // namespace ratebound::rating

#endif  // RATEBOUND_TESTS_OUTSIDE_RATING_FILES_H_
