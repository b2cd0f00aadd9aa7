#include "engine/points/uncertainty/input_uncertainty.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <map>
#include <utility>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_join.h"
#include "engine/base/fault.h"
#include "engine/base/text.h"
#include "engine/points/uncertainty/semidefinite_cholesky.h"

namespace ratebound::points {
namespace {

size_t Size(int count) { return static_cast<size_t>(count); }

std::string PartName(bool systematic) { return systematic ? "systematic" : "random"; }

std::string ComponentField(size_t i, const Component& component) {
  return absl::StrCat("components[", i, "] '",
                      base::Absl(base::Printable(component.name)), "'");
}

void CheckComponent(int input_count, const Component& component, const std::string& field,
                    base::FaultList& faults) {
  if (component.input < 0 || component.input >= input_count) {
    faults.Add({.field = field,
                .message = absl::StrCat("input ", component.input, " is not among the ",
                                        input_count, " inputs")});
  }
  if (!(component.standard_uncertainty >= 0) ||
      !std::isfinite(component.standard_uncertainty)) {
    faults.Add(
        {.field = field,
         .message = absl::StrCat("standard uncertainty ",
                                 base::ShortestText(component.standard_uncertainty),
                                 " is not a number from 0 up"),
         .remedy = "give half widths, expanded values and coverage factors above 0"});
  }
  if (!(component.degrees_of_freedom > 0)) {
    faults.Add(
        {.field = field,
         .message = absl::StrCat("degrees of freedom ",
                                 base::ShortestText(component.degrees_of_freedom),
                                 " are not above 0"),
         .remedy = "a standard deviation takes at least 2 readings; leave the degrees of "
                   "freedom out where the uncertainty is taken as exactly known"});
  }
}

void CheckSharedCauses(std::span<const Component> components, base::FaultList& faults) {
  std::map<std::string, size_t> first_of;
  for (size_t i = 0; i < components.size(); ++i) {
    const Component& component = components[i];
    if (component.shared.empty()) continue;
    const auto [place, is_new] = first_of.emplace(component.shared, i);
    if (is_new) continue;
    const Component& first = components[place->second];
    if (component.systematic == first.systematic &&
        component.distribution == first.distribution &&
        component.degrees_of_freedom == first.degrees_of_freedom) {
      continue;
    }
    faults.Add({.field = ComponentField(i, component),
                .message = absl::StrCat(
                    "shares '", base::Absl(base::Printable(component.shared)), "' with '",
                    base::Absl(base::Printable(first.name)),
                    "' but differs from it in distribution, degrees of freedom or "
                    "between random and systematic"),
                .remedy = "one cause has one distribution: make them agree"});
  }
}

}  // namespace

// Explicit coefficients of one part. An input without any stands alone.
struct InputUncertainty::PartCorrelations {
  explicit PartCorrelations(int input_count)
      : size(input_count), values(Size(input_count) * Size(input_count), 0) {
    for (int i = 0; i < size; ++i) at(i, i) = 1;
  }
  double& at(int row, int column) {
    return values[Size(row) * Size(size) + Size(column)];
  }
  double at(int row, int column) const {
    return values[Size(row) * Size(size) + Size(column)];
  }
  // The inputs that hang together with `input` through coefficients that are not 0, in
  // ascending order.
  std::vector<int> SetOf(int input) const {
    std::vector<int> set = {input};
    for (size_t next = 0; next < set.size(); ++next) {
      for (int other = 0; other < size; ++other) {
        if (at(set[next], other) != 0 && std::ranges::find(set, other) == set.end()) {
          set.push_back(other);
        }
      }
    }
    std::ranges::sort(set);
    return set;
  }
  std::vector<double> MatrixOf(std::span<const int> set) const {
    std::vector<double> matrix;
    for (const int row : set) {
      for (const int column : set) matrix.push_back(at(row, column));
    }
    return matrix;
  }

  int size;
  std::vector<double> values;
};

namespace {

struct PartOfInputs {
  std::vector<char> has_unshared;
  // Names of the shared causes of each input.
  std::vector<std::vector<std::string>> shared;
};

PartOfInputs PartOf(bool systematic, int input_count,
                    std::span<const Component> components) {
  PartOfInputs part{.has_unshared = std::vector<char>(Size(input_count)),
                    .shared = std::vector<std::vector<std::string>>(Size(input_count))};
  for (const Component& component : components) {
    if (component.systematic != systematic) continue;
    if (component.input < 0 || component.input >= input_count) continue;
    if (component.shared.empty()) {
      part.has_unshared[Size(component.input)] = 1;
    } else {
      part.shared[Size(component.input)].push_back(component.shared);
    }
  }
  return part;
}

// Whether the coefficient can be used; a fault for each reason why not.
bool CheckCorrelation(const Correlation& correlation, const PartOfInputs& part,
                      int input_count, const std::string& field,
                      base::FaultList& faults) {
  const auto [first, second, coefficient, systematic] = correlation;
  if (first < 0 || first >= input_count || second < 0 || second >= input_count ||
      first == second) {
    faults.Add({.field = field,
                .message = absl::StrCat("inputs ", first, " and ", second,
                                        " are not two different ones of ", input_count)});
    return false;
  }
  if (!(coefficient >= -1 && coefficient <= 1)) {
    faults.Add({.field = field,
                .message = absl::StrCat("coefficient ", base::ShortestText(coefficient),
                                        " is outside -1 to 1")});
    return false;
  }
  bool usable = true;
  for (const int input : {first, second}) {
    if (part.has_unshared[Size(input)]) continue;
    faults.Add({.field = field,
                .message = absl::StrCat("input ", input, " has no ", PartName(systematic),
                                        " component that is not shared"),
                .remedy = "name the part that the coefficient belongs to"});
    usable = false;
  }
  for (const std::string& cause : part.shared[Size(first)]) {
    if (std::ranges::find(part.shared[Size(second)], cause) ==
        part.shared[Size(second)].end()) {
      continue;
    }
    faults.Add(
        {.field = field,
         .message = absl::StrCat("inputs ", first, " and ", second, " already share the ",
                                 PartName(systematic), " cause '",
                                 base::Absl(base::Printable(cause)), "'"),
         .remedy = "state their correlation once: shared, or by a coefficient"});
    usable = false;
  }
  return usable;
}

}  // namespace

absl::StatusOr<InputUncertainty> InputUncertainty::Create(
    int input_count, std::vector<Component> components,
    std::vector<Correlation> correlations) {
  base::FaultList faults;
  if (input_count < 1) {
    faults.Add({.field = "inputs", .message = "a measurement has at least one input"});
    return faults.ToStatus();
  }
  for (size_t i = 0; i < components.size(); ++i) {
    CheckComponent(input_count, components[i], ComponentField(i, components[i]), faults);
  }
  CheckSharedCauses(components, faults);

  std::vector<PartCorrelations> parts(2, PartCorrelations(input_count));
  const std::vector<PartOfInputs> inputs = {PartOf(false, input_count, components),
                                            PartOf(true, input_count, components)};
  for (size_t i = 0; i < correlations.size(); ++i) {
    const Correlation& c = correlations[i];
    const std::string field = absl::StrCat("correlations[", i, "]");
    if (!CheckCorrelation(c, inputs[c.systematic], input_count, field, faults)) continue;
    const auto is_same_pair = [&](const Correlation& other) {
      return other.systematic == c.systematic &&
             std::minmax(other.first, other.second) == std::minmax(c.first, c.second);
    };
    if (std::any_of(correlations.begin(), correlations.begin() + static_cast<int>(i),
                    is_same_pair)) {
      faults.Add({.field = field,
                  .message = absl::StrCat("inputs ", c.first, " and ", c.second,
                                          " already have a coefficient")});
    }
    parts[c.systematic].at(c.first, c.second) = c.coefficient;
    parts[c.systematic].at(c.second, c.first) = c.coefficient;
  }
  for (const bool systematic : {false, true}) {
    const PartCorrelations& part = parts[systematic];
    for (int input = 0; input < input_count; ++input) {
      const std::vector<int> set = part.SetOf(input);
      if (set.front() != input || set.size() == 1) continue;
      std::vector<double> matrix = part.MatrixOf(set);
      if (FactorSemidefinite(matrix, static_cast<int>(set.size()))) continue;
      faults.Add(
          {.field = "correlations",
           .message = absl::StrCat("the ", PartName(systematic),
                                   " coefficients of inputs ", absl::StrJoin(set, ", "),
                                   " contradict each other: their matrix is not positive "
                                   "semidefinite"),
           .remedy = "give the coefficients with more digits, or those left out"});
    }
  }
  if (!faults.empty()) return faults.ToStatus();

  InputUncertainty result;
  result.input_count_ = input_count;
  result.components_ = std::move(components);
  for (const Component& component : result.components_) {
    result.standard_uncertainties_.push_back(component.standard_uncertainty);
  }
  result.AddCauses(false, parts[0]);
  result.random_factor_count_ = result.factor_count_;
  result.AddCauses(true, parts[1]);
  return result;
}

void InputUncertainty::AddCauses(bool systematic, const PartCorrelations& correlations) {
  std::vector<char> is_placed(components_.size());
  for (size_t i = 0; i < components_.size(); ++i) {
    const Component& component = components_[i];
    if (component.systematic != systematic || is_placed[i]) continue;
    const int index = static_cast<int>(i);
    if (!component.shared.empty()) {
      AddSharedCause(index);
    } else if (correlations.SetOf(component.input).size() > 1) {
      AddCorrelatedCause(component.input, systematic, correlations);
    } else {
      causes_.push_back({.systematic = systematic,
                         .first_factor = factor_count_,
                         .degrees_of_freedom = component.degrees_of_freedom,
                         .distribution = component.distribution,
                         .components = {index}});
      AddEntry(component.input, factor_count_, {&index, 1}, 1);
      ++factor_count_;
    }
    for (const int placed : causes_.back().components) is_placed[Size(placed)] = 1;
  }
}

void InputUncertainty::AddSharedCause(int first_component) {
  const Component& first = components_[Size(first_component)];
  Cause cause{.kind = Cause::Kind::kShared,
              .systematic = first.systematic,
              .first_factor = factor_count_,
              .degrees_of_freedom = first.degrees_of_freedom,
              .distribution = first.distribution};
  for (size_t i = Size(first_component); i < components_.size(); ++i) {
    if (components_[i].shared != first.shared) continue;
    const int index = static_cast<int>(i);
    cause.components.push_back(index);
    AddEntry(components_[i].input, factor_count_, {&index, 1}, 1);
  }
  causes_.push_back(std::move(cause));
  ++factor_count_;
}

void InputUncertainty::AddCorrelatedCause(int first_input, bool systematic,
                                          const PartCorrelations& correlations) {
  const std::vector<int> set = correlations.SetOf(first_input);
  const int size = static_cast<int>(set.size());
  std::vector<double> factor = correlations.MatrixOf(set);
  FactorSemidefinite(factor, size);
  Cause cause{.kind = Cause::Kind::kCorrelated,
              .systematic = systematic,
              .first_factor = factor_count_,
              .factor_count = size};
  for (int row = 0; row < size; ++row) {
    std::vector<int> members;
    for (size_t i = 0; i < components_.size(); ++i) {
      const Component& component = components_[i];
      if (component.input != set[Size(row)] || component.systematic != systematic ||
          !component.shared.empty()) {
        continue;
      }
      members.push_back(static_cast<int>(i));
      cause.degrees_of_freedom =
          std::min(cause.degrees_of_freedom, component.degrees_of_freedom);
      if (component.distribution != Distribution::kNormal) {
        cause.distribution = component.distribution;
      }
    }
    for (int column = 0; column <= row; ++column) {
      const double share = factor[Size(row) * Size(size) + Size(column)];
      if (share == 0) continue;
      AddEntry(set[Size(row)], factor_count_ + column, members, share);
    }
    cause.components.insert(cause.components.end(), members.begin(), members.end());
  }
  factor_count_ += size;
  causes_.push_back(std::move(cause));
}

void InputUncertainty::AddEntry(int input, int factor, std::span<const int> members,
                                double share) {
  entries_.push_back({.input = input,
                      .factor = factor,
                      .first_member = static_cast<int>(entry_components_.size()),
                      .member_count = static_cast<int>(members.size()),
                      .share = share});
  entry_components_.insert(entry_components_.end(), members.begin(), members.end());
}

void InputUncertainty::Weigh(std::span<const double> standard_uncertainties,
                             std::span<double> weights) const {
  for (size_t e = 0; e < entries_.size(); ++e) {
    const Entry& entry = entries_[e];
    const int* const members = &entry_components_[Size(entry.first_member)];
    double standard = standard_uncertainties[Size(members[0])];
    if (entry.member_count > 1) {
      double variance = 0;
      for (int m = 0; m < entry.member_count; ++m) {
        const double member = standard_uncertainties[Size(members[m])];
        variance += member * member;
      }
      standard = std::sqrt(variance);
    }
    weights[e] = standard * entry.share;
  }
}

void InputUncertainty::Load(std::span<const double> gradient,
                            std::span<const double> weights,
                            std::span<double> loadings) const {
  for (int factor = 0; factor < factor_count_; ++factor) loadings[Size(factor)] = 0;
  for (size_t e = 0; e < entries_.size(); ++e) {
    const Entry& entry = entries_[e];
    loadings[Size(entry.factor)] += gradient[Size(entry.input)] * weights[e];
  }
}

void InputUncertainty::AddUp(std::span<const double> factors,
                             std::span<const double> weights, int count,
                             std::span<double> errors) const {
  std::ranges::fill(errors.first(Size(input_count_) * Size(count)), 0.0);
  for (size_t e = 0; e < entries_.size(); ++e) {
    const double* const factor = &factors[Size(entries_[e].factor) * Size(count)];
    double* const error = &errors[Size(entries_[e].input) * Size(count)];
    const double weight = weights[e];
    for (int draw = 0; draw < count; ++draw) error[draw] += weight * factor[draw];
  }
}

void InputUncertainty::AttributeVariance(std::span<const double> gradient,
                                         std::span<const double> weights,
                                         std::span<const double> loadings,
                                         std::span<double> variances) const {
  for (size_t c = 0; c < components_.size(); ++c) variances[c] = 0;
  for (size_t e = 0; e < entries_.size(); ++e) {
    const Entry& entry = entries_[e];
    const double covariance =
        gradient[Size(entry.input)] * weights[e] * loadings[Size(entry.factor)];
    const int* const members = &entry_components_[Size(entry.first_member)];
    if (entry.member_count == 1) {
      variances[Size(members[0])] += covariance;
      continue;
    }
    double whole = 0;
    for (int m = 0; m < entry.member_count; ++m) {
      const double member = standard_uncertainties_[Size(members[m])];
      whole += member * member;
    }
    if (whole == 0) continue;
    for (int m = 0; m < entry.member_count; ++m) {
      const double member = standard_uncertainties_[Size(members[m])];
      variances[Size(members[m])] += covariance * (member * member / whole);
    }
  }
}

}  // namespace ratebound::points
