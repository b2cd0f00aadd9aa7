#include "service/recheck_answers.h"

#include <cmath>
#include <utility>

#include "absl/strings/str_cat.h"
#include "engine/base/fault.h"
#include "engine/base/status_macros.h"
#include "engine/base/text.h"
#include "engine/document/certificate_bytes.h"
#include "engine/document/release_bytes.h"
#include "engine/recheck/recheck.h"
#include "engine/release/rate_once_more.h"

namespace ratebound::service {
namespace {

constexpr double kSameRating = 1e-9;  // another build of the engine may round otherwise

absl::StatusOr<std::string> ReleaseBytes(ReleaseLibrary& library,
                                         const std::string& digest,
                                         const std::string& sent) {
  base::FaultList faults;
  if (!digest.empty() && !sent.empty()) {
    faults.Add({.field = "options.release",
                .message = "a digest is named and a release is sent",
                .remedy = "give one of them"});
  }
  if (digest.empty() && sent.empty()) {
    faults.Add({.field = "options.release",
                .message = "is missing, and no release is sent",
                .remedy = "name a stored release"});
  }
  RETURN_IF_ERROR(faults.ToStatus());
  if (!sent.empty()) return sent;
  return library.Bytes(digest);
}

v1::RecheckCertificatesResponse Refused(std::string path, const absl::Status& status) {
  v1::RecheckCertificatesResponse answer;
  answer.set_path(std::move(path));
  answer.set_state(v1::CERTIFICATE_STATE_REFUSED);
  answer.set_reason(std::string(status.message()));
  return answer;
}

// What computing a certified rating once more says: that it is another, or a sentence.
// That is done by the engine that made it, which shows no more than that release and
// rating belong together.
absl::StatusOr<std::string> RatedOnceMore(const document::Certificate& certificate,
                                          const document::Release& release) {
  for (const document::Verdict& verdict : release.verdicts) {
    if (verdict.claim != certificate.claim) continue;
    const auto again =
        release::RateOnceMore(release, verdict.text.unit, certificate.rating->procedure);
    if (!again.ok()) {
      return absl::StrCat("the engine that made it cannot compute it once more: ",
                          again.status().message());
    }
    for (const document::Rating& rating : release.ratings) {
      if (rating.unit != again->unit || rating.procedure != again->procedure) continue;
      if (!rating.value || !again->value ||
          std::fabs(*rating.value - *again->value) >
              kSameRating * std::fabs(*rating.value)) {
        return absl::InvalidArgumentError(
            absl::StrCat("certificate of claim ", certificate.claim,
                         ": the rating that follows from the surfaces of the release is "
                         "another"));
      }
      return std::string(
          "computed once more from the surfaces of the release it is the same, by the "
          "same engine and by no independent one");
    }
  }
  return std::string();
}

v1::RecheckCertificatesResponse AnswerOf(const std::string& path,
                                         const document::Certificate& certificate,
                                         const document::Release& release,
                                         const StopFunction& stop) {
  const absl::StatusOr<recheck::RecheckReport> report =
      recheck::RecheckAgainst(certificate, release, stop);
  v1::RecheckCertificatesResponse answer;
  if (report.ok()) {
    answer.set_path(path);
    answer.set_state(report->all_derived() ? v1::CERTIFICATE_STATE_ACCEPTED
                                           : v1::CERTIFICATE_STATE_ACCEPTED_AS_STATED);
    for (const recheck::RecheckReport::Tie& tie : report->ties) {
      if (tie.derived) continue;
      answer.add_underived_functions(absl::StrCat(tie.function, ": ", tie.why));
    }
    if (certificate.rating) {
      const absl::StatusOr<std::string> again = RatedOnceMore(certificate, release);
      if (!again.ok()) {
        answer = Refused(path, again.status());
      } else if (!again->empty() && answer.underived_functions_size() > 0) {
        absl::StrAppend(answer.mutable_underived_functions(0), "; ", *again);
      }
    }
  } else {
    answer = Refused(path, report.status());
  }
  const v1::Certificate message = document::ToMessage(certificate);
  answer.set_claim(message.claim());
  answer.set_outcome(message.outcome());
  return answer;
}

}  // namespace

absl::StatusOr<AnswerSource<v1::RecheckCertificatesResponse>> RecheckCertificates(
    ReleaseLibrary& library, const v1::RecheckCertificatesOptions& options,
    const std::vector<release::LineFile>& files, const std::string& release_bytes,
    const StopFunction& stop) {
  ASSIGN_OR_RETURN(const std::string bytes,
                   ReleaseBytes(library, options.release(), release_bytes));
  ASSIGN_OR_RETURN(const document::Release release, document::ParseRelease(bytes));
  std::vector<v1::RecheckCertificatesResponse> answers;
  for (const release::LineFile& file : files) {
    if (stop()) return absl::CancelledError("told to stop");
    const auto certificate = document::ParseCertificate(file.bytes);
    if (!certificate.ok()) {
      answers.push_back(Refused(file.path, certificate.status()));
    } else if (options.claim().empty() || certificate->claim == options.claim()) {
      answers.push_back(AnswerOf(file.path, *certificate, release, stop));
      if (stop()) return absl::CancelledError("told to stop");
    }
  }
  if (answers.empty()) {
    base::FaultList faults;
    faults.Add({.field = options.claim().empty() ? "chunk" : "options.claim",
                .message = options.claim().empty()
                               ? "no certificate came"
                               : absl::StrCat("no certificate of claim '",
                                              base::Printable(options.claim()), "' came"),
                .remedy = "send those of the release's claims"});
    return faults.ToStatus();
  }
  return AnswerSource<v1::RecheckCertificatesResponse>(
      [answers = std::move(answers),
       next = size_t{0}](v1::RecheckCertificatesResponse& response) mutable {
        if (next == answers.size()) return false;
        response.Swap(&answers[next++]);
        return true;
      });
}

}  // namespace ratebound::service
