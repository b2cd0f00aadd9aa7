#include "service/release_library.h"

#include <utility>

#include "absl/strings/str_cat.h"
#include "engine/base/status_macros.h"
#include "engine/base/text.h"
#include "engine/document/release_bytes.h"
#include "service/status.h"

namespace ratebound::service {
namespace {

absl::Status Damaged(const Store& store, std::string_view digest, std::string_view what) {
  return WithReason(
      absl::DataLossError(absl::StrCat(
          "release ", base::Absl(digest), " in '", store.path(), "' is damaged (",
          base::Absl(what),
          "); restore the store from a copy, or publish the line again into a "
          "new store")),
      "RELEASE_DAMAGED");
}

// Reads a release and makes its maps ready.
absl::Status ReadInto(const std::string& bytes, OpenRelease* opened) {
  ASSIGN_OR_RETURN(opened->release, document::ParseRelease(bytes));
  for (document::StageMap& map : opened->release.maps) {
    ASSIGN_OR_RETURN(map::StageModel model, map::StageModel::Create(std::move(map)));
    opened->stages.push_back(std::move(model));
  }
  opened->release.maps.clear();
  return absl::OkStatus();
}

}  // namespace

document::Release ExcerptOf(const document::Release& release,
                            const document::Unit& unit) {
  document::Release excerpt{.engine_version = release.engine_version};
  excerpt.manifest.id = release.manifest.id;
  excerpt.manifest.title = release.manifest.title;
  excerpt.manifest.data_source = release.manifest.data_source;
  excerpt.manifest.cautions = release.manifest.cautions;
  excerpt.manifest.units = {unit};
  for (const document::StageMap& map : release.maps) {
    if (map.unit != unit.id) continue;
    document::StageMap kept = map;
    std::erase_if(kept.surfaces, [](const document::Surface& surface) {
      return surface.purpose != document::SurfacePurpose::kTable;
    });
    for (document::Surface& surface : kept.surfaces) surface.candidates.clear();
    excerpt.maps.push_back(std::move(kept));
  }
  for (const document::CurveFit& curve : release.curves) {
    if (curve.unit == unit.id) excerpt.curves.push_back(curve);
  }
  return excerpt;
}

v1::ReleaseSummary SummaryOf(const document::Release& release, std::string_view digest) {
  v1::ReleaseSummary summary;
  summary.set_digest(std::string(digest));
  summary.set_line(release.manifest.id);
  summary.set_title(release.manifest.title);
  summary.set_engine_version(release.engine_version);
  for (const document::Unit& unit : release.manifest.units) summary.add_units(unit.id);
  int accepted = 0;
  for (const document::TestPoint& point : release.points) accepted += point.accepted();
  summary.set_point_count(accepted);
  int rated = 0;
  for (const document::Rating& rating : release.ratings)
    rated += rating.value.has_value();
  summary.set_rating_count(rated);
  int proven = 0;
  int refuted = 0;
  int not_shown = 0;
  for (const document::Verdict& verdict : release.verdicts) {
    proven += verdict.outcome == document::Outcome::kProven;
    refuted += verdict.outcome == document::Outcome::kRefuted;
    not_shown += verdict.outcome == document::Outcome::kNotShown;
  }
  summary.set_proven_count(proven);
  summary.set_refuted_count(refuted);
  summary.set_not_shown_count(not_shown);
  summary.set_table_count(static_cast<int>(release.tables.size()));
  return summary;
}

absl::StatusOr<Published> ReleaseLibrary::Publish(const document::Release& release) {
  ASSIGN_OR_RETURN(document::ReleaseBytes serialized,
                   document::SerializeRelease(release));
  Published published{.summary = SummaryOf(release, serialized.digest)};
  StoreEntry entry{.digest = std::move(serialized.digest),
                   .line = release.manifest.id,
                   .title = release.manifest.title,
                   .summary = published.summary.SerializeAsString(),
                   .content = std::move(serialized.bytes)};
  for (const document::Unit& unit : release.manifest.units) {
    entry.units.push_back(unit.id);
    ASSIGN_OR_RETURN(document::ReleaseBytes excerpt,
                     document::SerializeRelease(ExcerptOf(release, unit)));
    entry.excerpts.push_back(std::move(excerpt.bytes));
  }
  ASSIGN_OR_RETURN(published.already_stored, store_.Put(entry));
  return published;
}

absl::StatusOr<std::string> ReleaseLibrary::CheckedBytes(const std::string& digest) {
  ASSIGN_OR_RETURN(std::string bytes, store_.Content(digest));
  const absl::StatusOr<std::string> found = document::DigestOfReleaseBytes(bytes);
  if (!found.ok()) return Damaged(store_, digest, base::Std(found.status().message()));
  if (*found != digest) return Damaged(store_, digest, "its digest is now " + *found);
  return bytes;
}

absl::StatusOr<std::string> ReleaseLibrary::Bytes(std::string_view digest) {
  ASSIGN_OR_RETURN(const std::string whole, store_.Resolve(digest));
  return CheckedBytes(whole);
}

absl::StatusOr<std::shared_ptr<const OpenRelease>> ReleaseLibrary::Open(
    std::string_view digest) {
  ASSIGN_OR_RETURN(const std::string whole, store_.Resolve(digest));
  return OpenWhole(whole);
}

absl::StatusOr<std::shared_ptr<const OpenRelease>> ReleaseLibrary::OpenUnit(
    std::string_view digest, const std::string& unit) {
  ASSIGN_OR_RETURN(const std::string whole,
                   digest.empty() ? store_.LatestWithUnit(unit) : store_.Resolve(digest));
  if (auto open = FindOpen(whole, unit)) return open;
  ASSIGN_OR_RETURN(const std::string bytes, store_.Excerpt(whole, unit));
  // A release without the unit is opened whole, for a message that names the units it
  // has.
  if (bytes.empty()) return OpenWhole(whole);
  auto opened = std::make_shared<OpenRelease>();
  opened->digest = whole;
  opened->unit = unit;
  RETURN_IF_ERROR(ReadInto(bytes, opened.get()));
  return Keep(std::move(opened));
}

absl::StatusOr<std::vector<document::Verdict>> ReleaseLibrary::LatestVerdicts(
    std::string_view line) {
  const absl::StatusOr<std::string> digest = store_.LatestOfLine(line);
  if (absl::IsNotFound(digest.status())) return std::vector<document::Verdict>{};
  RETURN_IF_ERROR(digest.status());
  ASSIGN_OR_RETURN(const std::shared_ptr<const OpenRelease> open, OpenWhole(*digest));
  return open->release.verdicts;
}

// Two callers who miss at once both open it; what they get is the same.
absl::StatusOr<std::shared_ptr<const OpenRelease>> ReleaseLibrary::OpenWhole(
    const std::string& digest) {
  if (auto open = FindOpen(digest, "")) return open;
  ASSIGN_OR_RETURN(const std::string bytes, CheckedBytes(digest));
  auto opened = std::make_shared<OpenRelease>();
  opened->digest = digest;
  RETURN_IF_ERROR(ReadInto(bytes, opened.get()));
  return Keep(std::move(opened));
}

std::shared_ptr<const OpenRelease> ReleaseLibrary::FindOpen(const std::string& digest,
                                                            const std::string& unit) {
  std::scoped_lock lock(mutex_);
  for (auto entry = open_.begin(); entry != open_.end(); ++entry) {
    if ((*entry)->digest != digest || (*entry)->unit != unit) continue;
    open_.splice(open_.begin(), open_, entry);
    return open_.front();
  }
  return nullptr;
}

std::shared_ptr<const OpenRelease> ReleaseLibrary::Keep(
    std::shared_ptr<const OpenRelease> opened) {
  std::scoped_lock lock(mutex_);
  open_.push_front(opened);
  if (open_.size() > kOpenReleases) open_.pop_back();
  return opened;
}

}  // namespace ratebound::service
