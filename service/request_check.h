// What no request may hold, whatever the call: numbers that are no numbers. Text and
// binary encodings both carry NaN and infinities, so every decoded request is looked
// through.
#ifndef RATEBOUND_SERVICE_REQUEST_CHECK_H_
#define RATEBOUND_SERVICE_REQUEST_CHECK_H_

#include <google/protobuf/message.h>

#include "absl/status/status.h"

namespace ratebound::service {

// INVALID_ARGUMENT with the path of every double that is NaN or infinite, such as
// "conditions[2].value". Thread-safety: may be called concurrently.
absl::Status CheckFinite(const google::protobuf::Message& request);

}  // namespace ratebound::service

#endif  // RATEBOUND_SERVICE_REQUEST_CHECK_H_
