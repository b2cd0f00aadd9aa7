// A whole line folder in, everything computed from it out: points, findings, maps,
// ratings, verdicts and tables.
//
// Example:
//   BuildRequest request{.files = files, .procedures = published};
//   ASSIGN_OR_RETURN(document::Release release, Build(request));
//
// Errors: INVALID_ARGUMENT with every fault of every file (engine/base/fault.h), which in
// a whole release includes a stage that its points cannot carry a surface of; CANCELLED
// when `stop` said so. A refuted claim or a refused rating is part of the release, not an
// error. Determinism: the release has the same bits for any number of threads and any
// order of files. Thread-safety: Build may run concurrently with itself; `stop` is called
// from several threads.
#ifndef RATEBOUND_ENGINE_RELEASE_BUILD_H_
#define RATEBOUND_ENGINE_RELEASE_BUILD_H_

#include <cstdint>
#include <functional>
#include <span>
#include <string>
#include <vector>

#include "absl/status/statusor.h"
#include "engine/claim/certify.h"
#include "engine/document/method.h"
#include "engine/document/minimum.h"
#include "engine/document/release.h"
#include "engine/release/line_file.h"

namespace ratebound::release {

inline constexpr char kEngineVersion[] = "0.1.0";

// What to compute. Points are read and screened in any case; ratings, verdicts and tables
// fit the maps that they need.
struct Parts {
  bool maps = true;
  bool ratings = true;
  bool verdicts = true;
  bool tables = true;
  // Where not all ratings: those that units declare, with their procedures.
  bool declared_ratings = false;
  // What speaks for and against each surface, which no release holds.
  bool diagnostics = false;
};

struct BuildRequest {
  // line.textproto, claims.textproto, points/*.csv, logs/*.csv, procedures/*.textproto,
  // methods/*.textproto, weather/*.csv, weather/*.epw.
  std::span<const LineFile> files;
  // The published procedures; those of the line folder come on top.
  std::span<const document::Procedure> procedures;
  // The published methods of measuring; likewise.
  std::span<const document::MeasurementMethod> methods;
  // Minimum levels that ratings are held against on minimum_day, an ISO 8601 day; they
  // are not where that is empty.
  std::span<const document::MinimumLevels> minimums;
  std::string minimum_day;
  Parts parts;
  // Only what has this id; all where empty. An id that does not exist is an error.
  std::string only_unit;
  // A procedure by its id or, for another climate of a season, "id/climate".
  std::string only_procedure;
  // With only_procedure: this one, too.
  std::string also_procedure;
  std::string only_claim;
  std::string only_table;
  // Refuse ratings that rest on anything but published text.
  bool published_only = false;
  // Draws of a Monte Carlo computation of every rating's uncertainty; first order where
  // 0.
  int64_t monte_carlo_draws = 0;
  // Verdicts of the release before, for counting looks on added data; may be empty.
  std::span<const document::Verdict> earlier_verdicts;
  // Also tell what could be claimed with the same data: some hundred proofs a claim.
  bool provable = false;
  // Filled where not null: of each verdict its certificate, or why it has none. No
  // release holds them. Costs a second proof of every claim shown.
  std::vector<claim::Certification>* certifications = nullptr;
  int thread_count = 1;
  // Asked now and then; true ends the computation with CANCELLED. May be empty.
  std::function<bool()> stop;
};

absl::StatusOr<document::Release> Build(const BuildRequest& request);

}  // namespace ratebound::release

#endif  // RATEBOUND_ENGINE_RELEASE_BUILD_H_
