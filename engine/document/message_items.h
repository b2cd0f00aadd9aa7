// How many messages and texts some bytes hold, before they are parsed: empty ones take
// two bytes there and a hundred in memory, so that a size alone does not bound what a
// file of a stranger grows to.
//
// Example:
//   RETURN_IF_ERROR(CheckItems(bytes, *v1::Release::descriptor(), "a release"));
//
// Errors: RESOURCE_EXHAUSTED where the items take fewer than eight bytes each on average
// (honest ones hold a name or a number), or lie in each other deeper than protobuf reads.
// Bytes that are no message pass: their parser says so. Thread-safety: pure.
#ifndef RATEBOUND_ENGINE_DOCUMENT_MESSAGE_ITEMS_H_
#define RATEBOUND_ENGINE_DOCUMENT_MESSAGE_ITEMS_H_

#include <google/protobuf/descriptor.h>

#include <string_view>

#include "absl/status/status.h"

namespace ratebound::document {

absl::Status CheckItems(std::string_view bytes, const google::protobuf::Descriptor& type,
                        std::string_view what);

}  // namespace ratebound::document

#endif  // RATEBOUND_ENGINE_DOCUMENT_MESSAGE_ITEMS_H_
