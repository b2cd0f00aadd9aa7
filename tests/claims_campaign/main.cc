// Prints how often verdicts err over many simulated campaigns; exits 1 where a rate is
// above what is tolerated: itself with 10,000 campaigns or more, with fewer by more than
// four standard deviations of its count.
//
// Tolerated at a first look of 5 % are 5.7 %, and as shipped, at 2.5 %, as much in
// proportion: bounds from few test days are approximate.
//
//   claims_campaign [CAMPAIGNS [PART OF A NAME]]     10,000 of each plan where not given
#include <algorithm>
#include <atomic>
#include <cmath>
#include <cstdio>
#include <string>
#include <thread>
#include <vector>

#include "absl/strings/match.h"
#include "absl/strings/numbers.h"
#include "absl/strings/str_cat.h"
#include "absl/strings/str_format.h"
#include "tests/claims_campaign/campaign.h"
#include "tests/claims_campaign/plans.h"

namespace {

using ratebound::claim::CampaignPlan;
using ratebound::claim::ProofModel;
using ratebound::claim::Rates;

constexpr double kTolerated = 0.057;  // at 5 %
constexpr double kNominal = 0.05;
constexpr int kEnough = 10'000;  // campaigns: the count itself is held to the limit
constexpr int kThreads = 2;

// The parts in their order, whichever thread ran them.
Rates RunInThreads(const CampaignPlan& plan) {
  const int parts = (plan.campaigns + ratebound::claim::kCampaignsOfAPart - 1) /
                    ratebound::claim::kCampaignsOfAPart;
  std::vector<Rates> of_part(parts);
  std::atomic<int> next{0};
  const auto work = [&] {
    for (int part; (part = next++) < parts;) {
      const int before = part * ratebound::claim::kCampaignsOfAPart;
      of_part[part] =
          RunPart(plan, part,
                  std::min(ratebound::claim::kCampaignsOfAPart, plan.campaigns - before));
    }
  };
  std::vector<std::thread> threads;
  for (int t = 1; t < kThreads; ++t) threads.emplace_back(work);
  work();
  for (std::thread& thread : threads) thread.join();
  Rates rates;
  for (const Rates& part : of_part) rates.Add(part);
  return rates;
}

std::string ModelName(const CampaignPlan& plan) {
  switch (plan.model) {
    case ProofModel::kDeclared:
      return absl::StrCat("declared ", plan.degree);
    case ProofModel::kOneAbove:
      return "one above";
    case ProofModel::kOneAboveRule:
      return "above, 1-SE";
  }
  return "";
}

bool TooOften(int count, int campaigns, double tolerated) {
  const double chance =
      campaigns < kEnough ? 4 * std::sqrt(campaigns * tolerated * (1 - tolerated)) : 0;
  return count > campaigns * tolerated + chance;
}

}  // namespace

int main(int argc, char** argv) {
  int campaigns = 10'000;
  if (argc > 3 || (argc >= 2 && !absl::SimpleAtoi(argv[1], &campaigns)) ||
      campaigns < 1) {
    absl::FPrintF(stderr, "usage: claims_campaign [CAMPAIGNS [PART OF A NAME]]\n");
    return 2;
  }
  const std::string only = argc == 3 ? argv[2] : "";
  absl::PrintF(
      "Claims at the edge: PROVEN and REFUTED in %% of %d campaigns, with a first look "
      "at 5 %% and as\nshipped (95 %%: a first look at 2.5 %%). Regional: the band with "
      "the constant of the region, on a\ngrid. Power: claims moved by the distance, true "
      "and PROVEN, false and REFUTED, as shipped.\n\n",
      campaigns);
  absl::PrintF(
      "%-58s %-11s %2s %4s %4s | %7s %7s %8s | %7s %7s | %5s | %5s %7s %7s %8s\n", "plan",
      "model", "K", "days", "bias", "PROVEN", "REFUTED", "regional", "PROVEN", "REFUTED",
      "MODEL", "dist", "PROVEN", "REFUTED", "regional");
  absl::PrintF("%-58s %-11s %2s %4s %4s | %24s | %15s | %5s | %30s\n", "", "", "", "", "",
               "first look at 5 %", "as shipped", "", "power, as shipped");
  bool sound = true;
  for (CampaignPlan plan : ratebound::claim::AllPlans()) {
    if (!absl::StrContains(plan.name, only)) continue;
    plan.campaigns = campaigns;
    const Rates rates = RunInThreads(plan);
    const auto percent = [](int count, int of) {
      return of > 0 ? absl::StrFormat("%.2f", 100.0 * count / of) : std::string("-");
    };
    const int n = rates.campaigns, asked = rates.power_asked;
    const double shipped = kTolerated * rates.level / kNominal;
    const bool ok =
        rates.undecided == 0 && !TooOften(rates.nominal_proven, n, kTolerated) &&
        !TooOften(rates.nominal_refuted, n, kTolerated) &&
        !TooOften(rates.nominal_refuted_regional, n, kTolerated) &&
        !TooOften(rates.proven, n, shipped) && !TooOften(rates.refuted, n, shipped);
    sound = sound && ok;
    const bool above = rates.nominal_proven > kTolerated * n;
    const bool regional =
        plan.stages == 1 && !plan.biased && plan.quantity != "coefficient_of_performance";
    absl::PrintF(
        "%-58s %-11s %2d %4s %4s | %7s %7s %8s | %7s %7s | %5s | %5s %7s %7s %8s%s\n",
        plan.name, ModelName(plan), plan.stages,
        plan.correlation < 0 ? "-" : absl::StrCat(plan.days), plan.biased ? "on" : "-",
        percent(rates.nominal_proven, n), percent(rates.nominal_refuted, n),
        regional ? percent(rates.nominal_refuted_regional, n) : "-",
        percent(rates.proven, n), percent(rates.refuted, n), percent(rates.model, n),
        absl::StrFormat("%.0f %%", 100 * plan.power_distance),
        percent(rates.power_proven, asked), percent(rates.power_refuted, asked),
        regional ? percent(rates.power_refuted_regional, asked) : "-",
        ok ? (above ? "  over 5.7" : "") : "  ABOVE");
    std::fflush(stdout);
  }
  return sound ? 0 : 1;
}
