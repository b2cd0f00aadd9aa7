// A procedure with invented units, for properties that hold of every form.
//
// A unit is a list of numbers, each of which knows what it is of, so that one piece of
// code scales any unit and leads it on a straight path into another.
#ifndef RATEBOUND_TESTS_ENGINE_RATING_FORM_TRIAL_H_
#define RATEBOUND_TESTS_ENGINE_RATING_FORM_TRIAL_H_

#include <algorithm>
#include <functional>
#include <optional>
#include <span>
#include <string>
#include <utility>
#include <vector>

#include "absl/strings/str_cat.h"
#include "engine/rating/efficiency.h"
#include "engine/rating/function_figure_source.h"
#include "engine/rating/rate.h"
#include "gtest/gtest.h"
#include "tests/engine/rating/invented.h"
#include "tests/testing/random.h"

namespace ratebound::rating {

enum class Kind { kCapacity, kPower, kPowerOfCapacity, kFlow, kDesignLoad, kIntensive };

struct Number {
  double value;
  Kind kind;
};
using Numbers = std::vector<Number>;

inline Numbers WithPowers(Numbers unit, double scale) {
  for (Number& number : unit) {
    if (number.kind == Kind::kPower || number.kind == Kind::kPowerOfCapacity) {
      number.value *= scale;
    }
  }
  return unit;
}

inline Numbers OfSize(Numbers unit, double scale) {
  for (Number& number : unit) {
    if (number.kind == Kind::kIntensive || number.kind == Kind::kPowerOfCapacity) {
      continue;
    }
    number.value *= scale;
  }
  return unit;
}

inline Numbers Between(const Numbers& from, const Numbers& to, double part) {
  Numbers unit = from;
  for (size_t i = 0; i < unit.size(); ++i) {
    unit[i].value += part * (to[i].value - from[i].value);
  }
  return unit;
}

struct Range {
  double worst = 1e300;
  double best = 0;
  void See(double efficiency) {
    worst = std::min(worst, efficiency);
    best = std::max(best, efficiency);
  }
};

// A procedure and the units that it rates.
class Trial {
 public:
  virtual ~Trial() = default;
  virtual Numbers Draw(testing::Random& random) const = 0;
  virtual document::Rating Rate(const Numbers& unit) const = 0;
  // Whether the figures are, within rounding, where the procedure says that another rule
  // begins to apply.
  virtual bool AtNamedEdge(const Numbers& unit) const = 0;
  // Efficiencies of the stages at the points; nothing where the form goes beyond them.
  virtual std::optional<Range> OfStages(const Numbers& unit) const = 0;
  // The unit and the procedure, so changed that nothing but `efficiency`, in the unit of
  // the metric, can come out.
  virtual Numbers MakeConstant(Numbers unit, double efficiency) = 0;

  // Whichever way round the metric is; 0 where refused.
  double Efficiency(const Numbers& unit) const {
    return EfficiencyOf(Rate(unit).value.value_or(0));
  }
  double EfficiencyOf(double figure) const {
    return figure > 0 && IsSpecificPower(procedure_) ? 1 / figure : figure;
  }

 protected:
  document::Procedure procedure_;
};

inline document::Rating RateFigures(
    const document::Procedure& procedure, SourceDescription description,
    std::function<void(int, std::span<const double>, std::vector<double>&)> figures) {
  const size_t count = description.quantities.size();
  const FunctionFigureSource source(
      std::move(description),
      [count, figures](int stage, std::span<const double> conditions_si,
                       std::span<double> out) {
        std::vector<double> all(count);
        figures(stage, conditions_si, all);
        std::copy_n(all.begin(), out.size(), out.begin());
        return true;
      });
  absl::StatusOr<document::Rating> rating = RateSource(procedure, source);
  EXPECT_TRUE(rating.ok()) << rating.status();
  return rating.value_or(document::Rating());
}

inline SourceDescription Described(std::vector<std::string> quantities, int stages) {
  SourceDescription description{.unit = Chiller({}).unit, .mode = Chiller({}).mode};
  for (int i = 0; i < stages; ++i) {
    description.mode.stages.push_back({.id = absl::StrCat("s", i + 1)});
  }
  description.quantities = std::move(quantities);
  return description;
}

inline document::CitedNumber Constant(double value, std::string unit = "") {
  return {.value = Stated(value, std::move(unit))};
}

inline document::TermSign RandomSign(testing::Random& random) {
  constexpr document::TermSign kSigns[] = {document::TermSign::kAdded,
                                           document::TermSign::kSubtracted,
                                           document::TermSign::kNone};
  return kSigns[random.Integer(0, 2)];
}

}  // namespace ratebound::rating

#endif  // RATEBOUND_TESTS_ENGINE_RATING_FORM_TRIAL_H_
