#include <utility>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_format.h"
#include "absl/strings/str_join.h"
#include "clients/cli/render.h"
#include "clients/cli/report.h"
#include "engine/quantity/unit.h"

namespace ratebound::cli {
namespace {

constexpr char kReplacement[] = "\xEF\xBF\xBD";  // U+FFFD

// How many bytes the well-formed UTF-8 character at the start of `text` has; 0 for none.
size_t CharacterLength(std::string_view text) {
  const auto byte = [&](size_t i) { return static_cast<unsigned char>(text[i]); };
  const auto continues = [&](size_t i) {
    return i < text.size() && (byte(i) & 0xC0) == 0x80;
  };
  if (byte(0) < 0x80) return 1;
  if (byte(0) >= 0xC2 && byte(0) <= 0xDF) return continues(1) ? 2 : 0;
  if (byte(0) >= 0xE0 && byte(0) <= 0xEF) {
    if (!continues(1) || !continues(2)) return 0;
    if (byte(0) == 0xE0 && byte(1) < 0xA0) return 0;   // overlong
    if (byte(0) == 0xED && byte(1) >= 0xA0) return 0;  // a surrogate
    // U+FFFE and U+FFFF are no characters of XML.
    if (byte(0) == 0xEF && byte(1) == 0xBF && byte(2) >= 0xBE) return 0;
    return 3;
  }
  if (byte(0) >= 0xF0 && byte(0) <= 0xF4) {
    if (!continues(1) || !continues(2) || !continues(3)) return 0;
    if (byte(0) == 0xF0 && byte(1) < 0x90) return 0;
    if (byte(0) == 0xF4 && byte(1) >= 0x90) return 0;
    return 4;
  }
  return 0;
}

// An element with its attributes, so that none is written without its escapes.
class Element {
 public:
  explicit Element(std::string name) : name_(std::move(name)) {}
  Element& With(std::string_view attribute, std::string_view value) {
    absl::StrAppend(&attributes_, " ", std::string(attribute), "=\"", XmlText(value),
                    "\"");
    return *this;
  }
  Element& Adding(const Element& child) {
    content_ += child.ToString();
    return *this;
  }
  Element& Saying(std::string_view text) {
    content_ += XmlText(text);
    return *this;
  }
  bool empty() const { return content_.empty(); }
  std::string ToString() const {
    if (content_.empty()) return absl::StrCat("<", name_, attributes_, "/>\n");
    return absl::StrCat("<", name_, attributes_, ">", content_, "</", name_, ">\n");
  }

 private:
  std::string name_;
  std::string attributes_;
  std::string content_;
};

// Properties that have no value are left out.
class Properties {
 public:
  void Add(std::string_view name, std::string_view value) {
    if (value.empty()) return;
    element_.Adding(Element("property").With("name", name).With("value", value));
  }
  void AddTo(Element& owner) const {
    if (!element_.empty()) owner.Adding(element_);
  }

 private:
  Element element_{"properties"};
};

// What became of the cases of a suite.
struct Counts {
  int tests = 0;
  int failures = 0;
  int skipped = 0;
};

std::string DifferencesOf(const v1::VerifyLineResponse& item) {
  std::vector<std::string> texts;
  for (const v1::VerdictDifference& difference : item.differences()) {
    texts.push_back(difference.text());
  }
  return absl::StrJoin(texts, "; ");
}

// The failure of a case, or why it counts as neither passed nor failed.
void AddOutcome(const v1::VerifyLineResponse& item, const std::string& outcome,
                bool passes, const std::string& details, Element& test_case,
                Counts& counts) {
  ++counts.tests;
  if (!item.failures().empty()) {
    ++counts.failures;
    test_case.Adding(Element("failure")
                         .With("type", outcome)
                         .With("message", absl::StrJoin(item.failures(), "; "))
                         .Saying(details));
    return;
  }
  if (!passes) {
    ++counts.skipped;
    test_case.Adding(Element("skipped").With("message", outcome));
  }
  if (!details.empty()) test_case.Adding(Element("system-out").Saying(details));
}

std::string DetailsOf(const v1::Verdict& verdict) {
  std::string details = verdict.explanation();
  if (!verdict.worst_point().empty()) {
    const std::vector<v1::Measure> worst(verdict.worst_point().begin(),
                                         verdict.worst_point().end());
    absl::StrAppend(
        &details, "\nworst at ", Conditions(worst),
        absl::StrFormat("\nthere estimate %s, bound %s, margin %.3g%s",
                        Number(verdict.estimate()), Number(verdict.bound()),
                        verdict.margin(), quantity::AfterNumber(verdict.unit())));
  }
  for (const v1::UntestedPart& part : verdict.untested()) {
    absl::StrAppend(&details, "\nuntested: ", part.why());
  }
  return details;
}

Element CaseOf(const std::string& line, const v1::VerifyLineResponse& item,
               Counts& counts) {
  const v1::Verdict& verdict = VerdictOf(item);
  const v1::Claim& claim = verdict.text();
  const bool gone = !item.has_verdict();
  Element test_case("testcase");
  test_case.With("classname", absl::StrCat(line, ".", claim.unit()))
      .With("name", verdict.claim());
  Properties properties;
  properties.Add("verdict", gone ? "gone" : OutcomeWord(verdict));
  properties.Add("statement", claim.statement());
  properties.Add("change", ChangeWord(item.change()));
  properties.Add("differences", DifferencesOf(item));
  if (item.has_baseline_verdict()) {
    properties.Add("baseline_verdict", OutcomeWord(item.baseline_verdict()));
  }
  if (!gone) {
    if (!verdict.worst_point().empty()) {
      properties.Add("margin", absl::StrCat(Number(verdict.margin()),
                                            quantity::AfterNumber(verdict.unit())));
    }
    properties.Add("level", Number(verdict.level()));
    properties.Add("look", absl::StrCat(verdict.look()));
    properties.Add("model", verdict.model());
    properties.Add("tested_fraction", Number(verdict.tested_fraction()));
  }
  properties.AddTo(test_case);
  const bool passes = !gone && (verdict.outcome() == v1::OUTCOME_PROVEN ||
                                verdict.outcome() == v1::OUTCOME_OBSERVED);
  AddOutcome(item, gone ? "no longer claimed" : OutcomeWord(verdict), passes,
             gone ? "" : DetailsOf(verdict), test_case, counts);
  return test_case;
}

Element DeclaredCaseOf(const std::string& line, const v1::VerifyLineResponse& item,
                       Counts& counts) {
  const bool gone = !item.has_declared_rating();
  const v1::DeclaredRatingVerdict& declared =
      gone ? item.baseline_declared_rating() : item.declared_rating();
  Element test_case("testcase");
  test_case.With("classname", absl::StrCat(line, ".", declared.unit()))
      .With("name", absl::StrCat("declared ", declared.declared().procedure()));
  Properties properties;
  properties.Add("verdict", gone ? "gone" : DeclaredOutcomeWord(declared.outcome()));
  properties.Add("declared", absl::StrCat(Number(declared.declared().value()), " ",
                                          declared.declared().unit()));
  properties.Add("change", ChangeWord(item.change()));
  properties.Add("differences", DifferencesOf(item));
  properties.Add("uncertainty", UncertaintyText(declared.rating()));
  if (!gone && declared.has_surveillance_what_if()) {
    const v1::SurveillanceWhatIf& what_if = declared.surveillance_what_if();
    properties.Add("surveillance_what_if",
                   absl::StrCat(what_if.within() ? "within " : "outside ",
                                Number(what_if.tolerance_percent()), " % (",
                                what_if.source(), "); decides nothing"));
  }
  properties.AddTo(test_case);
  AddOutcome(item, gone ? "no longer declared" : DeclaredOutcomeWord(declared.outcome()),
             !gone && declared.outcome() == v1::DECLARED_OUTCOME_SUPPORTED,
             gone ? "" : declared.explanation(), test_case, counts);
  return test_case;
}

}  // namespace

std::string XmlText(std::string_view text) {
  std::string escaped;
  while (!text.empty()) {
    const size_t length = CharacterLength(text);
    const char c = text.front();
    if (length == 0) {
      escaped += kReplacement;
    } else if (length > 1) {
      escaped += text.substr(0, length);
    } else if (c == '&') {
      escaped += "&amp;";
    } else if (c == '<') {
      escaped += "&lt;";
    } else if (c == '>') {
      escaped += "&gt;";
    } else if (c == '"') {
      escaped += "&quot;";
    } else if (c == '\'') {
      escaped += "&apos;";
    } else if (c == '\n' || c == '\r' || c == '\t') {
      absl::StrAppend(&escaped, "&#", static_cast<int>(c), ";");
    } else if (static_cast<unsigned char>(c) < 0x20) {
      escaped += kReplacement;
    } else {
      escaped += c;
    }
    text.remove_prefix(length == 0 ? 1 : length);
  }
  return escaped;
}

std::string JunitXml(const Verification& verification) {
  const v1::VerifySummary& summary = verification.summary;
  Counts counts;
  std::vector<Element> cases;
  for (const v1::VerifyLineResponse& item : verification.claims) {
    cases.push_back(CaseOf(summary.line(), item, counts));
  }
  for (const v1::VerifyLineResponse& item : verification.declared_ratings) {
    cases.push_back(DeclaredCaseOf(summary.line(), item, counts));
  }
  const auto with_counts = [&](Element element) {
    element.With("tests", absl::StrCat(counts.tests))
        .With("failures", absl::StrCat(counts.failures))
        .With("errors", "0")
        .With("skipped", absl::StrCat(counts.skipped));
    return element;
  };
  Element suite = with_counts(Element("testsuite").With("name", summary.line()));
  Properties properties;
  properties.Add("title", summary.title());
  properties.Add("engine_version", summary.engine_version());
  properties.Add("baseline", summary.effective_baseline());
  properties.Add("fail_on", GateRuleWord(summary.effective_fail_on()));
  for (const std::string& caution : summary.cautions()) {
    properties.Add("caution", caution);
  }
  properties.Add("not_certified", "Computed figures, not certified ratings.");
  properties.AddTo(suite);
  for (const Element& test_case : cases) suite.Adding(test_case);
  return absl::StrCat("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n",
                      with_counts(Element("testsuites").With("name", "ratebound verify"))
                          .Adding(suite)
                          .ToString());
}

}  // namespace ratebound::cli
