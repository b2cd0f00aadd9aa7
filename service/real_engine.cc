#include "service/real_engine.h"

#include <algorithm>
#include <thread>
#include <utility>

#include "absl/strings/str_cat.h"
#include "engine/document/text.h"
#include "ratings/procedures.h"

namespace ratebound::service {

absl::StatusOr<Engine> RealEngine(int threads_per_build) {
  Engine engine{.build = release::Build, .threads_per_build = threads_per_build};
  if (threads_per_build == 0) {
    engine.threads_per_build = std::max(1u, std::thread::hardware_concurrency());
  }
  for (const ratings::EmbeddedFile& file : ratings::EmbeddedProcedures()) {
    absl::StatusOr<document::Procedure> procedure =
        document::ParseProcedure(file.path, file.bytes);
    if (!procedure.ok()) {
      return absl::InternalError(
          absl::StrCat("a built-in procedure is wrong: ", procedure.status().message()));
    }
    engine.procedures.push_back(*std::move(procedure));
  }
  std::sort(engine.procedures.begin(), engine.procedures.end(),
            [](const document::Procedure& a, const document::Procedure& b) {
              return a.id < b.id;
            });
  return engine;
}

}  // namespace ratebound::service
