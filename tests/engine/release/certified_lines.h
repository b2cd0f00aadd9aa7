// Lines with certificates of their claims, each built once: it takes seconds.
#ifndef RATEBOUND_TESTS_ENGINE_RELEASE_CERTIFIED_LINES_H_
#define RATEBOUND_TESTS_ENGINE_RELEASE_CERTIFIED_LINES_H_

#include <string>
#include <vector>

#include "absl/status/statusor.h"
#include "engine/claim/certify.h"
#include "engine/document/certificate.h"
#include "engine/document/release.h"

namespace ratebound::release {

struct CertifiedLine {
  document::Release release;
  // One for each of the release's verdicts.
  std::vector<claim::Certification> certifications;

  const document::Certificate* Find(const std::string& claim) const;
};

const absl::StatusOr<CertifiedLine>& DemoLine();       // ratings/lines/canal-halls
const absl::StatusOr<CertifiedLine>& MeasuredLine();   // ratings/lines/nist-chamber-ashp
const absl::StatusOr<CertifiedLine>& SpecimensLine();  // ratings/lines/canal-foyers
// The demo line with claims of every form in place of its own.
const absl::StatusOr<CertifiedLine>& FormsLine();

// Sealed again, so that only what follows from what can refuse it.
document::Certificate Sealed(document::Certificate certificate);

}  // namespace ratebound::release

#endif  // RATEBOUND_TESTS_ENGINE_RELEASE_CERTIFIED_LINES_H_
