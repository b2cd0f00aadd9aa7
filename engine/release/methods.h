// The methods of measuring that a line folder can name: the published ones and its own.
//
// Thread-safety: pure.
#ifndef RATEBOUND_ENGINE_RELEASE_METHODS_H_
#define RATEBOUND_ENGINE_RELEASE_METHODS_H_

#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "absl/status/statusor.h"
#include "engine/document/line.h"
#include "engine/document/method.h"
#include "engine/release/line_file.h"

namespace ratebound::release {

// The published methods, then those of methods/*.textproto of the folder, in the order of
// their paths. INVALID_ARGUMENT with their faults, and where two have one id.
absl::StatusOr<std::vector<document::MeasurementMethod>> AllMethods(
    std::span<const LineFile> files,
    std::span<const document::MeasurementMethod> published_methods);

// INVALID_ARGUMENT, at `field` of the manifest, for an unknown id or another kind. What
// is returned is one of `methods`.
absl::StatusOr<const document::MeasurementMethod*> FindSteadinessMethod(
    std::span<const document::MeasurementMethod> methods, std::string_view id,
    std::string_view field);

// The ids that the manifest names, each once, in alphabetical order.
std::vector<std::string> MethodsInUse(const document::LineManifest& manifest);

// INVALID_ARGUMENT for steadiness methods of modes that are unknown or of another kind.
absl::Status CheckSteadinessMethods(const document::LineManifest& manifest,
                                    std::span<const document::MeasurementMethod> methods);

}  // namespace ratebound::release

#endif  // RATEBOUND_ENGINE_RELEASE_METHODS_H_
