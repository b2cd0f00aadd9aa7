// Releases on disk: put in once, never changed, found again by digest, by line, or by a
// unit they hold.
//
// Example:
//   ASSIGN_OR_RETURN(std::unique_ptr<Store> store,
//   Store::Open("/var/lib/ratebound/releases.db")); ASSIGN_OR_RETURN(bool was_there,
//   store->Put(entry)); ASSIGN_OR_RETURN(std::string digest, store->Resolve("3fa91c02"));
//   ASSIGN_OR_RETURN(std::string bytes, store->Content(digest));
//
// The store keeps bytes and an index; what the bytes mean is its caller's affair, who
// also checks them against the digest (service/release_cache.h).
//
// Durability: Put returns after the release is on disk (write-ahead log, synchronous
// FULL); two processes may share a file. Rows refuse UPDATE and DELETE. Errors:
// NOT_FOUND, FAILED_PRECONDITION (an ambiguous start of a digest; no store where the path
// points, a store of a newer version, a read-only one), UNAVAILABLE (busy for five
// seconds, disk full, a read error), DATA_LOSS (the file is damaged); each names the path
// and what to do. Thread-safety: all methods may be called concurrently; one runs at a
// time.
#ifndef RATEBOUND_SERVICE_STORE_H_
#define RATEBOUND_SERVICE_STORE_H_

#include <cstdint>
#include <memory>
#include <mutex>
#include <string>
#include <string_view>
#include <vector>

#include "absl/status/status.h"
#include "absl/status/statusor.h"

struct sqlite3;

namespace ratebound::service {

// Fewest hexadecimal digits that name a release, and how many a whole digest has.
inline constexpr int kDigestPrefixDigits = 8;
inline constexpr int kDigestDigits = 64;

struct StoreOptions {
  bool read_only = false;
  // 0 = as large as the disk allows.
  int64_t most_bytes = 0;
};

struct StoreEntry {
  std::string digest;  // 64 lower-case hexadecimal digits
  std::string line;
  std::string title;
  std::vector<std::string> units;
  // What a question to each of `units` needs of the content; in the same order, or empty.
  std::vector<std::string> excerpts;
  std::string summary;  // bytes of a ReleaseSummary
  std::string content;  // bytes of the Release
};

struct StoreRow {
  int64_t sequence = 0;
  std::string summary;
};

class Store {
 public:
  // ":memory:" keeps nothing. A file that does not exist is made, its folder is not.
  static absl::StatusOr<std::unique_ptr<Store>> Open(const std::string& path,
                                                     const StoreOptions& options = {});
  ~Store();
  Store(const Store&) = delete;
  Store& operator=(const Store&) = delete;

  // True where a release of that digest was there already; then nothing changes.
  absl::StatusOr<bool> Put(const StoreEntry& entry);

  // The whole digest of a release from its first 8 or more digits.
  absl::StatusOr<std::string> Resolve(std::string_view digest_start);

  // Digest of the latest release that holds a unit, or of the latest of a line.
  absl::StatusOr<std::string> LatestWithUnit(std::string_view unit);
  absl::StatusOr<std::string> LatestOfLine(std::string_view line);

  absl::StatusOr<std::string> Content(std::string_view digest);

  // The excerpt of a unit, held against the SHA-256 that was stored beside it; empty
  // where none was stored.
  absl::StatusOr<std::string> Excerpt(std::string_view digest, std::string_view unit);

  // Newest first: at most `most` rows with a sequence below `before`, of one line or of
  // all.
  absl::StatusOr<std::vector<StoreRow>> List(std::string_view line, int64_t before,
                                             int most);

  const std::string& path() const { return path_; }

 private:
  Store(std::string path, sqlite3* database)
      : path_(std::move(path)), database_(database) {}
  class Statement;

  absl::Status Prepare(const StoreOptions& options);
  absl::Status Execute(const char* sql);
  absl::StatusOr<int64_t> Pragma(const char* name);
  absl::Status Insert(const StoreEntry& entry);
  absl::Status NoRelease(const std::string& start);
  absl::StatusOr<std::string> OneText(const char* sql, std::string_view key,
                                      const std::string& not_found);
  absl::Status Failure(int code) const;

  const std::string path_;
  std::mutex mutex_;
  sqlite3* const database_;
  bool read_only_ = false;
};

}  // namespace ratebound::service

#endif  // RATEBOUND_SERVICE_STORE_H_
