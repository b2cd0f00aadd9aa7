#include "service/real_engine.h"

#include <algorithm>
#include <memory>
#include <mutex>
#include <span>
#include <string>
#include <thread>
#include <utility>

#include "absl/strings/str_cat.h"
#include "engine/base/status_macros.h"
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

// Parses the files that are built in, sorts what they hold by id, and keeps their text.
template <typename Document, typename Parse>
absl::Status ReadPublished(std::span<const ratings::EmbeddedFile> files, const char* what,
                           const Parse& parse, std::vector<Document>& documents,
                           std::vector<PublishedFile>& texts) {
  for (const ratings::EmbeddedFile& file : files) {
    absl::StatusOr<Document> document = parse(file.path, file.bytes);
    if (!document.ok()) {
      return absl::InternalError(
          absl::StrCat("a built-in ", what, " is wrong: ", document.status().message()));
    }
    texts.push_back({document->id, std::string(file.path), std::string(file.bytes)});
    documents.push_back(*std::move(document));
  }
  std::sort(documents.begin(), documents.end(),
            [](const Document& a, const Document& b) { return a.id < b.id; });
  return absl::OkStatus();
}

absl::Status ReadAll(PublishedFiles& published) {
  RETURN_IF_ERROR(ReadPublished(ratings::EmbeddedProcedures(), "procedure",
                                document::ParseProcedure, published.procedures,
                                published.files));
  RETURN_IF_ERROR(ReadPublished(ratings::EmbeddedMethods(), "method",
                                document::ParseMethod, published.methods,
                                published.files));
  return ReadPublished(ratings::EmbeddedMinimums(), "document of minimum levels",
                       document::ParseMinimumLevels, published.minimums, published.files);
}

// Reads once, whoever asks first.
class PublishedOnce {
 public:
  absl::StatusOr<const PublishedFiles*> Get() {
    std::call_once(once_, [this] { status_ = ReadAll(published_); });
    RETURN_IF_ERROR(status_);
    return &published_;
  }

 private:
  std::once_flag once_;
  absl::Status status_;
  PublishedFiles published_;
};

// A log that cannot be read because a built-in file is wrong fails as any other does.
LogOpener OpenerWith(std::shared_ptr<PublishedOnce> published) {
  return [published = std::move(published)](
             std::span<const release::LineFile> files,
             std::string_view path) -> std::unique_ptr<LogSink> {
    const absl::StatusOr<const PublishedFiles*> known = published->Get();
    const std::span<const document::MeasurementMethod> methods =
        known.ok() ? (*known)->methods : std::span<const document::MeasurementMethod>();
    return std::make_unique<FolderLog>(release::LogReader::Open(files, methods, path));
  };
}

}  // namespace

absl::StatusOr<Engine> RealEngine(int threads_per_build) {
  Engine engine{.build = release::Build, .threads_per_build = threads_per_build};
  if (threads_per_build == 0) {
    engine.threads_per_build = std::max(1u, std::thread::hardware_concurrency());
  }
  const auto published = std::make_shared<PublishedOnce>();
  engine.published = [published] { return published->Get(); };
  engine.open_log = OpenerWith(published);
  return engine;
}

}  // namespace ratebound::service
