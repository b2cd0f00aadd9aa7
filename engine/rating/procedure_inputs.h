// Values that a procedure asks of the user and that the manifest gives for one unit.
#ifndef RATEBOUND_ENGINE_RATING_PROCEDURE_INPUTS_H_
#define RATEBOUND_ENGINE_RATING_PROCEDURE_INPUTS_H_

#include <string>
#include <vector>

#include "absl/status/status.h"
#include "absl/status/statusor.h"
#include "engine/document/procedure.h"

namespace ratebound::rating {

class ProcedureInputs {
 public:
  // Refers to both, which must outlive it.
  ProcedureInputs(const document::Procedure& procedure, const document::Unit& unit)
      : procedure_(procedure), unit_(unit) {}

  // Null where the manifest gives no such input.
  const document::ProcedureInput* Find(const std::string& name) const;

  // FAILED_PRECONDITION naming every one of `names` that the manifest does not give, with
  // what it is.
  absl::Status Require(const std::vector<std::string>& names) const;

  // The input in `unit`, as a value of `quantity`. FAILED_PRECONDITION where it is
  // missing or its unit does not fit.
  absl::StatusOr<double> In(const std::string& name, const std::string& quantity,
                            const std::string& unit) const;
  // The same in SI.
  absl::StatusOr<double> InSi(const std::string& name, const std::string& quantity) const;
  // The same for a plain number.
  absl::StatusOr<double> Number(const std::string& name) const;

  // A number that the procedure states, in the unit that it states, or the input in the
  // unit that required_inputs asks for.
  absl::StatusOr<double> ValueOf(const document::CitedNumber& number) const;
  // The same in `unit`; a number without a unit is taken in it.
  absl::StatusOr<double> ValueIn(const document::CitedNumber& number,
                                 const std::string& unit) const;

 private:
  absl::StatusOr<double> InUnitOf(const std::string& name, double value,
                                  const std::string& from, const std::string& to) const;
  absl::Status Unfit(const document::ProcedureInput& input,
                     const absl::Status& why) const;

  const document::Procedure& procedure_;
  const document::Unit& unit_;
};

}  // namespace ratebound::rating

#endif  // RATEBOUND_ENGINE_RATING_PROCEDURE_INPUTS_H_
