// The verdict of a release that a certificate is of, and the level that it is held to.
//
// Errors: INVALID_ARGUMENT where the two do not fit each other. Thread-safety: pure.
#ifndef RATEBOUND_ENGINE_RECHECK_VERDICT_H_
#define RATEBOUND_ENGINE_RECHECK_VERDICT_H_

#include <string>

#include "absl/status/status.h"
#include "absl/status/statusor.h"
#include "engine/document/certificate.h"
#include "engine/document/release.h"

namespace ratebound::recheck {

// "certificate of claim heats: what is wrong".
absl::Status CertificateFault(const document::Certificate& certificate,
                              const std::string& what);

// Of the same data, outcome, level, look and model.
absl::StatusOr<const document::Verdict*> VerdictOf(
    const document::Certificate& certificate, const document::Release& release);

// But for the last digits.
bool SameNumber(double a, double b);
// Whether a factor is less than what is needed, not counting what quantiles round by.
bool IsLess(double factor, double needed);
// Student's one-sided quantile at a level that so many bands share.
double QuantileOf(double level, size_t bands, double degrees_of_freedom);

}  // namespace ratebound::recheck

#endif  // RATEBOUND_ENGINE_RECHECK_VERDICT_H_
