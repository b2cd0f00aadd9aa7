// Carries a formula of a few arguments to dual numbers of any width: its own few partial
// derivatives are found once, and the chain rule does the rest.
//
// Example:
//   T Density(const T& t_c, const T& p_pa) {
//     return Chained<T>([](const auto& t, const auto& p) { ... }, t_c, p_pa);
//   }
//
// A gradient over eight inputs then costs the formula over two and sixteen products. The
// value has the same bits as the formula on doubles, for formulas that only use what
// engine/number offers for both.
#ifndef RATEBOUND_ENGINE_FLUID_LIQUID_CHAIN_H_
#define RATEBOUND_ENGINE_FLUID_LIQUID_CHAIN_H_

#include <cstddef>
#include <type_traits>
#include <utility>

#include "engine/number/dual.h"

namespace ratebound::fluid {

template <typename T>
inline constexpr bool kIsDoubleOrDual = std::is_same_v<T, double>;
template <int N>
inline constexpr bool kIsDoubleOrDual<number::Dual<N>> = true;

// T is double or number::Dual<N>; each argument is a T or a double, which is a constant.
// `formula` is called with doubles, or with duals as wide as it has arguments.
template <typename T, typename Formula, typename... Arguments>
T Chained(const Formula& formula, const Arguments&... arguments) {
  static_assert(kIsDoubleOrDual<T>,
                "write 7.0, not 7: a property is of doubles or duals");
  static_assert(
      ((std::is_same_v<Arguments, T> || std::is_same_v<Arguments, double>)&&...),
      "all arguments are doubles or duals of one width");
  if constexpr (std::is_same_v<T, double>) {
    return formula(arguments...);
  } else {
    using Local = number::Dual<static_cast<int>(sizeof...(Arguments))>;
    int next = 0;
    // Braces fix the order of evaluation, which a call's parentheses do not.
    const Local locals[] = {Local::Variable(number::ValueOf(arguments), next++)...};
    const Local local = [&]<std::size_t... kI>(std::index_sequence<kI...>) {
      return formula(locals[kI]...);
    }
    (std::index_sequence_for<Arguments...>{});
    T result(local.value);
    int index = 0;
    const auto add = [&](const auto& argument) {
      const double slope = local.derivative[index++];
      if constexpr (!std::is_same_v<std::decay_t<decltype(argument)>, double>) {
        for (std::size_t i = 0; i < result.derivative.size(); ++i) {
          result.derivative[i] += slope * argument.derivative[i];
        }
      }
    };
    (add(arguments), ...);
    return result;
  }
}

}  // namespace ratebound::fluid

#endif  // RATEBOUND_ENGINE_FLUID_LIQUID_CHAIN_H_
