#include "clients/cli/rate_command.h"

#include <algorithm>
#include <vector>

#include "absl/strings/numbers.h"
#include "absl/strings/str_cat.h"
#include "clients/cli/output.h"
#include "clients/cli/render.h"
#include "clients/cli/session.h"
#include "engine/base/status_macros.h"
#include "engine/base/text.h"

namespace ratebound::cli {
namespace {

using RatingStub = v1::RatingService::Stub;

absl::Status CheckAgainst(const Arguments& arguments) {
  if (!arguments.Has("against")) return absl::OkStatus();
  if (!arguments.Has("procedure")) {
    return absl::InvalidArgumentError(
        "'--against' compares with one procedure: give --procedure ID, too");
  }
  if (arguments.Get("against") == arguments.Get("procedure")) {
    return absl::InvalidArgumentError(
        "'--against' names the procedure itself; name another, such as its other "
        "edition");
  }
  return absl::OkStatus();
}

bool HasMinimums(const std::vector<v1::RateLineResponse>& items) {
  return std::any_of(items.begin(), items.end(), [](const v1::RateLineResponse& item) {
    return item.rating().minimum_verdicts_size() +
               item.against().minimum_verdicts_size() >
           0;
  });
}

bool BelowMinimum(const v1::Rating& rating) {
  return std::any_of(rating.minimum_verdicts().begin(), rating.minimum_verdicts().end(),
                     [](const v1::MinimumVerdict& verdict) {
                       return verdict.outcome() == v1::MINIMUM_OUTCOME_DOES_NOT_MEET;
                     });
}

}  // namespace

absl::StatusOr<Result> Rate(const Arguments& arguments) {
  RETURN_IF_ERROR(CheckAgainst(arguments));
  v1::RateLineOptions options;
  options.set_unit(arguments.Get("unit"));
  options.set_procedure(arguments.Get("procedure"));
  options.set_against_procedure(arguments.Get("against"));
  options.set_published_only(arguments.Has("published-only"));
  options.set_minimum_day(arguments.Get("minimums-on"));
  if (arguments.Has("monte-carlo")) {
    int64_t draw_count = 0;
    if (!absl::SimpleAtoi(arguments.Get("monte-carlo"), &draw_count) || draw_count < 1) {
      return absl::InvalidArgumentError(
          "'--monte-carlo' takes a number of draws such as 100000");
    }
    options.set_monte_carlo_draws(draw_count);
  }
  ASSIGN_OR_RETURN(const auto session, Session::Open(arguments));
  ASSIGN_OR_RETURN(const auto items,
                   (session->SendLine<v1::RateLineRequest, v1::RateLineResponse>(
                       arguments.positionals[0], options, &RatingStub::RateLine)));
  Result result;
  for (const v1::RateLineResponse& item : items) {
    if (BelowMinimum(item.rating()) || BelowMinimum(item.against())) {
      result.exit = Exit::kFound;
    }
  }
  if (arguments.Has("bins-to")) {
    RETURN_IF_ERROR(WriteFile(arguments.Get("bins-to"), BinsCsv(items), "bins-to"));
  }
  switch (OutputOf(arguments)) {
    case Output::kText:
      if (items.empty()) {
        result.out =
            "line.textproto lists no procedures to rate by; give --procedure ID, or see "
            "ratebound procedures\n";
        break;
      }
      result.out = RatingsText(items, arguments.Has("explain"));
      if (arguments.Has("minimums-on") && !HasMinimums(items)) {
        result.out +=
            "No document of minimum levels speaks of these procedures; see ratebound "
            "procedures.\n";
      }
      break;
    case Output::kCsv:
      result.out = RatingsCsv(items);
      break;
    case Output::kJson:
      result.out = JsonLines(items);
      break;
  }
  return result;
}

namespace {

absl::StatusOr<Result> ShowProcedure(const Arguments& arguments, Session& session) {
  if (OutputOf(arguments) == Output::kCsv) {
    return absl::InvalidArgumentError(
        "'--output csv': a file is no table; take text for the file itself, or json");
  }
  v1::GetProcedureRequest request;
  request.set_id(arguments.positionals[1]);
  v1::GetProcedureResponse response;
  const auto context = session.Context();
  RETURN_IF_ERROR(
      FromGrpc(session.rating().GetProcedure(context.get(), request, &response)));
  if (OutputOf(arguments) == Output::kJson) return Result{.out = Json(response)};
  return Result{.out = response.text()};
}

}  // namespace

absl::StatusOr<Result> Procedures(const Arguments& arguments) {
  const std::vector<std::string>& words = arguments.positionals;
  if (!words.empty() && (words.size() != 2 || words[0] != "show")) {
    return absl::InvalidArgumentError(
        words[0] == "show"
            ? "'procedures show' takes the id of one procedure, method or document of "
              "minimum levels; see ratebound procedures"
            : absl::StrCat("'procedures ", base::Printable(words[0]),
                           "' is not known; write procedures, or procedures show ID"));
  }
  ASSIGN_OR_RETURN(const auto session, Session::Open(arguments));
  if (!words.empty()) return ShowProcedure(arguments, *session);
  v1::ListProceduresResponse procedures;
  const auto context = session->Context();
  RETURN_IF_ERROR(FromGrpc(session->rating().ListProcedures(
      context.get(), v1::ListProceduresRequest(), &procedures)));
  switch (OutputOf(arguments)) {
    case Output::kText:
      return Result{.out = ProceduresText(procedures)};
    case Output::kCsv:
      return Result{.out = ProceduresCsv(procedures)};
    case Output::kJson:
      break;
  }
  return Result{.out = Json(procedures)};
}

}  // namespace ratebound::cli
