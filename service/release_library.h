// Releases as the calls see them: built and published into the store, taken out again
// checked against their digest, and kept ready for questions.
//
// Example:
//   ReleaseLibrary library(store);
//   ASSIGN_OR_RETURN(Published published, library.Publish(release));
//   ASSIGN_OR_RETURN(std::shared_ptr<const OpenRelease> open, library.Open("3fa91c02"));
//
// Errors: those of Store; DATA_LOSS where a stored release no longer has its digest.
// Memory: the kOpenReleases used last are kept. Thread-safety: all methods may be called
// concurrently.
#ifndef RATEBOUND_SERVICE_RELEASE_LIBRARY_H_
#define RATEBOUND_SERVICE_RELEASE_LIBRARY_H_

#include <list>
#include <memory>
#include <mutex>
#include <string>
#include <string_view>
#include <vector>

#include "absl/status/statusor.h"
#include "engine/document/release.h"
#include "engine/map/stage_model.h"
#include "ratebound/v1/rating_service.pb.h"
#include "service/store.h"

namespace ratebound::service {

// The part of a release that answers questions to one unit: the line's cautions, the
// unit, and its table surfaces without the diagnostics of their choice.
document::Release ExcerptOf(const document::Release& release, const document::Unit& unit);

// What a release holds, without holding it.
v1::ReleaseSummary SummaryOf(const document::Release& release, std::string_view digest);

struct Published {
  v1::ReleaseSummary summary;
  bool already_stored = false;
};

struct OpenRelease {
  std::string digest;
  std::string unit;                     // of an excerpt; empty for the whole
  document::Release release;            // without its maps
  std::vector<map::StageModel> stages;  // its maps
};

class ReleaseLibrary {
 public:
  static constexpr int kOpenReleases = 8;

  // The store must outlive the library.
  explicit ReleaseLibrary(Store& store) : store_(store) {}

  absl::StatusOr<Published> Publish(const document::Release& release);

  // The bytes of a release, checked; `digest` is a whole one or its start.
  absl::StatusOr<std::string> Bytes(std::string_view digest);

  absl::StatusOr<std::shared_ptr<const OpenRelease>> Open(std::string_view digest);
  // What a question to one unit needs: the manifest with this unit alone and its table
  // surfaces. `digest` may be empty: the latest release with the unit. Far cheaper than
  // Open, for it reads the unit's excerpt (ExcerptOf). NOT_FOUND names the units there
  // are.
  absl::StatusOr<std::shared_ptr<const OpenRelease>> OpenUnit(std::string_view digest,
                                                              const std::string& unit);

  // The verdicts of the latest release of a line; empty where it has none.
  absl::StatusOr<std::vector<document::Verdict>> LatestVerdicts(std::string_view line);

  Store& store() { return store_; }

 private:
  absl::StatusOr<std::shared_ptr<const OpenRelease>> OpenWhole(const std::string& digest);
  std::shared_ptr<const OpenRelease> FindOpen(const std::string& digest,
                                              const std::string& unit);
  std::shared_ptr<const OpenRelease> Keep(std::shared_ptr<const OpenRelease> opened);
  absl::StatusOr<std::string> CheckedBytes(const std::string& digest);

  Store& store_;
  std::mutex mutex_;
  std::list<std::shared_ptr<const OpenRelease>> open_;  // used last first
};

}  // namespace ratebound::service

#endif  // RATEBOUND_SERVICE_RELEASE_LIBRARY_H_
