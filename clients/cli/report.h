// Verdicts for machines and reviewers: JUnit XML for a pipeline, Markdown for a pull
// request. Both hold every claim and declared rating, why the gate fails for it, and that
// nothing here is certified.
//
// JUnit XML has no standard; the elements and attributes used here are those that readers
// of it have in common: testsuites, testsuite, testcase, failure, skipped, properties and
// system-out. A claim that the gate fails is a failure; one that is not shown and does
// not fail it is skipped, so that it counts as neither.
//
// Thread-safety: pure functions.
#ifndef RATEBOUND_CLIENTS_CLI_REPORT_H_
#define RATEBOUND_CLIENTS_CLI_REPORT_H_

#include <string>
#include <string_view>
#include <vector>

#include "ratebound/v1/rating_service.pb.h"

namespace ratebound::cli {

// What a VerifyLine call answered, its messages sorted; without certificates.
struct Verification {
  std::vector<v1::VerifyLineResponse> claims;
  std::vector<v1::VerifyLineResponse> declared_ratings;
  v1::VerifySummary summary;
};
Verification SortedVerification(const std::vector<v1::VerifyLineResponse>& items);

// "hall-46/ieer-water-cooled"; of the baseline where it is gone.
std::string DeclaredId(const v1::VerifyLineResponse& item);
// "SUPPORTED", "NOT SUPPORTED", "NOT RATED".
std::string DeclaredOutcomeWord(v1::DeclaredOutcome outcome);
// The verdict that the item is about; of the baseline where it is gone.
const v1::Verdict& VerdictOf(const v1::VerifyLineResponse& item);
// "refuted", "weaker", "not-shown", as the command line has them.
std::string GateRuleWord(v1::GateRule rule);
// "0.05 W/W standard error", where the rating says how sure it is; empty where not.
std::string UncertaintyText(const v1::Rating& rating);

// What the gate comes to, for a terminal: changes from the baseline, declared ratings,
// failures.
std::string GateText(const Verification& verification);
std::string JunitXml(const Verification& verification);
std::string MarkdownReport(const Verification& verification);

// Text of an element or, with quotes and line ends escaped, of an attribute. What XML 1.0
// cannot hold (control characters, bytes that are no UTF-8) becomes U+FFFD.
std::string XmlText(std::string_view text);
// Text of a Markdown paragraph or table cell that no character of which means anything.
std::string MarkdownText(std::string_view text);

}  // namespace ratebound::cli

#endif  // RATEBOUND_CLIENTS_CLI_REPORT_H_
