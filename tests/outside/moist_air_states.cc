// Prints seeded states of moist air and our answers, as CSV, for another library to be
// asked the same: moist_air_live.js.
//
//   moist_air_states COUNT
#include <cstdio>
#include <cstdlib>
#include <string>

#include "engine/base/text.h"
#include "engine/fluid/moist_air_state.h"
#include "tests/testing/random.h"

namespace ratebound::fluid {
namespace {

template <Formulation Form>
bool Print(const char* name, int count) {
  testing::Random random("MOIST_AIR_STATES");
  for (int i = 0; i < count; ++i) {
    const double t = Form::kMeltingPoint + Form::kKelvin * random.Uniform(-40, 60);
    const double p = Form::kPascal * random.Uniform(60e3, 110e3);
    const double relative_humidity = random.Uniform(0.02, 0.999);
    const auto state =
        SolveMoistAir<Form>(p, {MoistAirProperty::kDryBulb, t},
                            {MoistAirProperty::kRelativeHumidity, relative_humidity});
    if (!state.ok()) {
      std::fprintf(stderr, "%s\n", state.status().ToString().c_str());
      return false;
    }
    std::string line = name;
    for (const double value :
         {p, t, relative_humidity, state->humidity_ratio, state->wet_bulb,
          state->dew_point.value_or(0), state->enthalpy, state->specific_volume}) {
      line += ',' + base::ShortestText(value);
    }
    std::puts(line.c_str());
  }
  return true;
}

}  // namespace
}  // namespace ratebound::fluid

int main(int argc, char** argv) {
  const int count = argc > 1 ? std::atoi(argv[1]) : 0;
  if (count <= 0) {
    std::fprintf(stderr, "usage: moist_air_states COUNT\n");
    return 2;
  }
  std::puts(
      "formulation,pressure,dry_bulb,relative_humidity,humidity_ratio,wet_bulb,dew_point,"
      "enthalpy,specific_volume");
  using namespace ratebound::fluid;
  return Print<Si>("SI", count) && Print<InchPound>("IP", count) ? 0 : 1;
}
