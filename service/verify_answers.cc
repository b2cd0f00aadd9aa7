#include "service/verify_answers.h"

#include <cmath>
#include <memory>
#include <optional>
#include <span>
#include <utility>

#include "absl/strings/str_cat.h"
#include "engine/base/fault.h"
#include "engine/base/status_macros.h"
#include "engine/base/text.h"
#include "engine/claim/declared_rating.h"
#include "engine/claim/gate.h"
#include "engine/document/certificate_bytes.h"
#include "engine/document/convert.h"
#include "engine/document/release_bytes.h"
#include "service/line_answers.h"
#include "service/line_upload.h"
#include "service/status.h"

namespace ratebound::service {
namespace {

static_assert(static_cast<int>(claim::GateChange::kGone) == v1::VERDICT_CHANGE_GONE);
static_assert(static_cast<int>(claim::DifferenceKind::kEvidence) + 1 ==
              v1::DIFFERENCE_KIND_EVIDENCE);
static_assert(static_cast<int>(claim::Effect::kWorse) == v1::DIFFERENCE_EFFECT_WORSE);
static_assert(static_cast<int>(claim::GateRule::kNotShown) + 1 ==
              v1::GATE_RULE_NOT_SHOWN);
static_assert(static_cast<int>(claim::DeclaredOutcome::kSupported) + 1 ==
              v1::DECLARED_OUTCOME_SUPPORTED);

// The release that the line is held against.
struct Baseline {
  std::string digest;
  std::shared_ptr<const OpenRelease> stored;
  document::Release sent;

  const document::Release& release() const { return stored ? stored->release : sent; }
};

absl::StatusOr<std::optional<Baseline>> OpenBaseline(ReleaseLibrary& library,
                                                     const std::string& digest,
                                                     const std::string& bytes) {
  if (digest.empty() && bytes.empty()) return std::nullopt;
  Baseline baseline;
  if (bytes.empty()) {
    ASSIGN_OR_RETURN(baseline.stored, library.Open(digest));
    baseline.digest = baseline.stored->digest;
  } else {
    ASSIGN_OR_RETURN(baseline.sent, document::ParseRelease(bytes));
    ASSIGN_OR_RETURN(baseline.digest, document::DigestOfReleaseBytes(bytes));
  }
  return baseline;
}

absl::Status CheckOptions(const v1::VerifyLineOptions& options, bool release_sent) {
  base::FaultList faults;
  if (release_sent && !options.baseline().empty()) {
    faults.Add({.field = "options.baseline",
                .message = "a digest is named and a release is sent",
                .remedy = "give one of them"});
  }
  const bool compared = release_sent || !options.baseline().empty();
  if (!v1::GateRule_IsValid(options.fail_on())) {
    faults.Add({.field = "options.fail_on",
                .message = absl::StrCat(static_cast<int>(options.fail_on()),
                                        " is no rule of a gate")});
  }
  if (options.fail_on() == v1::GATE_RULE_WEAKER && !compared) {
    faults.Add({.field = "options.fail_on",
                .message = "nothing can be weaker without a baseline",
                .remedy = "name a release, or fail on refuted or not shown"});
  }
  if (options.has_margin_drop_percent()) {
    const double percent = options.margin_drop_percent();
    if (!(percent >= 0 && percent <= 100)) {
      faults.Add(
          {.field = "options.margin_drop_percent",
           .message = absl::StrCat(base::ShortestText(percent), " is out of range"),
           .remedy = "give 0 to 100 percent of the baseline's margin"});
    }
    if (!compared) {
      faults.Add({.field = "options.margin_drop_percent",
                  .message = "no margin can fall without a baseline",
                  .remedy = "name a release"});
    }
    if (options.fail_on() == v1::GATE_RULE_REFUTED) {
      faults.Add(
          {.field = "options.margin_drop_percent",
           .message = "a gate that fails on refuted claims alone passes over margins",
           .remedy = "fail on weaker or not shown"});
    }
  }
  return faults.ToStatus();
}

claim::GateOptions GateOptionsOf(const v1::VerifyLineOptions& options) {
  claim::GateOptions gate;
  if (options.fail_on() != v1::GATE_RULE_UNSPECIFIED) {
    gate.rule = static_cast<claim::GateRule>(options.fail_on() - 1);
  }
  if (options.has_margin_drop_percent()) {
    gate.margin_drop_percent = options.margin_drop_percent();
  }
  return gate;
}

v1::DeclaredRatingVerdict ToMessage(const claim::DeclaredVerdict& verdict) {
  v1::DeclaredRatingVerdict message;
  message.set_unit(verdict.unit);
  message.mutable_declared()->set_procedure(verdict.declared.procedure);
  message.mutable_declared()->set_value(verdict.declared.value);
  message.mutable_declared()->set_unit(verdict.declared.unit);
  message.mutable_declared()->set_stated_in(verdict.declared.stated_in);
  message.set_outcome(
      static_cast<v1::DeclaredOutcome>(static_cast<int>(verdict.outcome) + 1));
  *message.mutable_rating() = document::ToMessage(verdict.rating);
  message.set_explanation(verdict.explanation);
  if (verdict.what_if) {
    v1::SurveillanceWhatIf& what_if = *message.mutable_surveillance_what_if();
    what_if.set_tolerance_percent(verdict.what_if->tolerance_percent);
    what_if.set_limit(verdict.what_if->limit);
    what_if.set_within(verdict.what_if->within);
    what_if.set_source(verdict.what_if->citation.source);
  }
  return message;
}

// What claims and declared ratings have in common.
template <typename Gated>
void FillChange(const Gated& gated, v1::VerifyLineResponse& answer,
                v1::VerifySummary& summary) {
  answer.set_change(static_cast<v1::VerdictChange>(gated.change));
  for (const claim::Difference& difference : gated.differences) {
    v1::VerdictDifference& message = *answer.add_differences();
    message.set_kind(
        static_cast<v1::DifferenceKind>(static_cast<int>(difference.kind) + 1));
    message.set_effect(static_cast<v1::DifferenceEffect>(difference.effect));
    message.set_text(difference.text);
  }
  for (const std::string& failure : gated.failures) answer.add_failures(failure);
  const auto count = [](int n, bool more) { return n + (more ? 1 : 0); };
  using claim::GateChange;
  summary.set_weaker_count(
      count(summary.weaker_count(), gated.change == GateChange::kWeaker));
  summary.set_stronger_count(
      count(summary.stronger_count(), gated.change == GateChange::kStronger));
  summary.set_new_count(count(summary.new_count(), gated.change == GateChange::kNew));
  summary.set_gone_count(count(summary.gone_count(), gated.change == GateChange::kGone));
  summary.set_failed_count(count(summary.failed_count(), !gated.failures.empty()));
}

void CountOutcome(document::Outcome outcome, v1::VerifySummary& summary) {
  switch (outcome) {
    case document::Outcome::kProven:
      return summary.set_proven_count(summary.proven_count() + 1);
    case document::Outcome::kRefuted:
      return summary.set_refuted_count(summary.refuted_count() + 1);
    case document::Outcome::kNotShown:
      return summary.set_not_shown_count(summary.not_shown_count() + 1);
    case document::Outcome::kObserved:
      return summary.set_observed_count(summary.observed_count() + 1);
  }
}

void CountOutcome(claim::DeclaredOutcome outcome, v1::VerifySummary& summary) {
  switch (outcome) {
    case claim::DeclaredOutcome::kSupported:
      return summary.set_supported_count(summary.supported_count() + 1);
    case claim::DeclaredOutcome::kNotSupported:
      return summary.set_not_supported_count(summary.not_supported_count() + 1);
    case claim::DeclaredOutcome::kNotRated:
      return summary.set_not_rated_count(summary.not_rated_count() + 1);
  }
}

void FillHead(const document::Release& release, const std::optional<Baseline>& baseline,
              const claim::GateOptions& options, v1::VerifySummary& summary) {
  summary.set_line(release.manifest.id);
  summary.set_title(release.manifest.title);
  for (const std::string& caution : release.manifest.cautions) {
    summary.add_cautions(caution);
  }
  if (baseline) {
    summary.set_effective_baseline(baseline->digest);
    summary.set_baseline_engine_version(baseline->release().engine_version);
  }
  summary.set_engine_version(release.engine_version);
  summary.set_effective_fail_on(
      static_cast<v1::GateRule>(static_cast<int>(options.rule) + 1));
}

// After the verdict that stands last: pieces of its certificate, or why there are none.
absl::Status AddCertificate(const claim::Certification& certification,
                            std::vector<v1::VerifyLineResponse>& answers) {
  std::string why = certification.why_none;
  std::string bytes;
  if (certification.certificate) {
    auto serialized = document::SerializeCertificate(*certification.certificate);
    if (absl::IsResourceExhausted(serialized.status())) {
      why = std::string(serialized.status().message());
    } else {
      ASSIGN_OR_RETURN(bytes, std::move(serialized));
    }
  }
  if (!why.empty()) {
    answers.back().set_no_certificate_reason(why);
    return absl::OkStatus();
  }
  for (size_t at = 0; at < bytes.size(); at += kChunkBytes) {
    v1::CertificateChunk& chunk = *answers.emplace_back().mutable_certificate_chunk();
    chunk.set_claim(certification.certificate->claim);
    chunk.set_content(bytes.substr(at, kChunkBytes));
  }
  return absl::OkStatus();
}

}  // namespace

absl::StatusOr<AnswerSource<v1::VerifyLineResponse>> VerifyLine(
    const Engine& engine, ReleaseLibrary& library, const v1::VerifyLineOptions& options,
    const std::vector<release::LineFile>& files, const std::string& baseline_bytes,
    const StopFunction& stop) {
  RETURN_IF_ERROR(CheckOptions(options, !baseline_bytes.empty()));
  ASSIGN_OR_RETURN(const std::optional<Baseline> baseline,
                   OpenBaseline(library, options.baseline(), baseline_bytes));
  const bool whole = options.claim().empty();
  ASSIGN_OR_RETURN(release::BuildRequest request, RequestFor(engine, files, stop));
  request.parts = {.maps = false,
                   .ratings = false,
                   .verdicts = true,
                   .tables = false,
                   .declared_ratings = whole};
  request.only_claim = options.claim();
  request.provable = options.explore();
  std::vector<claim::Certification> certifications;
  if (options.certify()) request.certifications = &certifications;
  if (baseline) request.earlier_verdicts = baseline->release().verdicts;
  ASSIGN_OR_RETURN(const document::Release release, engine.build(request));
  if (baseline && baseline->release().manifest.id != release.manifest.id) {
    return WithReason(
        absl::FailedPreconditionError(absl::StrCat(
            "the baseline is a release of line '",
            base::Printable(baseline->release().manifest.id), "', and this is line '",
            release.manifest.id, "'; name a release of this line")),
        "BASELINE_OF_ANOTHER_LINE");
  }

  const claim::GateOptions gate = GateOptionsOf(options);
  std::optional<std::span<const document::Verdict>> earlier;
  if (baseline) earlier = baseline->release().verdicts;
  std::vector<v1::VerifyLineResponse> answers;
  v1::VerifySummary summary;
  FillHead(release, baseline, gate, summary);
  for (const claim::GatedClaim& gated :
       claim::GateClaims(release.verdicts, earlier, gate)) {
    // Asked for one claim, the others are not gone but out of the question.
    if (gated.now == nullptr && !whole) continue;
    v1::VerifyLineResponse& answer = answers.emplace_back();
    if (gated.now != nullptr) {
      *answer.mutable_verdict() = document::ToMessage(*gated.now);
      CountOutcome(gated.now->outcome, summary);
    }
    if (gated.before != nullptr) {
      *answer.mutable_baseline_verdict() = document::ToMessage(*gated.before);
    }
    FillChange(gated, answer, summary);
    if (gated.now == nullptr || !options.certify()) continue;
    // They stand in the order of the release's verdicts.
    const size_t place = static_cast<size_t>(gated.now - release.verdicts.data());
    if (place >= certifications.size()) {
      return absl::InternalError("verdicts came without their certificates");
    }
    RETURN_IF_ERROR(AddCertificate(certifications[place], answers));
  }
  if (whole) {
    const std::vector<claim::DeclaredVerdict> now =
        claim::JudgeDeclared(release.manifest, release.ratings, release.procedures);
    std::vector<claim::DeclaredVerdict> before;
    std::optional<std::span<const claim::DeclaredVerdict>> earlier_ratings;
    if (baseline) {
      const document::Release& then = baseline->release();
      before = claim::JudgeDeclared(then.manifest, then.ratings, then.procedures);
      earlier_ratings = before;
    }
    for (const claim::GatedRating& gated :
         claim::GateRatings(now, earlier_ratings, gate)) {
      v1::VerifyLineResponse& answer = answers.emplace_back();
      if (gated.now != nullptr) {
        *answer.mutable_declared_rating() = ToMessage(*gated.now);
        CountOutcome(gated.now->outcome, summary);
      }
      if (gated.before != nullptr) {
        *answer.mutable_baseline_declared_rating() = ToMessage(*gated.before);
      }
      FillChange(gated, answer, summary);
    }
  }
  *answers.emplace_back().mutable_summary() = std::move(summary);
  return [answers = std::move(answers),
          next = size_t{0}](v1::VerifyLineResponse& response) mutable {
    if (next == answers.size()) return false;
    response.Swap(&answers[next++]);
    return true;
  };
}

}  // namespace ratebound::service
