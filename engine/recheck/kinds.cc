// The duties of claims that are more than one quantity and a limit: turndown, steps of
// capacity (engine/claim/kinds/capacity_steps.cc says what they promise) and operating
// envelopes. Those of specimens are specimens.h's.
#include <algorithm>
#include <cmath>
#include <utility>

#include "absl/strings/str_cat.h"
#include "engine/base/status_macros.h"
#include "engine/document/polygon_clauses.h"
#include "engine/quantity/unit.h"
#include "engine/quantity/vocabulary.h"
#include "engine/recheck/duties.h"
#include "engine/recheck/quantity.h"
#include "engine/recheck/specimens.h"

namespace ratebound::recheck {
namespace {

using document::StageMap;

size_t Add(Promise& promise, Formula formula) {
  promise.formulas.push_back(std::move(formula));
  return promise.formulas.size() - 1;
}

absl::Status AddTurndown(const PromiseInputs& inputs, Promise& promise) {
  const document::Turndown& promised = *inputs.claim.turndown;
  ASSIGN_OR_RETURN(const std::vector<std::string> stages, StagesOfMode(inputs));
  const std::string lowest =
      promised.lowest_stage.empty() ? stages.front() : promised.lowest_stage;
  const StageMap* const low = inputs.MapOf(lowest);
  const StageMap* const high = inputs.MapOf(
      promised.highest_stage.empty() ? stages.back() : promised.highest_stage);
  if (low == nullptr || high == nullptr) {
    return absl::InvalidArgumentError("the release has no such stage");
  }
  const size_t n = inputs.size();
  const double part = promised.capacity_fraction;
  const std::string& capacity = inputs.mode.capacity_quantity;
  Way way{.stage = lowest};
  for (const LimitSide& side : SidesOf(inputs.claim.relation, part, part)) {
    Formula formula{.over_map = high, .over = capacity, .sign = side.sign};
    formula.numerator = {{low, capacity, NumberIn(n, 1)}};
    formula.limit = NumberIn(n, part);
    formula.allowance_si = inputs.AllowanceAt(inputs.claim.allowance.absolute, part);
    way.sides.push_back(Add(promise, std::move(formula)));
  }
  promise.duties.push_back({inputs.region, {std::move(way)}, "the turndown"});
  return absl::OkStatus();
}

constexpr size_t kMostChoices = 10'000;  // more than claims are proven by

// Choices of `size` of the numbers below `count`, each in rising order; none where there
// are too many.
std::vector<std::vector<size_t>> Choices(size_t count, size_t size) {
  std::vector<std::vector<size_t>> all = {{}};
  for (size_t taken = 0; taken < size; ++taken) {
    std::vector<std::vector<size_t>> longer;
    for (const std::vector<size_t>& choice : all) {
      for (size_t next = choice.empty() ? 0 : choice.back() + 1; next < count; ++next) {
        if (longer.size() >= kMostChoices) return {};
        longer.push_back(choice);
        longer.back().push_back(next);
      }
    }
    all = std::move(longer);
  }
  return all;
}

absl::Status AddSteps(const PromiseInputs& inputs, Promise& promise) {
  const document::CapacitySteps& promised = *inputs.claim.capacity_steps;
  ASSIGN_OR_RETURN(const std::vector<std::string> stages, StagesOfMode(inputs));
  std::vector<const StageMap*> maps;
  for (const std::string& stage : stages) {
    maps.push_back(inputs.MapOf(stage));
    if (maps.back() == nullptr) {
      return absl::InvalidArgumentError("the release has no stage " + stage);
    }
  }
  const size_t count = stages.size();
  if (promised.least_count < 1 || static_cast<size_t>(promised.least_count) > count) {
    return absl::InvalidArgumentError("the mode has no so many steps");
  }
  const std::string& capacity = inputs.mode.capacity_quantity;
  const size_t n = inputs.size();
  // The rises from stage to stage, as parts of the highest's capacity.
  const auto add_rises = [&](double sign, double part) {
    std::vector<Way> ways;
    for (size_t i = 0; i < count; ++i) {
      Formula formula{.over_map = maps.back(), .over = capacity, .sign = sign};
      formula.numerator = {{maps[i], capacity, NumberIn(n, 1)}};
      if (i > 0) formula.numerator.push_back({maps[i - 1], capacity, NumberIn(n, -1)});
      formula.limit = NumberIn(n, part);
      formula.allowance_si = inputs.AllowanceAt(inputs.claim.allowance.absolute, part);
      ways.push_back({stages[i], {Add(promise, std::move(formula))}});
    }
    return ways;
  };
  const auto each = [&](const std::vector<Way>& ways, const std::string& text) {
    for (const Way& way : ways) promise.duties.push_back({inputs.region, {way}, text});
  };
  const size_t of = count - static_cast<size_t>(promised.least_count) + 1;
  const std::vector<std::vector<size_t>> choices = Choices(count, of);
  if (choices.empty()) {
    return absl::InvalidArgumentError("there are too many choices of steps");
  }
  const std::vector<Way> distinct = add_rises(1, promised.distinct_fraction);
  for (const std::vector<size_t>& choice : choices) {
    Duty duty{.box = inputs.region, .text = "one of the rises to be distinct"};
    for (const size_t i : choice) duty.ways.push_back(distinct[i]);
    promise.duties.push_back(std::move(duty));
  }
  if (of > 1) each(add_rises(1, 0), "a rise not to be a fall");
  if (promised.greatest_gap_fraction) {
    each(add_rises(-1, *promised.greatest_gap_fraction), "a rise to be small enough");
  }
  return absl::OkStatus();
}

// How the unit of one of an envelope's quantities is scaled.
struct Axis {
  Span zero_si;
  Span per_si;
  double extent = 0;  // of the polygon, in the unit
  quantity::Dimension dimension = quantity::Dimension::kFraction;
};

absl::StatusOr<Axis> AxisOf(const document::PolygonCut& polygon, bool other) {
  const std::string& name = other ? polygon.other_quantity : polygon.quantity;
  ASSIGN_OR_RETURN(const auto* const known, quantity::FindQuantity(name));
  ASSIGN_OR_RETURN(
      const quantity::Unit unit,
      quantity::FindUnit(other ? polygon.other_unit : polygon.unit, known->dimension));
  Axis axis{.zero_si = quantity::ToSi(0, unit),
            .per_si = quantity::DifferenceFromSi(1, unit),
            .dimension = known->dimension};
  double least = std::numeric_limits<double>::infinity(), most = -least;
  for (const document::PolygonVertex& vertex : polygon.vertices) {
    const double value = other ? vertex.other_value : vertex.value;
    least = std::min(least, value);
    most = std::max(most, value);
  }
  axis.extent = most - least;
  return axis;
}

class Envelope {
 public:
  static absl::StatusOr<Envelope> Create(const PromiseInputs& inputs) {
    const document::PolygonCut& polygon = inputs.claim.operating_envelope->polygon;
    Envelope envelope(inputs, polygon);
    ASSIGN_OR_RETURN(envelope.x_, AxisOf(polygon, false));
    ASSIGN_OR_RETURN(envelope.y_, AxisOf(polygon, true));
    ASSIGN_OR_RETURN(const quantity::Unit unit, quantity::FindUnit(polygon.unit));
    envelope.alike_ = envelope.x_.dimension == envelope.y_.dimension;
    if (envelope.alike_) {
      envelope.allowance_si_ =
          quantity::DifferenceToSi(inputs.claim.allowance.absolute, unit);
    }
    return envelope;
  }

  // How far a stage is inside of an edge: by the greatest coordinate's distance where
  // both are alike, else as a part of the polygon.
  absl::StatusOr<Formula> Inside(const StageMap& map,
                                 const document::PolygonSide& edge) const {
    ASSIGN_OR_RETURN(const ReadQuantity x, QuantityOf(inputs_, map, polygon_.quantity));
    ASSIGN_OR_RETURN(const ReadQuantity y,
                     QuantityOf(inputs_, map, polygon_.other_quantity));
    if (!x.over.empty() || !y.over.empty()) {
      return absl::InvalidArgumentError("a ratio in an envelope");
    }
    Span a = edge.factor == 0 ? Span(0) : Span(edge.factor) * x_.per_si;
    Span b = edge.other_factor == 0 ? Span(0) : Span(edge.other_factor) * y_.per_si;
    Span c = Span(edge.constant) - a * x_.zero_si - b * y_.zero_si;
    const auto size = [](const Span& s) { return s.hi < 0 ? -s : s; };
    const Span scale = alike_ ? size(a) + size(b)
                              : Span(std::fabs(edge.factor)) * x_.extent +
                                    Span(std::fabs(edge.other_factor)) * y_.extent;
    for (Span* of : {&a, &b, &c}) {
      if (!of->zero()) *of = *of / scale;
    }
    Formula formula{.allowance_si = allowance_si_};
    formula.over_factor = Product(x.over_factor, y.over_factor);
    const auto add = [&](const ReadQuantity& read, const SpanPolynomial& other_over,
                         const Span& times) {
      if (times.zero()) return;
      const SpanPolynomial factor = Times(other_over, times);
      for (const FormulaTerm& term : read.terms) {
        formula.numerator.push_back(
            {term.map, term.quantity, Product(term.factor, factor)});
      }
      AddTimes(formula.free, Product(read.free, factor), 1);
    };
    add(x, y.over_factor, a);
    add(y, x.over_factor, b);
    AddTimes(formula.free, formula.over_factor, c);
    return formula;
  }

 private:
  Envelope(const PromiseInputs& inputs, const document::PolygonCut& polygon)
      : inputs_(inputs), polygon_(polygon) {}

  const PromiseInputs& inputs_;
  const document::PolygonCut& polygon_;
  Axis x_, y_;
  bool alike_ = true;
  double allowance_si_ = 0;
};

absl::Status AddEnvelope(const PromiseInputs& inputs, Promise& promise) {
  ASSIGN_OR_RETURN(const Envelope envelope, Envelope::Create(inputs));
  ASSIGN_OR_RETURN(
      const std::vector<document::PolygonClause> clauses,
      document::ClausesOf(inputs.claim.operating_envelope->polygon.vertices));
  ASSIGN_OR_RETURN(const std::vector<ServedBox> served, ServedBoxes(inputs));
  for (const ServedBox& serving : served) {
    if (serving.stages.size() != 1) {
      return absl::InvalidArgumentError("an envelope that some stage keeps");
    }
    const std::string& stage = serving.stages.front();
    const StageMap* const map = inputs.MapOf(stage);
    if (map == nullptr) {
      return absl::InvalidArgumentError("the release has no stage " + stage);
    }
    for (const document::PolygonClause& clause : clauses) {
      Duty duty{.box = serving.box};
      for (const document::PolygonSide& edge : clause) {
        absl::StrAppend(&duty.text,
                        duty.text.empty() ? "stage " + stage + " inside of " : " or ",
                        edge.edge);
        ASSIGN_OR_RETURN(Formula formula, envelope.Inside(*map, edge));
        duty.ways.push_back({stage, {Add(promise, std::move(formula))}});
      }
      promise.duties.push_back(std::move(duty));
    }
  }
  return absl::OkStatus();
}

}  // namespace

absl::Status AddKind(const PromiseInputs& inputs, Promise& promise) {
  const document::Claim& claim = inputs.claim;
  if (claim.turndown) return AddTurndown(inputs, promise);
  if (claim.capacity_steps) return AddSteps(inputs, promise);
  if (claim.operating_envelope) return AddEnvelope(inputs, promise);
  if (claim.equivalence) return AddEquivalence(inputs, promise);
  promise.why_not = "the claim is more than quantities of surfaces and limits";
  return absl::OkStatus();
}

}  // namespace ratebound::recheck
