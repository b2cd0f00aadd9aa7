#include "engine/fit/advice.h"

#include <algorithm>
#include <cmath>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_format.h"
#include "engine/number/distribution.h"

namespace ratebound::fit {
namespace {

constexpr double kDecisive = 1e-10;  // of leverage below 1, as in least_squares.cc

Concern Grade(bool look, bool act) {
  return act ? Concern::kAct : look ? Concern::kLook : Concern::kNone;
}

// "0.3 %", "less than 0.01 %".
std::string Percent(double share) {
  if (share < 1e-4) return "less than 0.01 %";
  return absl::StrFormat("%.2g %%", 100 * share);
}

}  // namespace

Advice AdviseOnLeverage(double leverage, int rows, int terms) {
  const double average = static_cast<double>(terms) / rows;
  const bool decisive = leverage >= 1 - kDecisive;
  const Concern concern = Grade(leverage > 2 * average, decisive);
  if (decisive) {
    return {
        concern,
        "Without this point some term cannot be estimated: the surface passes through "
        "it whatever it reads. Repeat the condition, or test another level near it."};
  }
  const std::string size = absl::StrFormat("%.1f times the average", leverage / average);
  if (concern == Concern::kNone) {
    return {concern, absl::StrCat("Its pull on the surface is ", size,
                                  "; no single point decides here.")};
  }
  return {concern,
          absl::StrCat("The surface leans on this point: its pull is ", size,
                       ". Repeat it, so that an error in it would show; such points "
                       "usually stand at the edge of the plan and are valuable.")};
}

Advice AdviseOnStudentisedResidual(double externally_studentised, int rows, int terms) {
  const double size = std::fabs(externally_studentised);
  const int degrees = rows - terms - 1;
  const double chance =
      degrees < 1 ? 1 : std::min(1.0, 2 * rows * number::StudentTCdf(-size, degrees));
  const Concern concern = Grade(size >= 3, chance < 0.05);
  const std::string miss =
      absl::StrFormat("It lies %.1f standard deviations %s what the other points expect",
                      size, externally_studentised < 0 ? "below" : "above");
  if (concern == Concern::kNone) {
    return {concern, absl::StrCat(miss, ", which is ordinary among ", rows, " points.")};
  }
  if (concern == Concern::kLook) {
    return {concern, absl::StrCat(miss, "; among ", rows,
                                  " points the largest is often so large. Check its "
                                  "record before you rely on it.")};
  }
  return {
      concern,
      absl::StrCat(miss, "; with good points the largest of ", rows,
                   " would be so far off with a chance of ", Percent(chance),
                   ". Look for a cause in its record and repeat it; leave it out only "
                   "where a cause is found.")};
}

Advice AdviseOnCooksDistance(double distance, int rows, int terms) {
  const int degrees = rows - terms;
  const double edge =
      degrees < 1 ? 1 : number::FQuantile(0.5, terms, static_cast<double>(degrees));
  const Concern concern = Grade(distance > 4.0 / rows, distance > edge);
  const std::string size = absl::StrFormat("Cook's distance %.2g", distance);
  switch (concern) {
    case Concern::kNone:
      return {concern, absl::StrCat(size,
                                    ": without this point the surface would hardly "
                                    "change.")};
    case Concern::kLook:
      return {concern, absl::StrCat(size,
                                    ": this point moves the surface more than most. "
                                    "See that its readings are sound.")};
    case Concern::kAct:
      break;
  }
  return {concern,
          absl::StrCat(size,
                       ": without this point all terms together would move to the "
                       "edge of their 50 % confidence region. The conclusions hang "
                       "on it: repeat it before using the surface.")};
}

Advice AdviseOnDffits(double dffits, int rows, int terms) {
  const bool look = std::fabs(dffits) > 2 * std::sqrt(static_cast<double>(terms) / rows);
  const std::string moved = absl::StrFormat(
      "It moves its own fitted value by %.2g standard errors", std::fabs(dffits));
  return {Grade(look, false),
          absl::StrCat(moved, look ? "; compare the fit with and without it."
                                   : ", which is little.")};
}

Advice AdviseOnCovratio(double covratio, int rows, int terms) {
  const double limit = 3.0 * terms / rows;
  if (covratio > 1 + limit) {
    return {Concern::kLook,
            "This point makes the surface much surer than the others alone would; if it "
            "is wrong, so is that certainty. Repeat it."};
  }
  if (covratio < 1 - limit) {
    return {Concern::kLook,
            "With this point the surface is less sure than without: it adds more scatter "
            "than information. Check its record."};
  }
  return {Concern::kNone, "The certainty of the surface does not depend on this point."};
}

Advice AdviseOnPredictedRSquared(double predicted, double r_squared) {
  const double lost = r_squared - predicted;
  const Concern concern = Grade(lost > 0.1, lost > 0.3 || predicted <= 0);
  if (predicted <= 0) {
    return {concern,
            "Points that were left out are predicted no better than by the mean of the "
            "others: do not use this surface for prediction. Take a lower degree or more "
            "points."};
  }
  const std::string shares = absl::StrFormat(
      "The surface explains %.1f %% of the variation of the points it was fitted to, and "
      "predicts %.1f %% of that of points left out",
      100 * r_squared, 100 * predicted);
  if (concern == Concern::kNone) return {concern, absl::StrCat(shares, ".")};
  return {concern,
          absl::StrCat(shares,
                       ": part of it follows the scatter. Take a lower degree, or "
                       "more points where single ones have a large pull.")};
}

Advice AdviseOnInflation(double inflation) {
  const Concern concern = Grade(inflation >= 5, inflation >= 10);
  if (concern == Concern::kNone) {
    return {concern, "The plan varies this apart from the others."};
  }
  return {concern,
          absl::StrFormat("The plan moves this together with others: its standard error "
                          "is %.1f times what separate variation would give. %s",
                          std::sqrt(inflation),
                          concern == Concern::kAct
                              ? "Add points that vary it while the others stay, or leave "
                                "it out."
                              : "Points that vary it alone would help.")};
}

Advice AdviseOnNormality(double p_value, int rows, int terms) {
  const Concern concern = Grade(p_value < 0.05, p_value < 0.01);
  const bool few = rows - terms < 10;
  if (concern == Concern::kNone) {
    return {concern, few ? "The residuals look normal, but so few could hardly look "
                           "otherwise."
                         : "The residuals look normal, as intervals and tests presume."};
  }
  return {concern,
          absl::StrCat("Normal residuals would look so uneven with a chance of ",
                       Percent(p_value),
                       ". Look first at the largest, then at whether the scatter grows "
                       "with the response, which weights would answer. Intervals of the "
                       "surface suffer little; those of single new measurements do.")};
}

Advice AdviseOnLackOfFit(double p_value) {
  const Concern concern = Grade(p_value < 0.05, p_value < 0.01);
  if (concern == Concern::kNone) {
    return {concern, "The surface misses no more than repeats scatter."};
  }
  return {concern,
          absl::StrCat("The surface misses more than repeats scatter (a chance of ",
                       Percent(p_value),
                       " if its form were right). Take a higher degree or another form, "
                       "and see whether repeats were true repeats, made on different "
                       "days.")};
}

Advice AdviseOnBlockRatio(double ratio, int blocks, int terms) {
  const Concern concern = Grade(ratio >= 1.2, ratio >= 2);
  const std::string rest = absl::StrFormat(" (%d blocks, %d terms)", blocks, terms);
  if (concern == Concern::kNone) {
    return {concern,
            absl::StrCat("Points of a block err no more together than apart", rest, ".")};
  }
  return {concern,
          absl::StrFormat("Points of a block err together: the standard error is %.1f "
                          "times that of independent points%s. More days help, more "
                          "points on the same days do not.",
                          ratio, rest)};
}

Advice AdviseOnRobustnessWeight(double weight) {
  const Concern concern = Grade(weight < 0.5, weight < 0.05);
  switch (concern) {
    case Concern::kNone:
      return {concern, "It agrees with the bulk of the points."};
    case Concern::kLook:
      return {concern,
              absl::StrFormat("A fit that gross errors cannot pull gives it %.0f "
                              "%% of its weight. Check its record.",
                              100 * weight)};
    case Concern::kAct:
      break;
  }
  return {concern,
          "A fit that gross errors cannot pull sets it aside: it does not belong to the "
          "surface through the bulk of the points. Look for a cause and repeat it; leave "
          "it out only where a cause is found."};
}

}  // namespace ratebound::fit
