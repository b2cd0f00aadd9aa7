// Checks of how far quantities may move in a test, in methods and in line folders.
// Private to engine/document.
#ifndef RATEBOUND_ENGINE_DOCUMENT_CHECK_TOLERANCE_H_
#define RATEBOUND_ENGINE_DOCUMENT_CHECK_TOLERANCE_H_

#include <google/protobuf/repeated_field.h>

#include "engine/document/text_document.h"
#include "ratebound/v1/method.pb.h"

namespace ratebound::document {

// One tolerance at most for each quantity, with one figure at least.
void CheckTolerances(
    const google::protobuf::RepeatedPtrField<v1::TestTolerance>& tolerances, int field,
    const Node& owner);

}  // namespace ratebound::document

#endif  // RATEBOUND_ENGINE_DOCUMENT_CHECK_TOLERANCE_H_
