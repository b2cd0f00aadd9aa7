#include "service/real_engine.h"

#include <algorithm>
#include <thread>
#include <utility>

#include "absl/strings/str_cat.h"
#include "engine/document/text.h"
#include "engine/release/log_reader.h"
#include "ratings/procedures.h"

namespace ratebound::service {
namespace {

class FolderLog final : public LogSink {
 public:
  explicit FolderLog(release::LogReader reader) : reader_(std::move(reader)) {}
  void Feed(std::string_view content) override { reader_.Feed(content); }
  std::shared_ptr<const release::LogRead> Finish() override { return reader_.Finish(); }

 private:
  release::LogReader reader_;
};

LogOpener OpenerWith(const std::vector<document::MeasurementMethod>& methods) {
  return [methods](std::span<const release::LineFile> files,
                   std::string_view path) -> std::unique_ptr<LogSink> {
    return std::make_unique<FolderLog>(release::LogReader::Open(files, methods, path));
  };
}

}  // namespace

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
  for (const ratings::EmbeddedFile& file : ratings::EmbeddedMethods()) {
    absl::StatusOr<document::MeasurementMethod> method =
        document::ParseMethod(file.path, file.bytes);
    if (!method.ok()) {
      return absl::InternalError(
          absl::StrCat("a built-in method is wrong: ", method.status().message()));
    }
    engine.methods.push_back(*std::move(method));
  }
  std::sort(engine.methods.begin(), engine.methods.end(),
            [](const auto& a, const auto& b) { return a.id < b.id; });
  engine.open_log = OpenerWith(engine.methods);
  return engine;
}

}  // namespace ratebound::service
