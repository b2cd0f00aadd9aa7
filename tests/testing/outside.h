// Checks against something outside the project, in a form that ci/outside can collect.
//
// Example:
//   OutsideCheck check({.name = "rating.iplv_of_appendix_j",
//                       .source = "ASHRAE Standard 90.1-2022, Appendix J, curve sets",
//                       .tolerance = 0.01});
//   for (const Case& c : cases) check.Relative(c.name, Computed(c), c.published);
//
// On destruction the check prints one line of JSON behind the word OUTSIDE and fails the
// test if a deviation was above the tolerance or if there was no case:
//   OUTSIDE
//   {"name":"rating.iplv_of_appendix_j","source":"...","kind":"outside","cases":8,
//            "worst":0.0052,"worst_case":"X","tolerance":0.01,"ok":true}
#ifndef RATEBOUND_TESTS_TESTING_OUTSIDE_H_
#define RATEBOUND_TESTS_TESTING_OUTSIDE_H_

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <span>
#include <string>
#include <utility>

#include "engine/base/text.h"
#include "gtest/gtest.h"

namespace ratebound::testing {

struct OutsideFacts {
  std::string name;    // room and what is checked: "rating.iplv_of_appendix_j"
  std::string source;  // document, edition, clause; or data set and version
  // "outside" for published values; "regression" for figures that were computed
  // independently from stated equations with invented inputs.
  std::string kind = "outside";
  double tolerance = 0;
};

class OutsideCheck {
 public:
  explicit OutsideCheck(OutsideFacts facts) : facts_(std::move(facts)) {}
  OutsideCheck(const OutsideCheck&) = delete;
  OutsideCheck& operator=(const OutsideCheck&) = delete;

  // |computed / published - 1|; `published` is not 0.
  void Relative(const std::string& what, double computed, double published) {
    Count(what, std::fabs(computed / published - 1), computed, published);
  }
  // |computed - published|.
  void Absolute(const std::string& what, double computed, double published) {
    Count(what, std::fabs(computed - published), computed, published);
  }
  // Each of `computed` by its published value: relative, or absolute where that is 0.
  void Each(const std::string& what, std::span<const double> computed,
            std::span<const double> published) {
    EXPECT_EQ(computed.size(), published.size()) << facts_.name << ", " << what;
    for (size_t i = 0; i < std::min(computed.size(), published.size()); ++i) {
      const std::string label = what + " " + std::to_string(i);
      if (published[i] == 0) {
        Absolute(label, computed[i], 0);
      } else {
        Relative(label, computed[i], published[i]);
      }
    }
  }
  // Whether something holds that has no size: a deviation of 0 or 1.
  void Holds(const std::string& what, bool holds) { Deviation(what, holds ? 0 : 1); }
  // A deviation in a measure of the caller's own. Not-a-number counts as wrong.
  void Deviation(const std::string& what, double deviation) {
    Count(what, deviation, deviation, 0);
  }

  double worst() const { return worst_; }
  int cases() const { return cases_; }

  ~OutsideCheck() {
    EXPECT_GT(cases_, 0) << facts_.name << " checked nothing";
    std::printf(
        "OUTSIDE {\"name\":%s,\"source\":%s,\"kind\":%s,\"cases\":%d,\"worst\":%s,"
        "\"worst_case\":%s,\"tolerance\":%s,\"ok\":%s}\n",
        Quoted(facts_.name).c_str(), Quoted(facts_.source).c_str(),
        Quoted(facts_.kind).c_str(), cases_, Number(worst_).c_str(),
        Quoted(worst_case_).c_str(), Number(facts_.tolerance).c_str(),
        ok_ && cases_ > 0 ? "true" : "false");
    std::fflush(stdout);
  }

 private:
  void Count(const std::string& what, double deviation, double computed,
             double published) {
    ++cases_;
    const bool within = deviation <= facts_.tolerance;  // false for not-a-number
    ok_ = ok_ && within;
    EXPECT_TRUE(within) << facts_.name << ", " << what << ": computed "
                        << base::ShortestText(computed) << ", published "
                        << base::ShortestText(published) << ", deviation "
                        << base::ShortestText(deviation) << " above "
                        << base::ShortestText(facts_.tolerance);
    if (cases_ > 1 && !(deviation > worst_ || std::isnan(deviation))) return;
    worst_ = deviation;
    worst_case_ = what;
  }

  static std::string Number(double value) {
    return std::isfinite(value) ? base::ShortestText(value) : "null";
  }

  static std::string Quoted(const std::string& text) {
    std::string quoted = "\"";
    for (const char c : text) {
      if (c == '"' || c == '\\') quoted += '\\';
      quoted += static_cast<unsigned char>(c) < 0x20 ? ' ' : c;
    }
    return quoted + '"';
  }

  OutsideFacts facts_;
  int cases_ = 0;
  bool ok_ = true;
  double worst_ = 0;
  std::string worst_case_;
};

}  // namespace ratebound::testing

#endif  // RATEBOUND_TESTS_TESTING_OUTSIDE_H_
