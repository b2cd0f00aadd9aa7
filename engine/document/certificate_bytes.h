// A certificate as bytes and as text.
//
// Example:
//   ASSIGN_OR_RETURN(std::string bytes, SerializeCertificate(certificate));
//   ASSIGN_OR_RETURN(Certificate again, ParseCertificate(bytes));   // again ==
//   certificate std::string text = CertificateText(certificate);                // text
//   format
//
// Text gives every double with all its digits, so it comes back as the same certificate.
// Reading trusts nothing, but checks only that sizes fit and numbers are finite; what the
// numbers show is engine/recheck/recheck.h's to say.
//
// Errors: INVALID_ARGUMENT with all faults, with line and column for text;
// RESOURCE_EXHAUSTED over kMostCertificateBytes. Thread-safety: may be called
// concurrently.
#ifndef RATEBOUND_ENGINE_DOCUMENT_CERTIFICATE_BYTES_H_
#define RATEBOUND_ENGINE_DOCUMENT_CERTIFICATE_BYTES_H_

#include <string>
#include <string_view>

#include "absl/status/statusor.h"
#include "engine/document/certificate.h"
#include "ratebound/v1/certificate.pb.h"

namespace ratebound::document {

inline constexpr size_t kMostCertificateBytes = size_t{64} << 20;

v1::Certificate ToMessage(const Certificate& certificate);
absl::StatusOr<Certificate> FromMessage(const v1::Certificate& message);

absl::StatusOr<std::string> SerializeCertificate(const Certificate& certificate);
absl::StatusOr<Certificate> ParseCertificate(std::string_view bytes);

std::string CertificateText(const Certificate& certificate);
absl::StatusOr<Certificate> ParseCertificateText(std::string_view name,
                                                 std::string_view text);

// Of the canonical form (engine/document/digest.h), seal included, as other documents
// have it. INTERNAL where a value is not finite.
absl::StatusOr<std::string> DigestOfCertificate(const Certificate& certificate);

}  // namespace ratebound::document

#endif  // RATEBOUND_ENGINE_DOCUMENT_CERTIFICATE_BYTES_H_
