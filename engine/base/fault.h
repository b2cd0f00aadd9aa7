// What is wrong with an input and where, collected so that all faults of an input are
// reported together rather than one a run.
//
// Example:
//   FaultList faults;
//   faults.Add({.file = "points/day1.csv", .line = 7, .column = 12,
//               .message = "'abc' is no number", .remedy = "write a decimal such
//               as 85.0"});
//   RETURN_IF_ERROR(faults.ToStatus());
//   // INVALID_ARGUMENT: points/day1.csv:7:12: 'abc' is no number; write a decimal such
//   as 85.0
//
// Thread-safety: as a std::vector.
#ifndef RATEBOUND_ENGINE_BASE_FAULT_H_
#define RATEBOUND_ENGINE_BASE_FAULT_H_

#include <string>
#include <vector>

#include "absl/status/status.h"

namespace ratebound::base {

struct Fault {
  std::string file;     // as the user named it; empty where there is no file
  int line = 0;         // from 1; 0 = not known
  int column = 0;       // from 1, in bytes; 0 = not known
  std::string field;    // path inside a document, such as claims[2].region; may be empty
  std::string message;  // what is wrong, in the user's words
  std::string remedy;   // what to write or do instead; may be empty

  // "file:line:column: field: message; remedy", leaving out what is not known.
  std::string ToString() const;

  friend bool operator==(const Fault&, const Fault&) = default;
};

class FaultList {
 public:
  // Faults past this many are counted and not kept, so that a hostile file cannot fill
  // memory.
  static constexpr int kMostKept = 1000;

  void Add(Fault fault);
  // Takes over the faults that another status carries; a status without any becomes one
  // fault.
  void AddStatus(const absl::Status& status);

  bool empty() const { return faults_.empty(); }
  int total() const { return total_; }
  const std::vector<Fault>& faults() const { return faults_; }

  // OK when empty; otherwise INVALID_ARGUMENT whose message holds one fault a line and
  // which carries the faults themselves for FaultsOf.
  absl::Status ToStatus() const;

 private:
  std::vector<Fault> faults_;
  int total_ = 0;
};

// The faults that ToStatus put into a status; empty for any other status.
std::vector<Fault> FaultsOf(const absl::Status& status);

}  // namespace ratebound::base

#endif  // RATEBOUND_ENGINE_BASE_FAULT_H_
