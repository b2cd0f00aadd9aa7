#include "engine/recheck/verdict.h"

#include <algorithm>
#include <cmath>

#include "absl/strings/str_cat.h"
#include "engine/number/distribution.h"

namespace ratebound::recheck {

using document::Certificate;
using document::Verdict;

absl::Status CertificateFault(const Certificate& certificate, const std::string& what) {
  return absl::InvalidArgumentError(
      absl::StrCat("certificate of claim ", certificate.claim, ": ", what));
}

absl::StatusOr<const Verdict*> VerdictOf(const Certificate& certificate,
                                         const document::Release& release) {
  const auto fault = [&](const std::string& what) {
    return CertificateFault(certificate, what);
  };
  const Verdict* verdict = nullptr;
  for (const Verdict& each : release.verdicts) {
    if (each.claim == certificate.claim) verdict = &each;
  }
  if (verdict == nullptr) return fault("the release has no verdict on this claim");
  if (verdict->outcome != certificate.outcome) {
    return fault("the release has another verdict");
  }
  if (verdict->data_digest != certificate.release_digest) {
    return fault("it rests on other data than the release");
  }
  if (verdict->level != certificate.level || verdict->look != certificate.look ||
      verdict->model != certificate.model) {
    return fault("level, look or model are not those of the verdict");
  }
  // The k-th look spends 1 / (k (k + 1)) of what the claim allows.
  const double allowed = (1 - verdict->text.confidence) /
                         (static_cast<double>(verdict->look) * (verdict->look + 1));
  if (!SameNumber(certificate.level, allowed)) {
    return fault("the level is not that of the claim's confidence at this look");
  }
  return verdict;
}

bool SameNumber(double a, double b) {
  return std::fabs(a - b) <= 1e-12 * std::max(std::fabs(a), std::fabs(b));
}

bool IsLess(double factor, double needed) { return factor < needed * (1 - 1e-9); }

double QuantileOf(double level, size_t bands, double degrees_of_freedom) {
  return -number::StudentTQuantile(level / static_cast<double>(bands),
                                   degrees_of_freedom);
}

}  // namespace ratebound::recheck
