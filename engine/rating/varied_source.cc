#include "engine/rating/varied_source.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include "absl/strings/str_cat.h"
#include "engine/base/status_macros.h"
#include "engine/map/systematic.h"

namespace ratebound::rating {
namespace {

using document::StageMap;

// Of a range; small enough for the slope of a cubic, large enough for its digits.
constexpr double kSlopeStep = 0x1p-12;
// A metric that asks more than this searches (a stage in balance with its own load), and
// what it asks changes with every movement.
constexpr size_t kMostRemembered = 48;

}  // namespace

int Variation::Day(const std::string& name) {
  const auto found =
      name.empty() ? days_.end() : std::find(days_.begin(), days_.end(), name);
  if (found != days_.end()) return static_cast<int>(found - days_.begin());
  days_.push_back(name);
  return static_cast<int>(days_.size()) - 1;
}

absl::StatusOr<Variation> Variation::Create(const MapFigureSource& source,
                                            const document::LineManifest& manifest,
                                            std::span<const document::TestPoint> points) {
  Variation variation;
  const SourceDescription& description = source.description();
  const size_t quantities = description.quantities.size();
  const size_t conditions = description.mode.conditions.size();
  std::vector<char> has_gain(quantities), has_constant(quantities);
  std::vector<char> has_condition(conditions);
  for (const SourceSurface& surface : source.surfaces()) {
    const StageMap& map = surface.model->map();
    Varying varying;
    ASSIGN_OR_RETURN(varying.form,
                     map::ModelForm::Create(surface.fitted->form, map.conditions));
    auto spread = map::SpreadOf(map, *surface.fitted, points);
    if (spread.ok()) {
      varying.spread = *std::move(spread);
      for (const std::string& name : varying.spread.sources) {
        varying.days.push_back(variation.Day(name));
      }
      const double own = varying.spread.degrees_of_freedom;
      const double least = variation.degrees_of_freedom_;
      variation.degrees_of_freedom_ = least > 0 ? std::min(least, own) : own;
    } else if (spread.status().code() == absl::StatusCode::kFailedPrecondition) {
      variation.gaps_.push_back(
          absl::StrCat(spread.status().message(), "; its scatter is left out"));
    } else {
      return spread.status();
    }
    const auto q = static_cast<size_t>(surface.quantity);
    const map::SystematicPart part =
        map::SystematicOfResponse(manifest, map, surface.fitted->quantity);
    varying.gain = part.fraction;
    varying.constant_si = part.absolute_si;
    has_gain[q] |= part.fraction > 0;
    has_constant[q] |= part.absolute_si > 0;
    // A map orders its conditions as its mode does.
    for (size_t j = 0; j < conditions; ++j) {
      varying.condition_si.push_back(map::SystematicOfCondition(manifest, map, j));
      has_condition[j] |= varying.condition_si.back() > 0;
    }
    variation.varying_.push_back(std::move(varying));
  }
  for (size_t q = 0; q < quantities; ++q) {
    const std::string& name = description.quantities[q];
    const int index = static_cast<int>(q);
    if (has_gain[q] != 0) {
      variation.systematics_.push_back({SystematicSource::kGain, name, index});
    }
    if (has_constant[q] != 0) {
      variation.systematics_.push_back({SystematicSource::kConstant, name, index});
    }
  }
  for (size_t j = 0; j < conditions; ++j) {
    if (has_condition[j] == 0) continue;
    variation.systematics_.push_back({SystematicSource::kCondition,
                                      description.mode.conditions[j],
                                      static_cast<int>(j)});
  }
  return variation;
}

VariedSource::VariedSource(const MapFigureSource& source, const Variation& variation)
    : source_(source), variation_(variation), moved_(source) {}

void VariedSource::Remember() { remembering_ = true; }

void VariedSource::Move(std::span<const double> days,
                        std::span<const double> systematics) {
  remembering_ = false;
  move_days_.assign(days.begin(), days.end());
  move_systematics_.assign(systematics.begin(), systematics.end());
  moved_is_current_ = false;
  next_ = 0;
}

void VariedSource::Restrict(int stage, int quantity) {
  only_stage_ = stage;
  only_quantity_ = quantity;
}

VariedSource::Answer VariedSource::Ask(int stage,
                                       std::span<const double> conditions_si) const {
  const size_t quantities = description().quantities.size();
  const size_t days = variation_.days_.size();
  const size_t systematics = variation_.systematics_.size();
  Answer answer{.stage = stage};
  answer.conditions_si.assign(conditions_si.begin(), conditions_si.end());
  answer.figures_si.resize(quantities);
  answer.any = source_.Figures(stage, conditions_si, answer.figures_si);
  answer.surfaces.assign(quantities, -1);
  answer.polynomials.resize(quantities);
  answer.deviations.resize(quantities * days);
  answer.systematic.resize(quantities * systematics);
  if (!answer.any) return answer;
  std::vector<double> moved(conditions_si.begin(), conditions_si.end());
  std::vector<double> above(quantities), below(quantities);
  for (size_t q = 0; q < quantities; ++q) {
    const int index = source_.SurfaceAt(stage, static_cast<int>(q), conditions_si);
    if (index < 0) continue;
    answer.surfaces[q] = index;
    const auto i = static_cast<size_t>(index);
    const SourceSurface& surface = source_.surfaces()[i];
    const Variation::Varying& varying = variation_.varying_[i];
    const auto at = map::SpreadAt(surface.model->map(), *surface.fitted, varying.spread,
                                  conditions_si);
    if (at.ok()) {  // the form was made of the same conditions before
      answer.polynomials[q] = at->polynomial;
      for (size_t g = 0; g < at->deviations.size(); ++g) {
        answer.deviations[q * days + static_cast<size_t>(varying.days[g])] +=
            at->deviations[g];
      }
    }
    for (size_t s = 0; s < systematics; ++s) {
      const SystematicSource& source = variation_.systematics_[s];
      const auto of = static_cast<size_t>(source.index);
      double& part = answer.systematic[q * systematics + s];
      if (source.kind == SystematicSource::kGain) {
        if (of == q) part = varying.gain;
      } else if (source.kind == SystematicSource::kConstant) {
        if (of == q) part = varying.constant_si;
      } else {
        const StageMap& map = surface.model->map();
        const double width = map.tested_high_si[of] - map.tested_low_si[of];
        const double step = kSlopeStep * (width > 0 ? width : 1);
        moved[of] = conditions_si[of] + step;
        const bool up = source_.Figures(stage, moved, above);
        moved[of] = conditions_si[of] - step;
        const bool down = source_.Figures(stage, moved, below);
        moved[of] = conditions_si[of];
        const double slope = (above[q] - below[q]) / (2 * step);
        if (up && down && std::isfinite(slope)) part = slope * varying.condition_si[of];
      }
    }
  }
  return answer;
}

const VariedSource::Answer* VariedSource::Find(
    int stage, std::span<const double> conditions_si) const {
  const size_t count = answers_.size();
  for (size_t tried = 0; tried < count; ++tried) {
    const size_t i = next_ + tried < count ? next_ + tried : next_ + tried - count;
    const Answer& answer = answers_[i];
    if (answer.stage != stage) continue;
    if (!std::equal(conditions_si.begin(), conditions_si.end(),
                    answer.conditions_si.begin(), answer.conditions_si.end())) {
      continue;
    }
    next_ = i + 1 < count ? i + 1 : 0;
    return &answer;
  }
  if (!remembering_ || too_many_) return nullptr;
  if (count == kMostRemembered) {
    too_many_ = true;
    answers_.clear();
    return nullptr;
  }
  answers_.push_back(Ask(stage, conditions_si));
  return &answers_.back();
}

bool VariedSource::FromAnswer(const Answer& answer, std::span<double> figures_si) const {
  if (!answer.any) return false;
  const size_t days = move_days_.size();
  const size_t systematics = move_systematics_.size();
  for (size_t q = 0; q < answer.figures_si.size(); ++q) {
    double figure = answer.figures_si[q];
    const int surface = answer.surfaces[q];
    if (surface >= 0 && days > 0 && Moves(answer.stage, static_cast<int>(q))) {
      const double* const deviation = &answer.deviations[q * days];
      double sum = 0;
      for (size_t g = 0; g < days; ++g) sum += deviation[g] * move_days_[g];
      const map::ModelForm& form = variation_.varying_[static_cast<size_t>(surface)].form;
      figure = form.turns_response()
                   ? form.Value(answer.polynomials[q] + sum, answer.conditions_si)
                   : figure + sum;
    }
    for (size_t s = 0; s < systematics; ++s) {
      const double part = answer.systematic[q * systematics + s] * move_systematics_[s];
      figure += variation_.systematics_[s].kind == SystematicSource::kGain
                    ? part * answer.figures_si[q]
                    : part;
    }
    figures_si[q] = figure;
  }
  return true;
}

void VariedSource::MoveSurfaces() const {
  moved_is_current_ = true;
  for (size_t i = 0; i < variation_.varying_.size(); ++i) {
    const SourceSurface& surface = source_.surfaces()[i];
    const Variation::Varying& varying = variation_.varying_[i];
    buffer_ = surface.fitted->coefficients_si;
    if (!move_days_.empty() && Moves(surface.stage, surface.quantity)) {
      for (size_t g = 0; g < varying.days.size(); ++g) {
        const double move = move_days_[static_cast<size_t>(varying.days[g])];
        if (move == 0) continue;
        const std::span<const double> deviation = varying.spread.Deviation(g);
        for (size_t t = 0; t < buffer_.size(); ++t) buffer_[t] += deviation[t] * move;
      }
    }
    moved_.SetCoefficients(static_cast<int>(i), buffer_);
  }
}

bool VariedSource::FromSurfaces(int stage, std::span<const double> conditions_si,
                                std::span<double> figures_si) const {
  if (!moved_is_current_) MoveSurfaces();
  if (move_systematics_.empty()) {
    return moved_.Figures(stage, conditions_si, figures_si);
  }
  if (!moved_.Figures(stage, conditions_si, figures_si)) return false;
  const Answer unmoved = Ask(stage, conditions_si);
  const size_t systematics = move_systematics_.size();
  for (size_t q = 0; q < figures_si.size(); ++q) {
    for (size_t s = 0; s < systematics; ++s) {
      const double part = unmoved.systematic[q * systematics + s] * move_systematics_[s];
      figures_si[q] += variation_.systematics_[s].kind == SystematicSource::kGain
                           ? part * unmoved.figures_si[q]
                           : part;
    }
  }
  return true;
}

bool VariedSource::Figures(int stage, std::span<const double> conditions_si,
                           std::span<double> figures_si) const {
  const Answer* const answer = Find(stage, conditions_si);
  return answer != nullptr ? FromAnswer(*answer, figures_si)
                           : FromSurfaces(stage, conditions_si, figures_si);
}

absl::Status VariedSource::WhyNone(int stage,
                                   std::span<const double> conditions_si) const {
  return source_.WhyNone(stage, conditions_si);
}

FigureFooting VariedSource::Footing(int stage,
                                    std::span<const double> conditions_si) const {
  return source_.Footing(stage, conditions_si);
}

}  // namespace ratebound::rating
