#include "clients/cli/output.h"

#include <google/protobuf/util/json_util.h>

#include <cerrno>
#include <cstring>
#include <fstream>

#include "absl/strings/str_cat.h"

namespace ratebound::cli {

Output OutputOf(const Arguments& arguments) {
  const std::string output = arguments.Get("output", "text");
  return output == "json"  ? Output::kJson
         : output == "csv" ? Output::kCsv
                           : Output::kText;
}

std::string Json(const google::protobuf::Message& message) {
  google::protobuf::util::JsonPrintOptions options;
  options.preserve_proto_field_names = false;
  std::string json;
  (void)google::protobuf::util::MessageToJsonString(message, &json, options);
  return json + "\n";
}

absl::Status WriteFile(const std::string& path, const std::string& bytes,
                       const std::string& option) {
  std::ofstream out(path, std::ios::binary | std::ios::trunc);
  out.write(bytes.data(), static_cast<std::streamsize>(bytes.size()));
  out.close();
  if (!out) {
    return absl::UnavailableError(
        absl::StrCat(path, ": cannot be written: ", std::strerror(errno),
                     "; name another place with --", option, " FILE"));
  }
  return absl::OkStatus();
}

}  // namespace ratebound::cli
