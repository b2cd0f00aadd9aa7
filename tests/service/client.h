// A client for tests: whole calls in one line, each with a deadline that only a hang
// reaches.
#ifndef RATEBOUND_TESTS_SERVICE_CLIENT_H_
#define RATEBOUND_TESTS_SERVICE_CLIENT_H_

#include <grpcpp/client_context.h>

#include <chrono>
#include <memory>
#include <string>
#include <vector>

#include "engine/release/build.h"
#include "service/line_upload.h"

namespace ratebound::service {

inline std::unique_ptr<grpc::ClientContext> NewContext(
    std::chrono::milliseconds timeout = std::chrono::seconds(60)) {
  auto context = std::make_unique<grpc::ClientContext>();
  context->set_deadline(std::chrono::system_clock::now() + timeout);
  return context;
}

// Options, then every file in chunks, logs last; false where the server has finished
// already.
template <typename Request, typename Stream>
bool SendFiles(Stream& stream, const Request& options,
               const std::vector<release::LineFile>& files,
               size_t chunk_bytes = kChunkBytes) {
  if (!stream.Write(options)) return false;
  for (const bool logs : {false, true}) {
    for (const release::LineFile& file : files) {
      if (IsLogPath(file.path) != logs) continue;
      size_t at = 0;
      do {
        Request request;
        request.mutable_chunk()->set_path(file.path);
        request.mutable_chunk()->set_content(file.bytes.substr(at, chunk_bytes));
        if (!stream.Write(request)) return false;
        at += chunk_bytes;
      } while (at < file.bytes.size());
    }
  }
  return stream.WritesDone();
}

template <typename Response>
struct Answers {
  std::vector<Response> items;
  grpc::Status status;
};

// Sends a line and reads all answers.
template <typename Request, typename Response>
Answers<Response> CallLine(
    std::unique_ptr<grpc::ClientReaderWriter<Request, Response>> stream,
    const std::vector<release::LineFile>& files, Request options = {},
    size_t chunk_bytes = kChunkBytes) {
  options.mutable_options();
  SendFiles(*stream, options, files, chunk_bytes);
  Answers<Response> answers;
  Response response;
  while (stream->Read(&response)) answers.items.push_back(response);
  answers.status = stream->Finish();
  return answers;
}

}  // namespace ratebound::service

#endif  // RATEBOUND_TESTS_SERVICE_CLIENT_H_
