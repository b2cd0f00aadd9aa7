#include "clients/cli/commands.h"

#include <functional>
#include <iostream>
#include <thread>

#include "absl/strings/numbers.h"
#include "absl/strings/str_cat.h"
#include "absl/strings/str_split.h"
#include "clients/cli/output.h"
#include "clients/cli/rate_command.h"
#include "clients/cli/recheck_command.h"
#include "clients/cli/render.h"
#include "clients/cli/session.h"
#include "clients/cli/verify_command.h"
#include "engine/base/text.h"
#include "ratebound/v1/release.pb.h"
#include "service/real_engine.h"
#include "service/server.h"

namespace ratebound::cli {
namespace {

using RatingStub = v1::RatingService::Stub;

// Whether figures are wanted in inch-pound units.
absl::StatusOr<bool> InchPound(const Arguments& arguments) {
  const std::string units = arguments.Get("units", "si");
  if (units == "si" || units == "ip") return units == "ip";
  return absl::InvalidArgumentError(
      absl::StrCat("'--units ", base::Printable(units), "' is none of si, ip"));
}

absl::StatusOr<Result> Check(const Arguments& arguments) {
  ASSIGN_OR_RETURN(const bool inch_pound, InchPound(arguments));
  v1::CheckLineOptions options;
  options.set_point(arguments.Get("point"));
  if (arguments.Has("monte-carlo")) {
    int64_t draw_count = 0;
    if (!absl::SimpleAtoi(arguments.Get("monte-carlo"), &draw_count) || draw_count < 1) {
      return absl::InvalidArgumentError(
          "'--monte-carlo' takes a number of draws such as 200000");
    }
    if (!arguments.Has("point")) {
      return absl::InvalidArgumentError("'--monte-carlo' needs a point: give --point ID");
    }
    options.set_monte_carlo_draws(draw_count);
  }
  ASSIGN_OR_RETURN(const auto session, Session::Open(arguments));
  ASSIGN_OR_RETURN(const auto items,
                   (session->SendLine<v1::CheckLineRequest, v1::CheckLineResponse>(
                       arguments.positionals[0], options, &RatingStub::CheckLine)));
  std::vector<v1::Finding> findings;
  std::vector<v1::LogReport> logs;
  std::vector<v1::PointChain> chains;
  v1::CheckSummary summary;
  for (const v1::CheckLineResponse& item : items) {
    if (item.has_finding()) findings.push_back(item.finding());
    if (item.has_log()) logs.push_back(item.log());
    if (item.has_chain()) chains.push_back(item.chain());
    if (item.has_summary()) summary = item.summary();
  }
  const bool all = arguments.Has("all");
  Result result{.exit = summary.failure_count() > 0 ? Exit::kFound : Exit::kWell};
  switch (OutputOf(arguments)) {
    case Output::kText:
      if (chains.empty()) {
        result.out =
            absl::StrCat(LogsText(logs, all), FindingsText(findings, summary, all));
      }
      for (const v1::PointChain& chain : chains) {
        result.out += ChainText(chain, inch_pound, all);
      }
      break;
    case Output::kCsv:
      result.out = chains.empty() ? FindingsCsv(findings) : ChainCsv(chains[0]);
      break;
    case Output::kJson:
      result.out = JsonLines(items);
      break;
  }
  return result;
}

absl::StatusOr<Result> Fit(const Arguments& arguments) {
  ASSIGN_OR_RETURN(const bool inch_pound, InchPound(arguments));
  v1::FitLineOptions options;
  options.set_unit(arguments.Get("unit"));
  ASSIGN_OR_RETURN(const auto session, Session::Open(arguments));
  ASSIGN_OR_RETURN(const auto items,
                   (session->SendLine<v1::FitLineRequest, v1::FitLineResponse>(
                       arguments.positionals[0], options, &RatingStub::FitLine)));
  std::vector<v1::StageMap> maps;
  std::vector<v1::CurveFit> curves;
  for (const v1::FitLineResponse& item : items) {
    if (item.has_map()) maps.push_back(item.map());
    if (item.has_curve()) curves.push_back(item.curve());
  }
  Result result;
  result.complaint = UnfittedStages(maps);
  if (!result.complaint.empty()) result.exit = Exit::kWrongInput;
  switch (OutputOf(arguments)) {
    case Output::kText:
      result.out = FitText(maps, curves, arguments.Has("all"), inch_pound);
      break;
    case Output::kCsv:
      result.out = FitCsv(maps);
      break;
    case Output::kJson:
      result.out = JsonLines(maps) + JsonLines(curves);
      break;
  }
  return result;
}

absl::StatusOr<Result> Table(const Arguments& arguments) {
  v1::TabulateLineOptions options;
  options.set_table(arguments.Get("table"));
  ASSIGN_OR_RETURN(const auto session, Session::Open(arguments));
  ASSIGN_OR_RETURN(const auto items,
                   (session->SendLine<v1::TabulateLineRequest, v1::TabulateLineResponse>(
                       arguments.positionals[0], options, &RatingStub::TabulateLine)));
  Result result;
  for (const v1::TabulateLineResponse& item : items) {
    if (!result.out.empty() && OutputOf(arguments) != Output::kJson) result.out += "\n";
    switch (OutputOf(arguments)) {
      case Output::kText:
        result.out += TableText(item.table());
        break;
      case Output::kCsv:
        result.out += TableCsv(item.table());
        break;
      case Output::kJson:
        result.out += Json(item.table());
        break;
    }
  }
  if (items.empty()) {
    result.complaint =
        absl::StrCat(arguments.positionals[0], "/line.textproto: asks for no tables");
  }
  return result;
}

// The one release that a command made, in text with what became of it.
std::string SummaryOut(const Arguments& arguments, const v1::ReleaseSummary& summary,
                       const std::string& fate) {
  switch (OutputOf(arguments)) {
    case Output::kText:
      return absl::StrCat(ReleaseText(summary), fate);
    case Output::kJson:
      return Json(summary);
    case Output::kCsv:
      break;
  }
  v1::ListReleasesResponse one;
  *one.add_releases()->mutable_release() = summary;
  return ReleasesCsv(one);
}

absl::StatusOr<Result> Build(const Arguments& arguments) {
  ASSIGN_OR_RETURN(const auto session, Session::Open(arguments));
  ASSIGN_OR_RETURN(
      const auto items,
      (session->SendLine<v1::BuildLineRequest, v1::BuildLineResponse>(
          arguments.positionals[0], v1::BuildLineOptions(), &RatingStub::BuildLine)));
  std::string bytes;
  v1::ReleaseSummary summary;
  for (const v1::BuildLineResponse& item : items) {
    bytes += item.release_chunk();
    if (item.has_summary()) summary = item.summary();
  }
  if (arguments.Has("to")) RETURN_IF_ERROR(WriteFile(arguments.Get("to"), bytes, "to"));
  return Result{.out = SummaryOut(arguments, summary, "")};
}

absl::StatusOr<Result> Publish(const Arguments& arguments) {
  ASSIGN_OR_RETURN(const std::vector<FolderFile> files,
                   ReadLineFolder(arguments.positionals[0]));
  ASSIGN_OR_RETURN(const auto session, Session::Open(arguments));
  const auto context = session->Context();
  v1::PublishReleaseResponse response;
  auto stream = session->release().PublishRelease(context.get(), &response);
  const absl::Status sent = Session::Upload<v1::PublishReleaseRequest>(
      *stream, v1::PublishReleaseOptions(), files);
  if (!sent.ok()) {
    context->TryCancel();
    stream->Finish();
    return sent;
  }
  stream->WritesDone();
  RETURN_IF_ERROR(FromGrpc(stream->Finish()));
  if (OutputOf(arguments) == Output::kJson) return Result{.out = Json(response)};
  return Result{.out = SummaryOut(
                    arguments, response.release(),
                    response.already_stored() ? "already in the store\n" : "stored\n")};
}

absl::StatusOr<Result> Releases(const Arguments& arguments) {
  ASSIGN_OR_RETURN(const auto session, Session::Open(arguments));
  v1::ListReleasesRequest request;
  request.set_line(arguments.Get("line"));
  v1::ListReleasesResponse all;
  do {
    const auto context = session->Context();
    v1::ListReleasesResponse page;
    RETURN_IF_ERROR(
        FromGrpc(session->release().ListReleases(context.get(), request, &page)));
    all.mutable_releases()->MergeFrom(page.releases());
    request.set_page_token(page.next_page_token());
  } while (!request.page_token().empty());
  switch (OutputOf(arguments)) {
    case Output::kCsv:
      return Result{.out = ReleasesCsv(all)};
    case Output::kJson:
      return Result{.out = Json(all)};
    case Output::kText:
      break;
  }
  if (!all.releases().empty()) return Result{.out = ReleasesText(all)};
  return Result{.out = arguments.Has("line")
                           ? absl::StrCat("the store holds no release of line '",
                                          base::Printable(arguments.Get("line")), "'\n")
                           : "the store is empty; see ratebound publish --help\n"};
}

absl::StatusOr<Result> Show(const Arguments& arguments) {
  ASSIGN_OR_RETURN(const auto session, Session::Open(arguments));
  v1::GetReleaseRequest request;
  request.set_release(arguments.positionals[0]);
  const auto context = session->Context();
  auto stream = session->release().GetRelease(context.get(), request);
  std::string bytes;
  v1::GetReleaseResponse piece;
  while (stream->Read(&piece)) bytes += piece.release_chunk();
  RETURN_IF_ERROR(FromGrpc(stream->Finish()));
  if (arguments.Has("to")) RETURN_IF_ERROR(WriteFile(arguments.Get("to"), bytes, "to"));
  v1::Release release;
  if (!release.ParseFromString(bytes)) {
    return absl::DataLossError("the release that came back cannot be read");
  }
  if (OutputOf(arguments) == Output::kJson) return Result{.out = Json(release)};
  std::vector<v1::VerifyLineResponse> verdicts;
  for (const v1::Verdict& verdict : release.verdicts()) {
    *verdicts.emplace_back().mutable_verdict() = verdict;
  }
  if (OutputOf(arguments) == Output::kCsv) {
    return Result{.out = VerdictsCsv(verdicts)};
  }
  std::string text =
      absl::StrCat(release.manifest().id(), ": ", release.manifest().title(), "\n",
                   release.manifest().data_source(), "\n\n");
  if (release.ratings_size() > 0) {
    std::vector<v1::RateLineResponse> ratings;
    for (const v1::Rating& rating : release.ratings()) {
      *ratings.emplace_back().mutable_rating() = rating;
    }
    absl::StrAppend(&text, RatingsText(ratings, false), "\n");
  }
  absl::StrAppend(&text, VerdictsText(verdicts));
  return Result{.out = std::move(text)};
}

absl::StatusOr<Result> Diff(const Arguments& arguments) {
  ASSIGN_OR_RETURN(const auto session, Session::Open(arguments));
  v1::CompareReleasesRequest request;
  request.set_from_release(arguments.positionals[0]);
  request.set_to_release(arguments.positionals[1]);
  v1::CompareReleasesResponse changes;
  const auto context = session->Context();
  RETURN_IF_ERROR(
      FromGrpc(session->release().CompareReleases(context.get(), request, &changes)));
  Result result;
  for (const v1::ReleaseChange& change : changes.changes()) {
    if (change.regression()) result.exit = Exit::kFound;
  }
  switch (OutputOf(arguments)) {
    case Output::kText:
      result.out = ChangesText(changes);
      break;
    case Output::kCsv:
      result.out = ChangesCsv(changes);
      break;
    case Output::kJson:
      result.out = Json(changes);
      break;
  }
  return result;
}

// "quantity=85degF,other=20gpm": split here, judged by the service.
template <typename Request>
absl::Status AddConditions(const std::string& text, Request* request) {
  const std::vector<std::string> items =
      absl::StrSplit(text, ',', absl::SkipWhitespace());
  for (const std::string& item : items) {
    const std::vector<std::string> sides = absl::StrSplit(item, absl::MaxSplits('=', 1));
    const std::string right = sides.size() == 2 ? sides[1] : "";
    // The number is the longest start that reads as one, so that "85degF" splits
    // behind 85.
    size_t digits = right.size();
    while (digits > 0 && !base::ParseFiniteNumber(right.substr(0, digits))) --digits;
    if (digits == 0) {
      return absl::InvalidArgumentError(
          absl::StrCat("'", base::Printable(item),
                       "' is no condition; write quantity=value with "
                       "its unit, such as entering_water_temp=85degF"));
    }
    v1::Measure* const measure = request->add_conditions();
    measure->set_quantity(std::string(absl::StripAsciiWhitespace(sides[0])));
    measure->set_value(*base::ParseFiniteNumber(right.substr(0, digits)));
    measure->set_unit(std::string(absl::StripAsciiWhitespace(right.substr(digits))));
  }
  return absl::OkStatus();
}

absl::StatusOr<Result> QueryCurve(const Arguments& arguments) {
  v1::EvaluateCurveRequest request;
  request.set_unit(arguments.positionals[0]);
  request.set_curve(arguments.Get("curve"));
  request.set_release(arguments.Get("release"));
  RETURN_IF_ERROR(AddConditions(arguments.Get("at"), &request));
  if (arguments.Has("liquid")) {
    // "propylene_glycol:0.3"
    const std::vector<std::string> sides =
        absl::StrSplit(arguments.Get("liquid"), absl::MaxSplits(':', 1));
    request.set_liquid(sides[0]);
    if (sides.size() == 2) {
      const auto fraction = base::ParseFiniteNumber(sides[1]);
      if (!fraction) {
        return absl::InvalidArgumentError(
            "'--liquid' takes a name and part by mass such as propylene_glycol:0.3");
      }
      request.set_concentration_fraction(*fraction);
    }
  }
  ASSIGN_OR_RETURN(const bool inch_pound, InchPound(arguments));
  ASSIGN_OR_RETURN(const auto session, Session::Open(arguments));
  v1::EvaluateCurveResponse answer;
  const auto context = session->Context();
  RETURN_IF_ERROR(
      FromGrpc(session->query().EvaluateCurve(context.get(), request, &answer)));
  switch (OutputOf(arguments)) {
    case Output::kText:
      return Result{.out = CurveAnswerText(answer, inch_pound)};
    case Output::kCsv:
      return Result{.out = CurveAnswerCsv(answer, inch_pound)};
    case Output::kJson:
      break;
  }
  return Result{.out = Json(answer)};
}

absl::StatusOr<Result> Query(const Arguments& arguments) {
  if (arguments.Has("curve")) return QueryCurve(arguments);
  if (arguments.Has("liquid")) {
    return absl::InvalidArgumentError("'--liquid' goes with --curve");
  }
  v1::EvaluateRequest request;
  request.mutable_map()->set_unit(arguments.positionals[0]);
  request.mutable_map()->set_mode(arguments.Get("mode"));
  request.mutable_map()->set_stage(arguments.Get("stage"));
  request.mutable_map()->set_release(arguments.Get("release"));
  RETURN_IF_ERROR(AddConditions(arguments.Get("at"), &request));
  if (arguments.Has("confidence")) {
    const auto confidence = base::ParseFiniteNumber(arguments.Get("confidence"));
    if (!confidence) {
      return absl::InvalidArgumentError("'--confidence' takes a number such as 0.95");
    }
    request.set_confidence(*confidence);
  }
  ASSIGN_OR_RETURN(const bool inch_pound, InchPound(arguments));
  ASSIGN_OR_RETURN(const auto session, Session::Open(arguments));
  v1::EvaluateResponse answer;
  const auto context = session->Context();
  RETURN_IF_ERROR(FromGrpc(session->query().Evaluate(context.get(), request, &answer)));
  switch (OutputOf(arguments)) {
    case Output::kText:
      return Result{.out = AnswerText(answer, inch_pound)};
    case Output::kCsv:
      return Result{.out = AnswerCsv(answer, inch_pound)};
    case Output::kJson:
      break;
  }
  return Result{.out = Json(answer)};
}

absl::StatusOr<Result> Serve(const Arguments& arguments) {
  if (arguments.Has("server")) {
    return absl::InvalidArgumentError("'serve' is the server; it takes no --server");
  }
  service::ServerOptions options;
  options.listen = arguments.Get("listen", "127.0.0.1:50551");
  options.store_path = arguments.Get("store", DefaultStorePath());
  options.tls_certificate_file = arguments.Get("tls-certificate");
  options.tls_key_file = arguments.Get("tls-key");
  if (arguments.Has("workers") &&
      !absl::SimpleAtoi(arguments.Get("workers"), &options.build_workers)) {
    return absl::InvalidArgumentError("'--workers' takes a whole number such as 2");
  }
  options.log = [](std::string_view line) { std::cerr << line << std::endl; };
  RETURN_IF_ERROR(MakeFolderOf(options.store_path));
  service::SignalGuard signals;
  ASSIGN_OR_RETURN(service::Engine engine, service::RealEngine());
  ASSIGN_OR_RETURN(const auto server, service::Server::Start(std::move(engine), options));
  if (!arguments.Has("quiet")) {
    std::cerr << "serving on port " << server->port() << ", store " << options.store_path
              << "; there is no authentication, so listen where only your own tools reach"
              << std::endl;
  }
  server->RunUntilSignal();
  return Result{};
}

}  // namespace

Exit ExitOf(const absl::Status& status) {
  switch (status.code()) {
    case absl::StatusCode::kOk:
      return Exit::kWell;
    case absl::StatusCode::kInvalidArgument:
    case absl::StatusCode::kNotFound:
    case absl::StatusCode::kAlreadyExists:
    case absl::StatusCode::kFailedPrecondition:
    case absl::StatusCode::kOutOfRange:
      return Exit::kWrongInput;
    default:
      return Exit::kCouldNot;
  }
}

absl::StatusOr<Result> Run(const Arguments& arguments) {
  using Handler = absl::StatusOr<Result> (*)(const Arguments&);
  static constexpr std::pair<const char*, Handler> kHandlers[] = {
      {"check", Check},
      {"fit", Fit},
      {"rate", Rate},
      {"verify", Verify},
      {"recheck", RecheckCertificates},
      {"table", Table},
      {"build", Build},
      {"publish", Publish},
      {"releases", Releases},
      {"show", Show},
      {"diff", Diff},
      {"query", Query},
      {"procedures", Procedures},
      {"serve", Serve},
  };
  for (const auto& [name, handler] : kHandlers) {
    if (arguments.command == name) return handler(arguments);
  }
  return absl::InvalidArgumentError(
      absl::StrCat("there is no command '", arguments.command, "'"));
}

}  // namespace ratebound::cli
