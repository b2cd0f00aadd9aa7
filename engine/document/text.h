// The documents that people write, in protobuf text format, read into plain structs.
//
// Example:
//   ASSIGN_OR_RETURN(LineManifest manifest, ParseLineManifest("line.textproto", bytes));
//   ASSIGN_OR_RETURN(ParsedClaims claims, ParseClaims("claims.textproto", more_bytes));
//   RETURN_IF_ERROR(CheckClaims(manifest, claims));
//   // INVALID_ARGUMENT: claims.textproto:7:3: claims[0].stage: unknown stage 'hgh'; did
//   you
//   //   mean 'high'?
//
// Units: every value is kept as written and turned into SI beside it (value_si); what is
// a difference (allowance, tolerance, systematic uncertainty) is turned as a difference.
// Errors: INVALID_ARGUMENT with every fault of the file (engine/base/fault.h), each with
// file, line, column and field. A syntax error ends its file: faults behind it are not
// found. Limits: 8 MiB, messages 64 deep. Thread-safety: all functions may be called
// concurrently.
#ifndef RATEBOUND_ENGINE_DOCUMENT_TEXT_H_
#define RATEBOUND_ENGINE_DOCUMENT_TEXT_H_

#include <map>
#include <string>
#include <string_view>
#include <vector>

#include "absl/status/status.h"
#include "absl/status/statusor.h"
#include "engine/document/claim.h"
#include "engine/document/line.h"
#include "engine/document/method.h"
#include "engine/document/minimum.h"
#include "engine/document/place.h"
#include "engine/document/procedure.h"

namespace ratebound::document {

// line.textproto. Besides each value, checks that ids are unique and that references
// inside the manifest resolve: machines of stages, unit, mode, stage and conditions of
// tables, specimens and units of point files and logs, curves of point files, instruments
// of columns, procedures and methods of inputs. Ids of methods and points are not looked
// up: methods stand in files of their own, and points in the lab's.
absl::StatusOr<LineManifest> ParseLineManifest(std::string_view name,
                                               std::string_view bytes);

// Where the fields of a claim stand, by their path in it: "serving.stages[1]".
struct ClaimPlaces {
  Place claim;
  std::map<std::string, Place> fields;

  // Of the claim itself where the field was not written.
  Place Of(const std::string& path) const {
    const auto found = fields.find(path);
    return found == fields.end() ? claim : found->second;
  }
};

struct ParsedClaims {
  std::string file;
  std::vector<Claim> claims;
  std::vector<ClaimPlaces> places;  // one for each claim
};

// claims.textproto.
absl::StatusOr<ParsedClaims> ParseClaims(std::string_view name, std::string_view bytes);

// Whether the claims fit the line: unit, mode, stages, specimens, procedures and logs
// exist, the region gives every condition of the mode once and nothing else, and the
// quantities are some that the mode has or that follow from them.
absl::Status CheckClaims(const LineManifest& manifest, const ParsedClaims& claims);

// One file of ratings/procedures.
absl::StatusOr<Procedure> ParseProcedure(std::string_view name, std::string_view bytes);

// One file of ratings/procedures/methods. Which names, units and choices its kind asks
// for is known where it is computed, and not checked here.
absl::StatusOr<MeasurementMethod> ParseMethod(std::string_view name,
                                              std::string_view bytes);

// One file of ratings/procedures/minimums.
absl::StatusOr<MinimumLevels> ParseMinimumLevels(std::string_view name,
                                                 std::string_view bytes);

}  // namespace ratebound::document

#endif  // RATEBOUND_ENGINE_DOCUMENT_TEXT_H_
