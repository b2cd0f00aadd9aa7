// Early return on an error. The names are those of today's Abseil, which the packaged
// release does not carry yet, so that the day of the upgrade deletes this file.
//
// Example:
//   RETURN_IF_ERROR(CheckRegion(region));
//   ASSIGN_OR_RETURN(Surface surface, FitSurface(points));
#ifndef RATEBOUND_ENGINE_BASE_STATUS_MACROS_H_
#define RATEBOUND_ENGINE_BASE_STATUS_MACROS_H_

#include <utility>

#include "absl/status/status.h"
#include "absl/status/statusor.h"

#define RETURN_IF_ERROR(expression)                        \
  do {                                                     \
    ::absl::Status ratebound_status_ = (expression);       \
    if (!ratebound_status_.ok()) return ratebound_status_; \
  } while (false)

#define RATEBOUND_CONCATENATE_INNER_(a, b) a##b
#define RATEBOUND_CONCATENATE_(a, b) RATEBOUND_CONCATENATE_INNER_(a, b)
#define ASSIGN_OR_RETURN(target, expression)                                       \
  RATEBOUND_ASSIGN_OR_RETURN_(RATEBOUND_CONCATENATE_(statusor_, __LINE__), target, \
                              expression)
#define RATEBOUND_ASSIGN_OR_RETURN_(statusor, target, expression) \
  auto statusor = (expression);                                   \
  if (!statusor.ok()) return std::move(statusor).status();        \
  target = *std::move(statusor)

#endif  // RATEBOUND_ENGINE_BASE_STATUS_MACROS_H_
