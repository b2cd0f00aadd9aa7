// The shapes of calls: one request and one answer, a stream of answers, a line folder
// coming in, batches back and forth. Services hand them functions that know no gRPC.
//
// Example:
//   return new UnaryCall(runtime, runtime.queries, "Evaluate", context,
//                        [=, this](const StopFunction&) { return Evaluate(*request,
//                        response); });
//
// Answers are written one after the other, each after gRPC has taken the one before, so a
// slow reader holds one message and not all of them.
#ifndef RATEBOUND_SERVICE_CALL_SHAPES_H_
#define RATEBOUND_SERVICE_CALL_SHAPES_H_

#include <grpcpp/support/server_callback.h>

#include <functional>
#include <optional>
#include <string>
#include <type_traits>
#include <utility>
#include <vector>

#include "absl/status/statusor.h"
#include "engine/base/status_macros.h"
#include "service/call.h"

namespace ratebound::service {

// Fills the next answer; false at the end.
template <typename Response>
using AnswerSource = std::function<bool(Response&)>;

// Bytes in messages with a release_chunk of at most 64 KiB; at least one, even for no
// bytes.
template <typename Response>
AnswerSource<Response> ChunksOf(std::string bytes) {
  return [bytes = std::move(bytes), at = size_t{0},
          first = true](Response& response) mutable {
    if (at >= bytes.size() && !first) return false;
    first = false;
    response.set_release_chunk(bytes.substr(at, kChunkBytes));
    at += kChunkBytes;
    return true;
  };
}

// One request, one answer, which `work` fills.
class UnaryCall final : public Call<grpc::ServerUnaryReactor> {
 public:
  using Work = std::function<absl::Status(const StopFunction&)>;
  UnaryCall(Runtime& runtime, Lane& lane, const char* name,
            grpc::CallbackServerContext* context, Work work)
      : Call(runtime, lane, name, context) {
    if (!Admit()) return;
    Compute([work = std::move(work), stop = Stop()] { return work(stop); },
            [this](const absl::Status& status) { FinishOnce(status); });
  }
};

// The writing half of a call with many answers.
template <typename Reactor, typename Response>
class AnsweringCall : public Call<Reactor> {
 public:
  void OnWriteDone(bool ok) override {
    if (ok && !this->control_->Stopped()) {
      WriteNext();
    } else if (this->control_->Stopped()) {
      this->FinishOnce(this->control_->WhyStopped());
    } else {
      this->FinishOnce(absl::CancelledError("the caller stopped reading"));
    }
  }

 protected:
  using Call<Reactor>::Call;
  using Work = std::function<absl::StatusOr<AnswerSource<Response>>()>;

  void ComputeAndAnswer(Work work) {
    this->Compute(
        [this, work = std::move(work)]() -> absl::Status {
          ASSIGN_OR_RETURN(source_, work());
          return absl::OkStatus();
        },
        [this](const absl::Status& status) {
          if (!status.ok()) return this->FinishOnce(status);
          // In this order: an alarm that rang before the change finds nobody to cancel.
          this->state_ = Call<Reactor>::State::kWriting;
          if (this->control_->Stopped())
            return this->FinishOnce(this->control_->WhyStopped());
          WriteNext();
        });
  }

 private:
  void WriteNext() {
    bool more = false;
    const absl::Status status = Guard(this->runtime_, this->name_, [&] {
      response_.Clear();
      more = source_(response_);
      return absl::OkStatus();
    });
    if (status.ok() && more) return this->StartWrite(&response_);
    this->FinishOnce(status);
  }

  AnswerSource<Response> source_;
  Response response_;
};

// One request, many answers.
template <typename Response>
class AnswerStreamCall final
    : public AnsweringCall<grpc::ServerWriteReactor<Response>, Response> {
  using Base = AnsweringCall<grpc::ServerWriteReactor<Response>, Response>;

 public:
  using Work = std::function<absl::StatusOr<AnswerSource<Response>>(const StopFunction&)>;
  AnswerStreamCall(Runtime& runtime, Lane& lane, const char* name,
                   grpc::CallbackServerContext* context, Work work)
      : Base(runtime, lane, name, context) {
    if (!this->Admit()) return;
    this->ComputeAndAnswer(
        [work = std::move(work), stop = this->Stop()] { return work(stop); });
  }
};

// Whether a request may carry, piece by piece, a release that the line is held against.
template <typename Request>
concept CarriesRelease = requires(const Request& request) {
  request.has_release_chunk();
};

// Collects the messages of a line folder: options first, then chunks.
template <typename Request>
class LineRequests {
 public:
  using Options = std::decay_t<decltype(std::declval<Request>().options())>;
  LineRequests(std::shared_ptr<UploadBudget> budget, LogOpener open_log)
      : upload_(std::move(budget), std::move(open_log)) {}

  // Whether Add reads the message rather than keeping it, which takes its time.
  static bool IsLong(const Request& request) {
    return request.has_chunk() && IsLogPath(request.chunk().path());
  }

  absl::Status Add(const Request& request) {
    if (request.has_options() != !options_.has_value()) {
      return WithReason(
          absl::InvalidArgumentError("the stream of a line folder is one message with "
                                     "options, then chunks of files"),
          "OPTIONS_COME_FIRST");
    }
    if (request.has_options()) {
      options_ = request.options();
      return absl::OkStatus();
    }
    if constexpr (CarriesRelease<Request>) {
      if (request.has_release_chunk()) {
        return upload_.AddRelease(request.release_chunk());
      }
    }
    if (!request.has_chunk()) {
      return absl::InvalidArgumentError(
          "a message of the stream holds neither options nor chunk");
    }
    return upload_.Add(request.chunk().path(), request.chunk().content());
  }

  absl::Status CheckComplete() const {
    if (options_.has_value()) return absl::OkStatus();
    return WithReason(absl::InvalidArgumentError(
                          "the stream ended before its options; send them first"),
                      "OPTIONS_COME_FIRST");
  }

  const Options& options() const { return *options_; }
  std::vector<release::LineFile> TakeFiles() { return std::move(upload_).Take(); }
  // The serialized release that came with the folder; empty without one.
  std::string TakeRelease() { return upload_.TakeRelease(); }

 private:
  std::optional<Options> options_;
  LineUpload upload_;
};

// The reading half of a call that takes a line folder. `Base` is a Call with OnReadDone.
template <typename Base, typename Request>
class LineReadingCall : public Base {
 public:
  void OnReadDone(bool ok) override {
    if (this->state_ != Base::State::kReading) return;
    if (!ok) {
      if (this->context_->IsCancelled()) this->control_->Cancel();
      const absl::Status complete = requests_.CheckComplete();
      if (!complete.ok()) return this->FinishOnce(complete);
      return OnLine();
    }
    if (LineRequests<Request>::IsLong(request_)) {
      return this->ComputeBetweenReads([this] { return requests_.Add(request_); },
                                       [this] { this->StartRead(&request_); });
    }
    const absl::Status added =
        Guard(this->runtime_, this->name_, [this] { return requests_.Add(request_); });
    if (!added.ok()) return this->FinishOnce(added);
    this->StartRead(&request_);
  }

 protected:
  LineReadingCall(Runtime& runtime, Lane& lane, const char* name,
                  grpc::CallbackServerContext* context)
      : Base(runtime, lane, name, context),
        requests_(runtime.uploads, runtime.open_log) {}

  void ReadLine() {
    if (this->Admit()) this->StartRead(&request_);
  }
  virtual void OnLine() = 0;

  LineRequests<Request> requests_;

 private:
  Request request_;
};

// What computes the answer from a line folder and, where the call may carry one, from a
// serialized release.
template <typename Request, typename Response>
struct LineWorkOf {
  using Options = typename LineRequests<Request>::Options;
  using Files = std::vector<release::LineFile>;
  using Plain = std::function<absl::StatusOr<AnswerSource<Response>>(
      const Options&, const Files&, const StopFunction&)>;
  using WithRelease = std::function<absl::StatusOr<AnswerSource<Response>>(
      const Options&, const Files&, const std::string& release_bytes,
      const StopFunction&)>;
  using Type = std::conditional_t<CarriesRelease<Request>, WithRelease, Plain>;
};

// A line folder in, many answers out.
template <typename Request, typename Response>
class LineCall final
    : public LineReadingCall<
          AnsweringCall<grpc::ServerBidiReactor<Request, Response>, Response>, Request> {
  using Base =
      LineReadingCall<AnsweringCall<grpc::ServerBidiReactor<Request, Response>, Response>,
                      Request>;

 public:
  using Work = typename LineWorkOf<Request, Response>::Type;
  LineCall(Runtime& runtime, const char* name, grpc::CallbackServerContext* context,
           Work work)
      : Base(runtime, runtime.builds, name, context), work_(std::move(work)) {
    this->ReadLine();
  }

 private:
  void OnLine() override {
    this->ComputeAndAnswer([this] {
      const std::vector<release::LineFile> files = this->requests_.TakeFiles();
      if constexpr (CarriesRelease<Request>) {
        return work_(this->requests_.options(), files, this->requests_.TakeRelease(),
                     this->Stop());
      } else {
        return work_(this->requests_.options(), files, this->Stop());
      }
    });
  }

  const Work work_;
};

// A line folder in, one answer out, which `work` fills.
template <typename Request>
class LineUnaryCall final
    : public LineReadingCall<Call<grpc::ServerReadReactor<Request>>, Request> {
  using Base = LineReadingCall<Call<grpc::ServerReadReactor<Request>>, Request>;

 public:
  using Options = typename LineRequests<Request>::Options;
  using Work = std::function<absl::Status(
      const Options&, const std::vector<release::LineFile>&, const StopFunction&)>;
  LineUnaryCall(Runtime& runtime, const char* name, grpc::CallbackServerContext* context,
                Work work)
      : Base(runtime, runtime.builds, name, context), work_(std::move(work)) {
    this->ReadLine();
  }

 private:
  void OnLine() override {
    this->Compute(
        [this] {
          return work_(this->requests_.options(), this->requests_.TakeFiles(),
                       this->Stop());
        },
        [this](const absl::Status& status) { this->FinishOnce(status); });
  }

  const Work work_;
};

// Requests and answers in turn: the next request is read when the answer to the last is
// out.
template <typename Request, typename Response>
class TurnsCall final : public Call<grpc::ServerBidiReactor<Request, Response>> {
  using Base = Call<grpc::ServerBidiReactor<Request, Response>>;

 public:
  using Work =
      std::function<absl::Status(const Request&, Response*, const StopFunction&)>;
  TurnsCall(Runtime& runtime, Lane& lane, const char* name,
            grpc::CallbackServerContext* context, Work work)
      : Base(runtime, lane, name, context), work_(std::move(work)) {
    if (this->Admit()) this->StartRead(&request_);
  }

  void OnReadDone(bool ok) override {
    if (!ok) {
      if (this->context_->IsCancelled()) this->control_->Cancel();
      return this->FinishOnce(this->control_->Stopped() ? this->control_->WhyStopped()
                                                        : absl::OkStatus());
    }
    this->Compute(
        [this] {
          response_.Clear();
          return work_(request_, &response_, this->Stop());
        },
        [this](const absl::Status& status) {
          if (!status.ok()) return this->FinishOnce(status);
          this->state_ = Base::State::kWriting;
          if (this->control_->Stopped())
            return this->FinishOnce(this->control_->WhyStopped());
          this->StartWrite(&response_);
        });
  }

  void OnWriteDone(bool ok) override {
    if (!ok) return this->FinishOnce(absl::CancelledError("the caller stopped reading"));
    this->state_ = Base::State::kReading;
    this->StartRead(&request_);
  }

 private:
  const Work work_;
  Request request_;
  Response response_;
};

}  // namespace ratebound::service

#endif  // RATEBOUND_SERVICE_CALL_SHAPES_H_
