// Files of ratings/procedures/tolerances, read into plain structs.
//
// Example:
//   ASSIGN_OR_RETURN(TestTolerances tolerances, ParseTestTolerances(path, bytes));
//
// Errors: INVALID_ARGUMENT with every fault of the file, each with file, line, column and
// field, as in text.h. Thread-safety: may be called concurrently.
#ifndef RATEBOUND_ENGINE_DOCUMENT_TEST_TOLERANCE_TEXT_H_
#define RATEBOUND_ENGINE_DOCUMENT_TEST_TOLERANCE_TEXT_H_

#include <string_view>

#include "absl/status/statusor.h"
#include "engine/document/test_tolerance.h"

namespace ratebound::document {

absl::StatusOr<TestTolerances> ParseTestTolerances(std::string_view name,
                                                   std::string_view bytes);

}  // namespace ratebound::document

#endif  // RATEBOUND_ENGINE_DOCUMENT_TEST_TOLERANCE_TEXT_H_
