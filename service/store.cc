#include "service/store.h"

#include <sqlite3.h>

#include <utility>

#include "absl/strings/str_cat.h"
#include "engine/base/fault.h"
#include "engine/base/status_macros.h"
#include "engine/base/text.h"
#include "engine/document/sha256.h"
#include "service/status.h"

namespace ratebound::service {
namespace {

constexpr int kSchemaVersion = 1;
// "RtBd": tells a store from the file of another program.
constexpr int kApplicationId = 0x52744264;
constexpr int kBusyMs = 5000;

constexpr char kSchema[] = R"(
CREATE TABLE releases (
  sequence INTEGER PRIMARY KEY AUTOINCREMENT,
  digest   TEXT NOT NULL UNIQUE,
  line     TEXT NOT NULL,
  title    TEXT NOT NULL,
  summary  BLOB NOT NULL,
  content  BLOB NOT NULL
);
CREATE INDEX releases_by_line ON releases (line, sequence);
CREATE TABLE units (
  unit     TEXT NOT NULL,
  sequence INTEGER NOT NULL REFERENCES releases (sequence),
  PRIMARY KEY (unit, sequence)
) WITHOUT ROWID;
CREATE TABLE excerpts (
  sequence INTEGER NOT NULL REFERENCES releases (sequence),
  unit     TEXT NOT NULL,
  sha256   TEXT NOT NULL,
  bytes    BLOB NOT NULL,
  UNIQUE (unit, sequence)
);
CREATE TRIGGER releases_never_change BEFORE UPDATE ON releases
  BEGIN SELECT RAISE(ABORT, 'a release never changes'); END;
CREATE TRIGGER releases_never_go BEFORE DELETE ON releases
  BEGIN SELECT RAISE(ABORT, 'a release never goes'); END;
)";

absl::Status NotAStore(const std::string& path, std::string_view why) {
  return WithReason(
      absl::FailedPreconditionError(absl::StrCat(
          "'", path, "' is no release store: ", base::Absl(why),
          "; give the path of a store, or of a file that does not exist yet")),
      "NOT_A_STORE");
}

absl::Status DigestFault(std::string_view text, const std::string& message) {
  base::FaultList faults;
  faults.Add({.field = "release",
              .message = absl::StrCat("'", base::Printable(text, 80), "' ", message),
              .remedy = absl::StrCat("give the first ", kDigestPrefixDigits,
                                     " or more digits of a release's digest")});
  return faults.ToStatus();
}

absl::StatusOr<std::string> LowerHex(std::string_view text) {
  if (text.size() < kDigestPrefixDigits || text.size() > kDigestDigits) {
    return DigestFault(text, absl::StrCat("has ", text.size(), " digits"));
  }
  std::string lower;
  for (char c : text) {
    if (c >= 'A' && c <= 'F') c = static_cast<char>(c - 'A' + 'a');
    if (!((c >= '0' && c <= '9') || (c >= 'a' && c <= 'f'))) {
      return DigestFault(text, "is not hexadecimal");
    }
    lower.push_back(c);
  }
  return lower;
}

}  // namespace

// A prepared statement and its bindings, which live as long as their texts.
class Store::Statement {
 public:
  Statement(sqlite3* database, const char* sql) {
    code_ = sqlite3_prepare_v2(database, sql, -1, &statement_, nullptr);
  }
  ~Statement() { sqlite3_finalize(statement_); }
  Statement(const Statement&) = delete;
  Statement& operator=(const Statement&) = delete;

  Statement& Text(int index, std::string_view text) {
    return Check(sqlite3_bind_text64(statement_, index, text.data(), text.size(),
                                     SQLITE_STATIC, SQLITE_UTF8));
  }
  Statement& Blob(int index, std::string_view bytes) {
    return Check(sqlite3_bind_blob64(statement_, index, bytes.empty() ? "" : bytes.data(),
                                     bytes.size(), SQLITE_STATIC));
  }
  Statement& Integer(int index, int64_t value) {
    return Check(sqlite3_bind_int64(statement_, index, value));
  }
  // SQLITE_ROW, SQLITE_DONE, or what went wrong.
  int Step() { return code_ == SQLITE_OK ? sqlite3_step(statement_) : code_; }

  std::string Bytes(int column) const {
    const void* bytes = sqlite3_column_blob(statement_, column);
    const int size = sqlite3_column_bytes(statement_, column);
    return size == 0 ? "" : std::string(static_cast<const char*>(bytes), size);
  }
  int64_t Number(int column) const { return sqlite3_column_int64(statement_, column); }

 private:
  Statement& Check(int code) {
    if (code_ == SQLITE_OK) code_ = code;
    return *this;
  }

  sqlite3_stmt* statement_ = nullptr;
  int code_ = SQLITE_OK;
};

absl::StatusOr<std::unique_ptr<Store>> Store::Open(const std::string& path,
                                                   const StoreOptions& options) {
  if (path.empty()) {
    return absl::InvalidArgumentError(
        "the path of the release store is empty; give a file, or :memory: to keep "
        "nothing");
  }
  const int flags = SQLITE_OPEN_NOMUTEX |
                    (options.read_only ? SQLITE_OPEN_READONLY
                                       : SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE);
  sqlite3* database = nullptr;
  const int code = sqlite3_open_v2(path.c_str(), &database, flags, nullptr);
  std::unique_ptr<Store> store(new Store(path, database));
  if (code != SQLITE_OK) return store->Failure(code);
  RETURN_IF_ERROR(store->Prepare(options));
  return store;
}

Store::~Store() { sqlite3_close(database_); }

absl::Status Store::Prepare(const StoreOptions& options) {
  sqlite3_extended_result_codes(database_, 1);
  sqlite3_busy_timeout(database_, kBusyMs);
  read_only_ = sqlite3_db_readonly(database_, "main") == 1;
  ASSIGN_OR_RETURN(const int64_t application, Pragma("application_id"));
  ASSIGN_OR_RETURN(const int64_t version, Pragma("user_version"));
  ASSIGN_OR_RETURN(const int64_t pages, Pragma("page_count"));
  if (application != kApplicationId && (pages > 0 || read_only_)) {
    return NotAStore(path_,
                     pages > 0 ? "it is a database of another program" : "it is empty");
  }
  if (version > kSchemaVersion) {
    return NotAStore(path_,
                     absl::StrCat("it has version ", version, " and this program knows ",
                                  kSchemaVersion, " (use a newer program)"));
  }
  if (read_only_) return absl::OkStatus();
  RETURN_IF_ERROR(Execute("PRAGMA journal_mode = WAL"));
  RETURN_IF_ERROR(Execute("PRAGMA synchronous = FULL"));
  RETURN_IF_ERROR(Execute("PRAGMA foreign_keys = ON"));
  if (options.most_bytes > 0) {
    ASSIGN_OR_RETURN(const int64_t page_bytes, Pragma("page_size"));
    RETURN_IF_ERROR(
        Execute(absl::StrCat("PRAGMA max_page_count = ", options.most_bytes / page_bytes)
                    .c_str()));
  }
  // Another process may be making the same store, so look again inside the transaction.
  RETURN_IF_ERROR(Execute("BEGIN IMMEDIATE"));
  absl::Status made = [&]() -> absl::Status {
    ASSIGN_OR_RETURN(const int64_t version_now, Pragma("user_version"));
    if (version_now == kSchemaVersion) return absl::OkStatus();
    RETURN_IF_ERROR(Execute(kSchema));
    RETURN_IF_ERROR(
        Execute(absl::StrCat("PRAGMA application_id = ", kApplicationId).c_str()));
    return Execute(absl::StrCat("PRAGMA user_version = ", kSchemaVersion).c_str());
  }();
  if (made.ok()) made = Execute("COMMIT");
  if (!made.ok()) sqlite3_exec(database_, "ROLLBACK", nullptr, nullptr, nullptr);
  return made;
}

absl::Status Store::Execute(const char* sql) {
  const int code = sqlite3_exec(database_, sql, nullptr, nullptr, nullptr);
  return code == SQLITE_OK ? absl::OkStatus() : Failure(code);
}

absl::StatusOr<int64_t> Store::Pragma(const char* name) {
  Statement statement(database_, absl::StrCat("PRAGMA ", name).c_str());
  const int code = statement.Step();
  if (code != SQLITE_ROW) return Failure(code);
  return statement.Number(0);
}

absl::Status Store::Failure(int code) const {
  const std::string at = absl::StrCat("release store '", path_, "': ");
  const char* text =
      database_ != nullptr ? sqlite3_errmsg(database_) : sqlite3_errstr(code);
  switch (code & 0xff) {
    case SQLITE_NOTADB:
      return NotAStore(path_, "it is not a database");
    case SQLITE_CANTOPEN:
      return WithReason(absl::FailedPreconditionError(
                            absl::StrCat(at,
                                         "cannot be opened; make its folder, and see "
                                         "that this user may write there")),
                        "STORE_CANNOT_BE_OPENED");
    case SQLITE_READONLY:
    case SQLITE_PERM:
      return WithReason(
          absl::FailedPreconditionError(absl::StrCat(
              at, "may only be read; publish with a store that may be written")),
          "STORE_READ_ONLY");
    case SQLITE_FULL:
      return WithReason(
          absl::UnavailableError(absl::StrCat(
              at,
              "the disk or the store's size limit is full; make room and publish again")),
          "STORE_FULL");
    case SQLITE_BUSY:
    case SQLITE_LOCKED:
      return WithReason(
          absl::UnavailableError(absl::StrCat(at, "another program has been writing for ",
                                              kBusyMs / 1000, " seconds; try again")),
          "STORE_BUSY");
    case SQLITE_CORRUPT:
      return WithReason(
          absl::DataLossError(absl::StrCat(
              at, "the file is damaged (", text,
              "); restore it from a copy, or publish the lines again into a new "
              "store")),
          "STORE_DAMAGED");
    default:
      return WithReason(
          absl::UnavailableError(absl::StrCat(at, text, " (code ", code,
                                              "); see that the disk is sound and "
                                              "try again")),
          "STORE_FAILED");
  }
}

absl::StatusOr<bool> Store::Put(const StoreEntry& entry) {
  std::scoped_lock lock(mutex_);
  if (read_only_) return Failure(SQLITE_READONLY);
  if (entry.digest.size() != kDigestDigits || !LowerHex(entry.digest).ok()) {
    return absl::InternalError(absl::StrCat("'", entry.digest, "' is no digest"));
  }
  RETURN_IF_ERROR(Execute("BEGIN IMMEDIATE"));
  const absl::Status inserted = Insert(entry);
  if (inserted.ok()) {
    const absl::Status committed = Execute("COMMIT");
    if (committed.ok()) return false;
    sqlite3_exec(database_, "ROLLBACK", nullptr, nullptr, nullptr);
    return committed;
  }
  sqlite3_exec(database_, "ROLLBACK", nullptr, nullptr, nullptr);
  if (absl::IsAlreadyExists(inserted)) return true;
  return inserted;
}

absl::Status Store::Insert(const StoreEntry& entry) {
  Statement release(database_,
                    "INSERT INTO releases (digest, line, title, summary, content) "
                    "VALUES (?1, ?2, ?3, ?4, ?5)");
  release.Text(1, entry.digest).Text(2, entry.line).Text(3, entry.title);
  release.Blob(4, entry.summary).Blob(5, entry.content);
  const int code = release.Step();
  if (code == SQLITE_CONSTRAINT_UNIQUE) return absl::AlreadyExistsError(entry.digest);
  if (code != SQLITE_DONE) return Failure(code);
  const int64_t sequence = sqlite3_last_insert_rowid(database_);
  for (const std::string& unit : entry.units) {
    Statement row(database_,
                  "INSERT OR IGNORE INTO units (unit, sequence) VALUES (?1, ?2)");
    const int unit_code = row.Text(1, unit).Integer(2, sequence).Step();
    if (unit_code != SQLITE_DONE) return Failure(unit_code);
  }
  for (size_t i = 0; i < entry.excerpts.size(); ++i) {
    Statement row(database_,
                  "INSERT OR IGNORE INTO excerpts (sequence, unit, sha256, bytes) "
                  "VALUES (?1, ?2, ?3, ?4)");
    const std::string sha256 = document::Sha256Hex(entry.excerpts[i]);
    row.Integer(1, sequence).Text(2, entry.units[i]).Text(3, sha256);
    const int excerpt_code = row.Blob(4, entry.excerpts[i]).Step();
    if (excerpt_code != SQLITE_DONE) return Failure(excerpt_code);
  }
  return absl::OkStatus();
}

absl::StatusOr<std::string> Store::Resolve(std::string_view digest_start) {
  ASSIGN_OR_RETURN(const std::string start, LowerHex(digest_start));
  std::scoped_lock lock(mutex_);
  // 'g' follows 'f': every digest with this start lies between, and the index finds them.
  Statement statement(
      database_,
      "SELECT digest FROM releases WHERE digest >= ?1 AND digest < ?2 LIMIT 2");
  const std::string end = start + "g";
  int code = statement.Text(1, start).Text(2, end).Step();
  if (code == SQLITE_DONE) return NoRelease(start);
  if (code != SQLITE_ROW) return Failure(code);
  std::string digest = statement.Bytes(0);
  code = statement.Step();
  if (code == SQLITE_ROW) {
    return WithReason(
        absl::FailedPreconditionError(absl::StrCat(
            "more than one release has a digest that starts with ", start, ": ", digest,
            " and ", statement.Bytes(0), "; give more digits")),
        "AMBIGUOUS_RELEASE");
  }
  if (code != SQLITE_DONE) return Failure(code);
  return digest;
}

// The digest that shares most leading digits stands beside the start in the order of
// digests.
absl::Status Store::NoRelease(const std::string& start) {
  std::string nearest;
  size_t most_shared = 3;  // fewer is chance, not a slip
  for (const char* sql :
       {"SELECT digest FROM releases WHERE digest < ?1 ORDER BY digest DESC "
        "LIMIT 1",
        "SELECT digest FROM releases WHERE digest > ?1 ORDER BY digest LIMIT 1"}) {
    Statement statement(database_, sql);
    if (statement.Text(1, start).Step() != SQLITE_ROW) continue;
    const std::string digest = statement.Bytes(0);
    size_t shared = 0;
    while (shared < start.size() && digest[shared] == start[shared]) ++shared;
    if (shared > most_shared) {
      most_shared = shared;
      nearest = digest;
    }
  }
  return WithReason(absl::NotFoundError(absl::StrCat(
                        "no release has a digest that starts with ", start,
                        nearest.empty() ? "" : absl::StrCat("; the nearest is ", nearest),
                        "; list the releases to see what there is")),
                    "NO_SUCH_RELEASE");
}

absl::StatusOr<std::string> Store::OneText(const char* sql, std::string_view key,
                                           const std::string& not_found) {
  std::scoped_lock lock(mutex_);
  Statement statement(database_, sql);
  const int code = statement.Text(1, key).Step();
  if (code == SQLITE_DONE)
    return WithReason(absl::NotFoundError(not_found), "NO_SUCH_RELEASE");
  if (code != SQLITE_ROW) return Failure(code);
  return statement.Bytes(0);
}

absl::StatusOr<std::string> Store::LatestWithUnit(std::string_view unit) {
  return OneText(
      "SELECT digest FROM releases WHERE sequence = "
      "(SELECT MAX(sequence) FROM units WHERE unit = ?1)",
      unit,
      absl::StrCat("no release holds a unit '", base::Printable(unit),
                   "'; publish its line, or look for the name among the releases"));
}

absl::StatusOr<std::string> Store::LatestOfLine(std::string_view line) {
  return OneText(
      "SELECT digest FROM releases WHERE line = ?1 ORDER BY sequence DESC LIMIT 1", line,
      absl::StrCat("no release of line '", base::Printable(line), "'"));
}

absl::StatusOr<std::string> Store::Content(std::string_view digest) {
  return OneText("SELECT content FROM releases WHERE digest = ?1", digest,
                 absl::StrCat("no release has the digest ", base::Printable(digest, 80)));
}

absl::StatusOr<std::string> Store::Excerpt(std::string_view digest,
                                           std::string_view unit) {
  std::scoped_lock lock(mutex_);
  Statement statement(database_,
                      "SELECT bytes, sha256 FROM excerpts WHERE unit = ?2 AND sequence = "
                      "(SELECT sequence FROM releases WHERE digest = ?1)");
  const int code = statement.Text(1, digest).Text(2, unit).Step();
  if (code == SQLITE_DONE) return std::string();
  if (code != SQLITE_ROW) return Failure(code);
  std::string bytes = statement.Bytes(0);
  if (document::Sha256Hex(bytes) != statement.Bytes(1)) {
    return WithReason(absl::DataLossError(absl::StrCat(
                          "the maps of unit '", base::Printable(unit), "' in '", path_,
                          "' are damaged; restore the store from a copy, or publish the "
                          "line again into "
                          "a new store")),
                      "RELEASE_DAMAGED");
  }
  return bytes;
}

absl::StatusOr<std::vector<StoreRow>> Store::List(std::string_view line, int64_t before,
                                                  int most) {
  std::scoped_lock lock(mutex_);
  const char* sql = line.empty()
                        ? "SELECT sequence, summary FROM releases WHERE sequence < ?2 "
                          "ORDER BY sequence DESC LIMIT ?3"
                        : "SELECT sequence, summary FROM releases WHERE line = ?1 AND "
                          "sequence < ?2 ORDER BY sequence DESC LIMIT ?3";
  Statement statement(database_, sql);
  if (!line.empty()) statement.Text(1, line);
  statement.Integer(2, before).Integer(3, most);
  std::vector<StoreRow> rows;
  int code = statement.Step();
  for (; code == SQLITE_ROW; code = statement.Step()) {
    rows.push_back({.sequence = statement.Number(0), .summary = statement.Bytes(1)});
  }
  if (code != SQLITE_DONE) return Failure(code);
  return rows;
}

}  // namespace ratebound::service
