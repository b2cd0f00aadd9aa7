// Reports of a verification: what is in them, and that nothing in a claim's own words can
// break their form.
#include "clients/cli/report.h"

#include <string>
#include <vector>

#include "gmock/gmock.h"
#include "gtest/gtest.h"

namespace ratebound::cli {
namespace {

using ::testing::AllOf;
using ::testing::HasSubstr;
using ::testing::Not;

TEST(XmlText, EscapesWhatMeansSomethingAndReplacesWhatCannotStand) {
  const struct {
    std::string text;
    std::string want;
  } kCases[] = {
      {"plain", "plain"},
      {"<a b=\"c\" d='e'>&amp;", "&lt;a b=&quot;c&quot; d=&apos;e&apos;&gt;&amp;amp;"},
      {"]]>", "]]&gt;"},
      {"one\ntwo\r\tthree", "one&#10;two&#13;&#9;three"},
      {std::string("a\0b", 3),
       "a\xEF\xBF\xBD"
       "b"},
      {"\x01\x1F\x7F", "\xEF\xBF\xBD\xEF\xBF\xBD\x7F"},
      {"\xC2\xB0\xE2\x89\xA5\xF0\x9F\x94\xA5", "\xC2\xB0\xE2\x89\xA5\xF0\x9F\x94\xA5"},
      {"\xFF", "\xEF\xBF\xBD"},
      {"\xC2", "\xEF\xBF\xBD"},
      {"\xC0\xAF", "\xEF\xBF\xBD\xEF\xBF\xBD"},                  // overlong
      {"\xED\xA0\x80", "\xEF\xBF\xBD\xEF\xBF\xBD\xEF\xBF\xBD"},  // a surrogate
      {"\xEF\xBF\xBF", "\xEF\xBF\xBD\xEF\xBF\xBD\xEF\xBF\xBD"},  // U+FFFF
      {"\xF4\x90\x80\x80", "\xEF\xBF\xBD\xEF\xBF\xBD\xEF\xBF\xBD\xEF\xBF\xBD"},
      {"", ""},
  };
  for (const auto& c : kCases) EXPECT_EQ(XmlText(c.text), c.want);
}

TEST(MarkdownText, LeavesNoCharacterItsMeaning) {
  EXPECT_EQ(MarkdownText("a|b\n*c* _d_ `e` [f](g) <h> &i #j @k ~l~ \\"),
            "a\\|b \\*c\\* \\_d\\_ \\`e\\` \\[f\\](g) &lt;h&gt; &amp;i \\#j \\@k \\~l\\~ "
            "\\\\");
}

constexpr char kHostile[] = "<x> & \"q\" | `t`\n</testcase>";

v1::VerifyLineResponse Claim(const std::string& id, v1::Outcome outcome,
                             const std::vector<std::string>& failures = {}) {
  v1::VerifyLineResponse item;
  v1::Verdict& verdict = *item.mutable_verdict();
  verdict.set_claim(id);
  verdict.mutable_text()->set_unit("u1");
  verdict.mutable_text()->set_statement(kHostile);
  verdict.set_outcome(outcome);
  if (outcome == v1::OUTCOME_NOT_SHOWN) {
    verdict.set_reason(v1::NOT_SHOWN_REASON_UNTESTED);
  }
  verdict.set_margin(1.25);
  verdict.set_unit("kW");
  verdict.set_level(0.025);
  verdict.set_look(1);
  verdict.set_model("degree 2");
  verdict.set_explanation("because of it");
  v1::Measure& measure = *verdict.add_worst_point();
  measure.set_quantity("entering_water_temp");
  measure.set_value(95);
  measure.set_unit("degF");
  for (const std::string& failure : failures) item.add_failures(failure);
  return item;
}

Verification Sample() {
  std::vector<v1::VerifyLineResponse> items = {
      Claim("kept", v1::OUTCOME_PROVEN),
      Claim("lost", v1::OUTCOME_NOT_SHOWN, {"weaker than the baseline: it fell"}),
      Claim("open", v1::OUTCOME_NOT_SHOWN)};
  items[1].set_change(v1::VERDICT_CHANGE_WEAKER);
  items[1].mutable_baseline_verdict()->set_outcome(v1::OUTCOME_PROVEN);
  v1::VerdictDifference& difference = *items[1].add_differences();
  difference.set_text("it fell");
  v1::VerifyLineResponse& gone = items.emplace_back();
  gone.mutable_baseline_verdict()->set_claim("gone");
  gone.mutable_baseline_verdict()->set_outcome(v1::OUTCOME_PROVEN);
  gone.set_change(v1::VERDICT_CHANGE_GONE);
  gone.add_failures("no longer claimed; it was PROVEN");
  v1::VerifyLineResponse& declared = items.emplace_back();
  v1::DeclaredRatingVerdict& rating = *declared.mutable_declared_rating();
  rating.set_unit("u1");
  rating.mutable_declared()->set_procedure("season");
  rating.mutable_declared()->set_value(5);
  rating.mutable_declared()->set_unit("W/W");
  rating.set_outcome(v1::DECLARED_OUTCOME_NOT_SUPPORTED);
  rating.set_explanation("the data give 4.8");
  rating.mutable_rating()->set_rounded("4.8");
  rating.mutable_surveillance_what_if()->set_tolerance_percent(8);
  rating.mutable_surveillance_what_if()->set_limit(4.6);
  rating.mutable_surveillance_what_if()->set_within(true);
  rating.mutable_surveillance_what_if()->set_source("a regulation");
  declared.add_failures("not supported: the data give 4.8");
  v1::VerifySummary& summary = *items.emplace_back().mutable_summary();
  summary.set_line("line");
  summary.set_title("A <line> & more");
  summary.add_cautions("Invented.");
  summary.set_effective_baseline(std::string(64, 'a'));
  summary.set_effective_fail_on(v1::GATE_RULE_WEAKER);
  summary.set_failed_count(3);
  return SortedVerification(items);
}

int CountOf(const std::string& text, const std::string& part) {
  int count = 0;
  for (size_t at = text.find(part); at != text.npos; at = text.find(part, at + 1)) {
    ++count;
  }
  return count;
}

// Whether every element is closed where it was opened. Attributes hold no '<' or '>'.
bool IsBalanced(const std::string& xml) {
  std::vector<std::string> open;
  for (size_t at = xml.find('<'); at != xml.npos; at = xml.find('<', at + 1)) {
    const size_t end = xml.find('>', at);
    if (end == xml.npos || xml.substr(at + 1, end - at - 1).find('<') != xml.npos) {
      return false;
    }
    const std::string tag = xml.substr(at + 1, end - at - 1);
    if (tag[0] == '?' || tag.back() == '/') continue;
    if (tag[0] != '/') {
      open.push_back(tag.substr(0, tag.find(' ')));
    } else if (open.empty() || open.back() != tag.substr(1)) {
      return false;
    } else {
      open.pop_back();
    }
  }
  return open.empty();
}

TEST(JunitXml, IsOneSuiteALineAndOneCaseAClaim) {
  const std::string xml = JunitXml(Sample());
  EXPECT_TRUE(IsBalanced(xml)) << xml;
  EXPECT_EQ(CountOf(xml, "<testsuite "), 1);
  EXPECT_EQ(CountOf(xml, "<testcase "), 5);
  EXPECT_EQ(CountOf(xml, "<failure "), 3);
  EXPECT_EQ(CountOf(xml, "<skipped "), 1);
  EXPECT_EQ(CountOf(xml, "tests=\"5\" failures=\"3\" errors=\"0\" skipped=\"1\""), 2);
  EXPECT_THAT(
      xml,
      AllOf(HasSubstr("<property name=\"level\" value=\"0.025\"/>"),
            HasSubstr("<property name=\"model\" value=\"degree 2\"/>"),
            HasSubstr("<property name=\"margin\" value=\"1.25 kW\"/>"),
            HasSubstr("<failure type=\"NOT_SHOWN (UNTESTED)\" message=\"weaker than the "
                      "baseline: it fell\">because of it&#10;worst at "
                      "entering_water_temp 95 degF"),
            HasSubstr("value=\"A &lt;line&gt; &amp; more\""),
            HasSubstr("not certified ratings"), HasSubstr("decides nothing")));
  EXPECT_THAT(xml, Not(HasSubstr("<x>")));
}

TEST(JunitXml, OfNothingClaimedIsStillASuite) {
  const std::string xml = JunitXml({});
  EXPECT_TRUE(IsBalanced(xml)) << xml;
  EXPECT_THAT(xml, HasSubstr("tests=\"0\""));
}

TEST(MarkdownReport, SaysWhyItFailsWhatChangedAndWhatIsNotCertified) {
  const std::string text = MarkdownReport(Sample());
  EXPECT_THAT(
      text,
      AllOf(HasSubstr("## line: the gate fails"),
            HasSubstr("- **lost**: weaker than the baseline: it fell\n"),
            HasSubstr("### Changes from baseline aaaaaaaaaaaaaaaa\n"),
            HasSubstr("| WEAKER | lost | PROVEN | NOT\\_SHOWN (UNTESTED) | it fell |"),
            HasSubstr("| gone | gone | PROVEN |  |  |"),
            HasSubstr("| NOT SUPPORTED | u1/season | 5 W/W | 4.8 W/W |"),
            HasSubstr("That is no tolerance for the declared value"),
            HasSubstr("- **open**, NOT\\_SHOWN (UNTESTED): because of it\n"),
            HasSubstr("- Invented.\n"), HasSubstr("not certified ratings")));
  // Every row of a table has as many cells as its header, whatever a claim says.
  size_t start = 0;
  int cells_of_table = 0;
  while (start < text.size()) {
    const size_t end = text.find('\n', start);
    const std::string line = text.substr(start, end - start);
    start = end + 1;
    const int cells = CountOf(line, "|") - CountOf(line, "\\|");
    if (line.empty() || line[0] != '|') {
      cells_of_table = 0;
    } else if (cells_of_table == 0) {
      cells_of_table = cells;
    } else {
      EXPECT_EQ(cells, cells_of_table) << line;
    }
  }
}

TEST(GateText, ListsFailuresLast) {
  const std::string text = GateText(Sample());
  EXPECT_THAT(text, AllOf(HasSubstr("NOT SUPPORTED  u1/season: the data give 4.8"),
                          HasSubstr("what if    an authority determined this figure: "
                                    "within its 8 % (to 4.6 W/W; a regulation)"),
                          HasSubstr("Against baseline aaaaaaaaaaaaaaaa"),
                          HasSubstr("The gate FAILS for 3 of 5 claims and ratings"),
                          HasSubstr("  lost: weaker than the baseline: it fell\n")));
}

}  // namespace
}  // namespace ratebound::cli
