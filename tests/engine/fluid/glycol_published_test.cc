// Glycols against values of handbooks, and beside them the second source of
// tests/data/glycol-properties against the same values, so that the choice between the
// two can be seen. Handbook values are from memory and each says so.
#include <cmath>
#include <functional>
#include <map>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "engine/base/text.h"
#include "engine/fluid/glycol.h"
#include "gtest/gtest.h"
#include "tests/engine/fluid/liquid_table.h"
#include "tests/testing/outside.h"

namespace ratebound::fluid {
namespace {

using ratebound::testing::OutsideCheck;

std::string FileStem(Glycol glycol) {
  return glycol == Glycol::kEthylene ? "ethylene" : "propylene";
}

// The second source, linear in concentration between its columns.
class SecondSource {
 public:
  explicit SecondSource(Glycol glycol) {
    const std::string stem = "glycol-properties/" + FileStem(glycol) + "-glycol";
    for (const LiquidRow& row : ReadLiquidTable(stem + ".csv")) {
      for (const char* column : {"rho_kg_m3", "cp_J_kgK"}) {
        properties_[column][row.Number("t_c")][row.Number("mass_pct")] =
            row.Number(column);
      }
    }
    for (const LiquidRow& row : ReadLiquidTable(stem + "-freeze.txt", '\t')) {
      freezing_[row.Number("X")] = row.Number("Tf");
    }
  }

  std::optional<double> At(const std::string& column, double percent, double t_c) const {
    const auto& by_t = properties_.at(column);
    const auto at = by_t.find(t_c);
    return at == by_t.end() ? std::nullopt : Between(at->second, percent);
  }
  std::optional<double> FreezingPoint(double percent) const {
    return Between(freezing_, percent);
  }

 private:
  static std::optional<double> Between(const std::map<double, double>& values, double x) {
    const auto above = values.lower_bound(x);
    if (above == values.end()) return std::nullopt;
    if (above->first == x) return above->second;
    if (above == values.begin()) return std::nullopt;
    const auto below = std::prev(above);
    const double part = (x - below->first) / (above->first - below->first);
    return below->second + part * (above->second - below->second);
  }

  std::map<std::string, std::map<double, std::map<double, double>>> properties_;
  std::map<double, double> freezing_;
};

struct Anchor {
  double percent;  // by mass
  double t_c;      // of a freezing point: not used
  double published;
};

struct Anchors {
  std::string name;
  std::string source;
  bool relative;
  double tolerance;         // of the polynomials
  double second_tolerance;  // of the second source
  std::vector<Anchor> values;
};

// Both sources against the anchors that both reach; says which is nearer, by the sum of
// squares.
double RatioOfSquares(const Anchors& anchors,
                      const std::function<double(const Anchor&)>& ours,
                      const std::function<std::optional<double>(const Anchor&)>& second) {
  OutsideCheck of_ours({.name = "fluid." + anchors.name,
                        .source = anchors.source,
                        .tolerance = anchors.tolerance});
  OutsideCheck of_second({.name = "fluid." + anchors.name + "_second_source",
                          .source = anchors.source,
                          .tolerance = anchors.second_tolerance});
  double square_ours = 0;
  double square_second = 0;
  for (const Anchor& anchor : anchors.values) {
    const std::string what = base::ShortestText(anchor.percent) + " % at " +
                             base::ShortestText(anchor.t_c) + " degC";
    const auto add = [&](OutsideCheck& check, double value) {
      if (anchors.relative) {
        check.Relative(what, value, anchor.published);
        return value / anchor.published - 1;
      }
      check.Absolute(what, value, anchor.published);
      return value - anchor.published;
    };
    const double deviation = add(of_ours, ours(anchor));
    const std::optional<double> other = second(anchor);
    if (!other) continue;
    const double deviation_second = add(of_second, *other);
    square_ours += deviation * deviation;
    square_second += deviation_second * deviation_second;
  }
  return square_ours / square_second;
}

double SpecificHeatRatio(Glycol glycol, const Anchors& anchors) {
  const SecondSource second(glycol);
  return RatioOfSquares(
      anchors,
      [&](const Anchor& a) { return GlycolSpecificHeat(glycol, a.percent / 100, a.t_c); },
      [&](const Anchor& a) { return second.At("cp_J_kgK", a.percent, a.t_c); });
}

double FreezingRatio(Glycol glycol, const Anchors& anchors) {
  const SecondSource second(glycol);
  return RatioOfSquares(
      anchors,
      [&](const Anchor& a) { return GlycolFreezingPoint(glycol, a.percent / 100); },
      [&](const Anchor& a) { return second.FreezingPoint(a.percent); });
}

// The handbook's percentages are by volume: 10, 20, ... 50, turned by the pairs of mass
// and volume in its tables of freezing points.
TEST(GlycolPublished, SpecificHeatOfPropyleneGlycol) {
  const double ratio = SpecificHeatRatio(
      Glycol::kPropylene,
      {.name = "propylene_glycol_specific_heat",
       .source = "ASHRAE Handbook Fundamentals, chapter 31, propylene glycol by volume "
                 "(values from memory)",
       .relative = true,
       .tolerance = 0.004,
       .second_tolerance = 0.03,
       .values = {{10.4, 0, 4042},
                  {20.6, 0, 3929},
                  {30.6, 0, 3793},
                  {40.4, 0, 3636},
                  {50.1, 0, 3455},
                  {30.6, 20, 3841},
                  {40.4, 20, 3698},
                  {50.1, 20, 3528}}});
  // Ten times nearer in root mean square.
  EXPECT_LT(ratio, 0.01);
}

TEST(GlycolPublished, SpecificHeatOfEthyleneGlycol) {
  const double ratio = SpecificHeatRatio(
      Glycol::kEthylene,
      {.name = "ethylene_glycol_specific_heat",
       .source = "ASHRAE Handbook Fundamentals, chapter 31, ethylene glycol by volume "
                 "(values from memory)",
       .relative = true,
       .tolerance = 0.025,
       .second_tolerance = 0.03,
       .values = {{11.2, 0, 3937},
                  {22.0, 0, 3769},
                  {32.3, 0, 3589},
                  {42.5, 0, 3401},
                  {52.4, 0, 3203},
                  {11.2, 20, 3972},
                  {22.0, 20, 3815},
                  {32.3, 20, 3645},
                  {42.5, 20, 3468},
                  {52.4, 20, 3281}}});
  EXPECT_LT(ratio, 1);
}

TEST(GlycolPublished, DensityOfEthyleneGlycol) {
  const SecondSource second(Glycol::kEthylene);
  const double ratio = RatioOfSquares(
      {.name = "ethylene_glycol_density",
       .source = "CRC Handbook, concentrative properties of aqueous solutions, 20 degC "
                 "(values from memory)",
       .relative = true,
       .tolerance = 0.0006,
       .second_tolerance = 0.0015,
       .values = {{5, 20, 1004.4},
                  {10, 20, 1010.8},
                  {20, 20, 1024.1},
                  {24, 20, 1029.6},
                  {28, 20, 1035.0},
                  {32, 20, 1040.5},
                  {40, 20, 1051.4},
                  {52, 20, 1067.0},
                  {60, 20, 1076.5}}},
      [](const Anchor& a) {
        return GlycolDensity(Glycol::kEthylene, a.percent / 100, a.t_c);
      },
      [&](const Anchor& a) { return second.At("rho_kg_m3", a.percent, a.t_c); });
  EXPECT_LT(ratio, 0.5);
}

TEST(GlycolPublished, FreezingPointOfEthyleneGlycol) {
  const double ratio = FreezingRatio(
      Glycol::kEthylene,
      {.name = "ethylene_glycol_freezing_point",
       .source =
           "CRC Handbook, concentrative properties of aqueous solutions (values from "
           "memory)",
       .relative = false,
       .tolerance = 0.1,
       .second_tolerance = 0.3,
       .values = {{5, 0, -1.58},
                  {10, 0, -3.37},
                  {20, 0, -7.93},
                  {24, 0, -10.28},
                  {28, 0, -13.03},
                  {32, 0, -16.23},
                  {36, 0, -19.82},
                  {40, 0, -23.84},
                  {44, 0, -28.32},
                  {48, 0, -33.30},
                  {52, 0, -38.81},
                  {56, 0, -44.83},
                  {60, 0, -51.23}}});
  EXPECT_LT(ratio, 1);
}

// Here it is the second source that is a little nearer.
TEST(GlycolPublished, FreezingPointOfPropyleneGlycol) {
  const double ratio = FreezingRatio(
      Glycol::kPropylene,
      {.name = "propylene_glycol_freezing_point",
       .source = "ASHRAE Handbook Fundamentals, chapter 31, by mass (values from memory)",
       .relative = false,
       .tolerance = 1.5,
       .second_tolerance = 1.1,
       .values = {{15, 0, -5.1},
                  {20, 0, -7.1},
                  {25, 0, -9.6},
                  {30, 0, -12.7},
                  {35, 0, -16.4},
                  {40, 0, -21.1},
                  {45, 0, -26.7},
                  {50, 0, -33.5}}});
  EXPECT_GT(ratio, 1);
}

// 1.86 K for each mole of solute in a kilogram of water, in the limit of none.
TEST(GlycolPublished, FreezingPointOfThinSolutions) {
  OutsideCheck check({.name = "fluid.glycol_cryoscopic_law",
                      .source =
                          "cryoscopic constant of water, 1.86 K kg/mol (from memory); "
                          "ideal solution",
                      .tolerance = 0.08});
  for (const auto& [glycol, kg_per_mol] :
       {std::pair{Glycol::kEthylene, 0.062068}, {Glycol::kPropylene, 0.076094}}) {
    for (const double fraction : {0.05, 0.08, 0.10}) {
      const double mol_per_kg = fraction / (1 - fraction) / kg_per_mol;
      check.Relative(FileStem(glycol) + " " + base::ShortestText(fraction),
                     GlycolFreezingPoint(glycol, fraction), -1.86 * mol_per_kg);
    }
  }
}

// Heat capacity that the glycol adds, each gram of it, lies between that of the pure
// liquid and that at infinite dilution, both measured by calorimeters. Of a thin solution
// the polynomials are in the lower half of that span and the second source in the upper.
TEST(GlycolPublished, HeatCapacityThatGlycolAdds) {
  OutsideCheck check({.name = "fluid.glycol_apparent_heat_capacity",
                      .source =
                          "pure liquids: CRC Handbook; infinite dilution: Jolicoeur "
                          "and Lacroix, Can. J. Chem. 54 (1976) 624 (all from memory, "
                          "25 degC, the limit of propylene glycol to about 2 %)"});
  struct Span {
    Glycol glycol;
    double pure_j_kg_k;
    double dilute_j_kg_k;
  };
  for (const Span& span : {Span{Glycol::kEthylene, 149.8 / 0.062068, 193 / 0.062068},
                           Span{Glycol::kPropylene, 190.8 / 0.076094, 280 / 0.076094}}) {
    for (double fraction = 0.05; fraction < 0.605; fraction += 0.05) {
      const double cp = GlycolSpecificHeat(span.glycol, fraction, 25.0);
      const double apparent = (cp - (1 - fraction) * 4181.9) / fraction;
      check.Holds(FileStem(span.glycol) + " " + base::ShortestText(fraction),
                  apparent > span.pure_j_kg_k && apparent < span.dilute_j_kg_k);
    }
  }
}

// How far the two sources are apart over the whole of the second: the bands are what was
// found and would show a slip in a coefficient.
TEST(GlycolPublished, TheTwoSourcesAreThisFarApart) {
  struct Band {
    Glycol glycol;
    double density, specific_heat, conductivity, viscosity;
  };
  for (const Band& band : {Band{Glycol::kEthylene, 0.0013, 0.009, 0.0035, 0.045},
                           Band{Glycol::kPropylene, 0.0008, 0.042, 0.0055, 0.14}}) {
    const std::string stem = FileStem(band.glycol);
    const auto facts = [&](const char* property, double tolerance) {
      return testing::OutsideFacts{
          .name = "fluid." + stem + "_glycol_sources_" + property,
          .source = "tables after Melinder (tests/data/glycol-properties)",
          .tolerance = tolerance};
    };
    OutsideCheck density(facts("density", band.density));
    OutsideCheck specific_heat(facts("specific_heat", band.specific_heat));
    OutsideCheck conductivity(facts("conductivity", band.conductivity));
    OutsideCheck viscosity(facts("viscosity", band.viscosity));
    for (const LiquidRow& row :
         ReadLiquidTable("glycol-properties/" + stem + "-glycol.csv")) {
      const double fraction = row.Number("mass_pct") / 100;
      const double t = row.Number("t_c");
      const std::string what = row.Text("mass_pct") + " % at " + row.Text("t_c");
      density.Relative(what, GlycolDensity(band.glycol, fraction, t),
                       row.Number("rho_kg_m3"));
      specific_heat.Relative(what, GlycolSpecificHeat(band.glycol, fraction, t),
                             row.Number("cp_J_kgK"));
      conductivity.Relative(what, GlycolConductivity(band.glycol, fraction, t),
                            row.Number("k_W_mK"));
      viscosity.Relative(what, GlycolViscosity(band.glycol, fraction, t),
                         row.Number("mu_Pa_s"));
    }
  }
}

// Computed apart from this code from the same coefficients; no published example.
TEST(GlycolRegression, Melinder) {
  struct Case {
    Glycol glycol;
    double percent, t_c, rho_kg_m3, cp_j_kg_k, k_w_m_k, mu_mpa_s;
  };
  constexpr Case kCases[] = {{Glycol::kEthylene, 30, 0, 1044.97, 3658.1, .4459, 4.298},
                             {Glycol::kEthylene, 30, 20, 1038.05, 3718.3, .4649, 2.166},
                             {Glycol::kEthylene, 50, 20, 1064.93, 3312.0, .3891, 3.693},
                             {Glycol::kPropylene, 30, 0, 1031.56, 3802.6, .4285, 7.117},
                             {Glycol::kPropylene, 30, 20, 1023.78, 3857.0, .4444, 2.965},
                             {Glycol::kPropylene, 50, 20, 1039.06, 3530.2, .3595, 6.394}};
  OutsideCheck check({.name = "fluid.glycol_melinder",
                      .source = "coefficients of Melinder 2010, computed independently",
                      .kind = "regression",
                      .tolerance = 2.5e-4});
  for (const Case& c : kCases) {
    const std::string what = FileStem(c.glycol) + " " + base::ShortestText(c.percent) +
                             " % at " + base::ShortestText(c.t_c) + ", ";
    const double fraction = c.percent / 100;
    check.Relative(what + "rho", GlycolDensity(c.glycol, fraction, c.t_c), c.rho_kg_m3);
    check.Relative(what + "cp", GlycolSpecificHeat(c.glycol, fraction, c.t_c),
                   c.cp_j_kg_k);
    check.Relative(what + "k", GlycolConductivity(c.glycol, fraction, c.t_c), c.k_w_m_k);
    check.Relative(what + "mu", 1000 * GlycolViscosity(c.glycol, fraction, c.t_c),
                   c.mu_mpa_s);
  }
  OutsideCheck freezing(
      {.name = "fluid.glycol_freezing_melinder",
       .source = "coefficients of Melinder 2010, computed independently",
       .kind = "regression",
       .tolerance = 0.0051});
  freezing.Absolute("ethylene 30 %", GlycolFreezingPoint(Glycol::kEthylene, 0.30),
                    -14.58);
  freezing.Absolute("ethylene 50 %", GlycolFreezingPoint(Glycol::kEthylene, 0.50),
                    -35.99);
  freezing.Absolute("propylene 30 %", GlycolFreezingPoint(Glycol::kPropylene, 0.30),
                    -12.79);
  freezing.Absolute("propylene 50 %", GlycolFreezingPoint(Glycol::kPropylene, 0.50),
                    -32.19);
}

}  // namespace
}  // namespace ratebound::fluid
