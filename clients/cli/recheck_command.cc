#include "clients/cli/recheck_command.h"

#include <algorithm>
#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_join.h"
#include "clients/cli/named_release.h"
#include "clients/cli/output.h"
#include "clients/cli/render.h"
#include "clients/cli/session.h"
#include "clients/cli/text_table.h"
#include "engine/base/text.h"

namespace ratebound::cli {
namespace {

namespace fs = std::filesystem;

constexpr char kExtension[] = ".certificate";

// One certificate, or all of a folder, in the order of their names.
absl::StatusOr<std::vector<FolderFile>> CertificateFiles(const std::string& name) {
  const fs::path path(name);
  std::error_code error;
  if (fs::is_regular_file(path, error)) {
    return std::vector<FolderFile>{
        {.path = path.filename().generic_string(), .log_file = name}};
  }
  std::vector<FolderFile> files;
  if (!fs::is_directory(path, error)) {
    return absl::NotFoundError(
        absl::StrCat(base::Printable(name), ": no such file or folder"));
  }
  for (const auto& entry : fs::directory_iterator(path, error)) {
    if (!entry.is_regular_file() || entry.path().extension() != kExtension) continue;
    files.push_back({.path = entry.path().filename().generic_string(),
                     .log_file = entry.path().string()});
  }
  if (error) return absl::UnavailableError(absl::StrCat(name, ": ", error.message()));
  if (files.empty()) {
    return absl::NotFoundError(
        absl::StrCat(base::Printable(name), ": holds no file *", kExtension));
  }
  std::sort(files.begin(), files.end(),
            [](const auto& a, const auto& b) { return a.path < b.path; });
  return files;
}

std::string StateWord(v1::CertificateState state) {
  switch (state) {
    case v1::CERTIFICATE_STATE_ACCEPTED:
      return "ACCEPTED";
    case v1::CERTIFICATE_STATE_ACCEPTED_AS_STATED:
      return "ACCEPTED AS STATED";
    case v1::CERTIFICATE_STATE_REFUSED:
      return "REFUSED";
    default:
      return "";
  }
}

// Names in a certificate are whatever its writer put there.
constexpr int kMostShown = 2000;

std::string OutcomeText(const v1::RecheckCertificatesResponse& item) {
  v1::Verdict verdict;
  verdict.set_outcome(item.outcome());
  return item.claim().empty() ? "" : OutcomeWord(verdict);
}

std::string Text(const std::vector<v1::RecheckCertificatesResponse>& items) {
  std::string text;
  int refused = 0;
  int as_stated = 0;
  for (const v1::RecheckCertificatesResponse& item : items) {
    absl::StrAppend(
        &text, StateWord(item.state()), "  ",
        base::Printable(item.claim().empty() ? item.path() : item.claim(), kMostShown),
        item.claim().empty() ? "" : ": ", OutcomeText(item), "\n");
    if (!item.reason().empty())
      absl::StrAppend(&text, Wrapped(base::Printable(item.reason(), kMostShown), 2));
    for (const std::string& function : item.underived_functions()) {
      absl::StrAppend(&text, Wrapped(absl::StrCat("not derived from the release: ",
                                                  base::Printable(function, kMostShown)),
                                     2));
    }
    refused += item.state() == v1::CERTIFICATE_STATE_REFUSED;
    as_stated += item.state() == v1::CERTIFICATE_STATE_ACCEPTED_AS_STATED;
  }
  absl::StrAppend(&text, "\n", Count(static_cast<int>(items.size()), "certificate"), ": ",
                  items.size() - static_cast<size_t>(refused), " accepted, ", refused,
                  " refused\n");
  if (as_stated > 0) {
    absl::StrAppend(
        &text,
        "Accepted as stated: the certificate shows its verdict from figures that the "
        "checker does not form once more.\n");
  }
  return text;
}

std::string Csv(const std::vector<v1::RecheckCertificatesResponse>& items) {
  TextTable table({"file", "claim", "verdict", "state", "reason", "underived"}, {});
  for (const v1::RecheckCertificatesResponse& item : items) {
    table.AddRow({item.path(), item.claim(), OutcomeText(item), StateWord(item.state()),
                  item.reason(), absl::StrJoin(item.underived_functions(), "; ")});
  }
  return table.ToCsv();
}

}  // namespace

absl::StatusOr<Result> RecheckCertificates(const Arguments& arguments) {
  ASSIGN_OR_RETURN(const NamedRelease release,
                   ReadNamedRelease(arguments.positionals[0]));
  ASSIGN_OR_RETURN(const std::vector<FolderFile> files,
                   CertificateFiles(arguments.positionals[1]));
  v1::RecheckCertificatesOptions options;
  options.set_release(release.digest);
  options.set_claim(arguments.Get("claim"));
  ASSIGN_OR_RETURN(const auto session, Session::Open(arguments));
  ASSIGN_OR_RETURN(
      const auto items,
      (session
           ->SendFiles<v1::RecheckCertificatesRequest, v1::RecheckCertificatesResponse>(
               files, options, &v1::RatingService::Stub::RecheckCertificates,
               release.FileOrNull())));
  Result result;
  for (const v1::RecheckCertificatesResponse& item : items) {
    if (item.state() == v1::CERTIFICATE_STATE_REFUSED) result.exit = Exit::kFound;
  }
  switch (OutputOf(arguments)) {
    case Output::kText:
      result.out = Text(items);
      break;
    case Output::kCsv:
      result.out = Csv(items);
      break;
    case Output::kJson:
      result.out = JsonLines(items);
      break;
  }
  return result;
}

}  // namespace ratebound::cli
