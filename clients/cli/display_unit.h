// The unit a person would write a quantity in, and its value there.
//
// Example:
//   Displayed flow = Display("water_flow", 0.0019, false);    // 1.9 L/s
#ifndef RATEBOUND_CLIENTS_CLI_DISPLAY_UNIT_H_
#define RATEBOUND_CLIENTS_CLI_DISPLAY_UNIT_H_

#include <string>
#include <string_view>

namespace ratebound::cli {

struct Displayed {
  double value = 0;
  double scale = 1;  // what a difference in SI is multiplied with
  std::string unit;
};

// An unknown quantity keeps its value, without a unit.
Displayed Display(std::string_view quantity, double value_si, bool inch_pound);

}  // namespace ratebound::cli

#endif  // RATEBOUND_CLIENTS_CLI_DISPLAY_UNIT_H_
