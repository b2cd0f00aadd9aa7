// The content address of a message: SHA-256 of its canonical form.
//
// Canonical form: the present fields by ascending number. Each is its number, its kind
// and its value: integers, booleans and enumerations as 8 big-endian bytes in two's
// complement, doubles as 8 big-endian bytes of IEEE 754 with -0 written as +0, strings
// and bytes with their length before them, messages as their canonical form with its
// length before it, lists with their count before them. Numbers and lengths are 8
// big-endian bytes. A field without presence is present where it differs from its
// default.
//
// So the digest depends on what is said and not on the order or the version of the
// library that wrote it, and no two different messages have one form.
//
// Errors: INVALID_ARGUMENT naming the field, for NaN and infinities, text that is not
// UTF-8, unknown fields, extensions,
// and kinds that have no one form or do not occur in documents (maps, float,
// google.protobuf.Any). Thread-safety: may be called concurrently.
#ifndef RATEBOUND_ENGINE_DOCUMENT_DIGEST_H_
#define RATEBOUND_ENGINE_DOCUMENT_DIGEST_H_

#include <google/protobuf/message.h>

#include <string>

#include "absl/status/statusor.h"

namespace ratebound::document {

absl::StatusOr<std::string> CanonicalForm(const google::protobuf::Message& message);

// 64 hexadecimal digits.
absl::StatusOr<std::string> Digest(const google::protobuf::Message& message);

}  // namespace ratebound::document

#endif  // RATEBOUND_ENGINE_DOCUMENT_DIGEST_H_
