#include "clients/cli/verify_command.h"

#include <filesystem>
#include <map>
#include <string>
#include <system_error>
#include <vector>

#include "absl/strings/str_cat.h"
#include "clients/cli/named_release.h"
#include "clients/cli/output.h"
#include "clients/cli/render.h"
#include "clients/cli/report.h"
#include "clients/cli/session.h"
#include "clients/cli/text_table.h"
#include "engine/base/nearest_name.h"
#include "engine/base/text.h"

namespace ratebound::cli {
namespace {

namespace fs = std::filesystem;

constexpr v1::GateRule kRules[] = {v1::GATE_RULE_REFUTED, v1::GATE_RULE_WEAKER,
                                   v1::GATE_RULE_NOT_SHOWN};

absl::Status ReadFailOn(const Arguments& arguments, v1::VerifyLineOptions* options) {
  if (!arguments.Has("fail-on")) return absl::OkStatus();
  const std::string word = arguments.Get("fail-on");
  std::vector<std::string> known;
  for (const v1::GateRule rule : kRules) {
    known.push_back(GateRuleWord(rule));
    if (word == known.back()) options->set_fail_on(rule);
  }
  if (options->fail_on() == v1::GATE_RULE_UNSPECIFIED) {
    return absl::InvalidArgumentError(absl::StrCat(
        "'--fail-on ", base::Printable(word), "' is none of refuted, weaker, not-shown",
        base::DidYouMean(word, known)));
  }
  if (options->fail_on() == v1::GATE_RULE_WEAKER && !arguments.Has("baseline")) {
    return absl::InvalidArgumentError(
        "'--fail-on weaker' compares with a release: give --baseline RELEASE");
  }
  return absl::OkStatus();
}

absl::Status ReadMarginDrop(const Arguments& arguments, v1::VerifyLineOptions* options) {
  if (!arguments.Has("margin-drop")) return absl::OkStatus();
  const auto percent = base::ParseFiniteNumber(arguments.Get("margin-drop"));
  if (!percent || *percent < 0 || *percent > 100) {
    return absl::InvalidArgumentError(
        absl::StrCat("'--margin-drop ", base::Printable(arguments.Get("margin-drop")),
                     "' is no percentage; write a number from 0 to 100 such as 20"));
  }
  if (!arguments.Has("baseline")) {
    return absl::InvalidArgumentError(
        "'--margin-drop' compares with a release: give --baseline RELEASE");
  }
  if (options->fail_on() == v1::GATE_RULE_REFUTED) {
    return absl::InvalidArgumentError(
        "'--margin-drop' has no say with --fail-on refuted; take --fail-on weaker");
  }
  options->set_margin_drop_percent(*percent);
  return absl::OkStatus();
}

// Writes DIR/CLAIM.certificate; the text says how many, and which claims have none.
absl::StatusOr<std::string> WriteCertificates(
    const std::string& folder, const std::vector<v1::VerifyLineResponse>& items) {
  std::map<std::string, std::string> bytes;  // by claim
  std::string none;
  for (const v1::VerifyLineResponse& item : items) {
    if (item.has_certificate_chunk()) {
      bytes[item.certificate_chunk().claim()] += item.certificate_chunk().content();
    }
    if (!item.no_certificate_reason().empty()) {
      absl::StrAppend(
          &none, Wrapped(absl::StrCat("no certificate of ", item.verdict().claim(), ": ",
                                      item.no_certificate_reason()),
                         2));
    }
  }
  std::error_code error;
  fs::create_directories(folder, error);
  if (error) {
    return absl::UnavailableError(absl::StrCat(folder,
                                               ": cannot be made: ", error.message(),
                                               "; name another place with "
                                               "--certificates DIR"));
  }
  for (const auto& [claim, content] : bytes) {
    const fs::path file = fs::path(folder) / absl::StrCat(claim, ".certificate");
    if (file.parent_path() != fs::path(folder)) {
      return absl::InvalidArgumentError(
          absl::StrCat("claim '", base::Printable(claim), "' is no name of a file"));
    }
    RETURN_IF_ERROR(WriteFile(file.string(), content, "certificates"));
  }
  return absl::StrCat(Count(static_cast<int>(bytes.size()), "certificate"),
                      " written to ", folder, "\n", none);
}

}  // namespace

absl::StatusOr<Result> Verify(const Arguments& arguments) {
  v1::VerifyLineOptions options;
  options.set_claim(arguments.Get("claim"));
  options.set_explore(arguments.Has("explore"));
  options.set_certify(arguments.Has("certificates"));
  RETURN_IF_ERROR(ReadFailOn(arguments, &options));
  RETURN_IF_ERROR(ReadMarginDrop(arguments, &options));
  NamedRelease baseline;
  if (arguments.Has("baseline")) {
    ASSIGN_OR_RETURN(baseline, ReadNamedRelease(arguments.Get("baseline")));
    options.set_baseline(baseline.digest);
  }
  ASSIGN_OR_RETURN(const auto session, Session::Open(arguments));
  ASSIGN_OR_RETURN(auto items,
                   (session->SendLine<v1::VerifyLineRequest, v1::VerifyLineResponse>(
                       arguments.positionals[0], options,
                       &v1::RatingService::Stub::VerifyLine, baseline.FileOrNull())));
  const Verification verification = SortedVerification(items);
  Result result;
  if (verification.summary.failed_count() > 0) result.exit = Exit::kFound;
  if (verification.claims.empty() && verification.declared_ratings.empty()) {
    result.complaint = absl::StrCat(arguments.positionals[0],
                                    ": nothing is claimed; write claims.textproto");
  }
  if (arguments.Has("junit")) {
    RETURN_IF_ERROR(WriteFile(arguments.Get("junit"), JunitXml(verification), "junit"));
  }
  if (arguments.Has("markdown")) {
    RETURN_IF_ERROR(
        WriteFile(arguments.Get("markdown"), MarkdownReport(verification), "markdown"));
  }
  std::string certificates;
  if (arguments.Has("certificates")) {
    ASSIGN_OR_RETURN(certificates,
                     WriteCertificates(arguments.Get("certificates"), items));
  }
  switch (OutputOf(arguments)) {
    case Output::kText:
      result.out =
          absl::StrCat(VerdictsText(verification.claims), "\n", GateText(verification));
      if (!certificates.empty()) absl::StrAppend(&result.out, "\n", certificates);
      break;
    case Output::kCsv:
      result.out = VerdictsCsv(verification.claims);
      break;
    case Output::kJson:
      std::erase_if(items, [](const v1::VerifyLineResponse& item) {
        return item.has_certificate_chunk();
      });
      result.out = JsonLines(items);
      break;
  }
  return result;
}

}  // namespace ratebound::cli
