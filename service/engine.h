// What the service asks of the engine, as functions, so that its own logic can be tested
// with an engine that does as it is told.
//
// Example:
//   ASSIGN_OR_RETURN(Engine engine, RealEngine());   // service/real_engine.h
//   Engine fake{.build = [](const release::BuildRequest&) { return MyRelease(); }};
#ifndef RATEBOUND_SERVICE_ENGINE_H_
#define RATEBOUND_SERVICE_ENGINE_H_

#include <functional>
#include <string>
#include <vector>

#include "absl/status/statusor.h"
#include "engine/document/method.h"
#include "engine/document/minimum.h"
#include "engine/document/procedure.h"
#include "engine/document/release.h"
#include "engine/release/build.h"
#include "service/line_upload.h"

namespace ratebound::service {

// A file of ratings/procedures, as it is built in.
struct PublishedFile {
  std::string id;
  std::string path;
  std::string text;
};

// What ratings/procedures holds, each by id.
struct PublishedFiles {
  std::vector<document::Procedure> procedures;
  std::vector<document::MeasurementMethod> methods;
  std::vector<document::MinimumLevels> minimums;
  std::vector<PublishedFile> files;  // of all of these
};

struct Engine {
  std::function<absl::StatusOr<document::Release>(const release::BuildRequest&)> build;
  // Read when they are first asked for: a query needs none of them, and there are enough
  // of them to be slow. What it points to lives as long as the function.
  std::function<absl::StatusOr<const PublishedFiles*>()> published;
  LogOpener open_log;  // may be empty: logs are then refused
  int threads_per_build = 1;
};

}  // namespace ratebound::service

#endif  // RATEBOUND_SERVICE_ENGINE_H_
