// Checks that the forms of procedures share. Private to engine/document. `inputs` are the
// procedure's required inputs.
#ifndef RATEBOUND_ENGINE_DOCUMENT_CHECK_PROCEDURE_PARTS_H_
#define RATEBOUND_ENGINE_DOCUMENT_CHECK_PROCEDURE_PARTS_H_

#include <google/protobuf/repeated_field.h>

#include <cmath>
#include <string>
#include <utility>
#include <vector>

#include "absl/strings/str_cat.h"
#include "engine/base/text.h"
#include "engine/document/check_citation.h"
#include "engine/document/check_parts.h"
#include "engine/document/check_required_inputs.h"

namespace ratebound::document {

void CheckCitedValue(const v1::CitedValue& value, const Node& node);
// In the unit of the metric, or a plain number of that unit; above zero.
void CheckMetricValue(const v1::CitedValue& value, const std::string& metric_unit,
                      const Node& node);
// A number of percent.
void CheckPercent(const v1::CitedValue& value, double low, double high, const Node& node);
void CheckPlainNumber(const v1::CitedValue& value, const Node& node);
// A weight: a plain number, not negative.
void CheckWeight(const v1::CitedValue& weight, const Node& node);
// Stated, or one of the inputs, in any unit.
void CheckNumber(const v1::CitedNumber& number, const RequiredInputs& inputs,
                 const Node& node);
// The same where the formula takes it as it is written: it has no unit.
void CheckPlainFactor(const v1::CitedNumber& number, const RequiredInputs& inputs,
                      const Node& node);
// The same where it is turned into a unit of `dimension`.
void CheckNumberOf(quantity::Dimension dimension, const v1::CitedNumber& number,
                   const RequiredInputs& inputs, const Node& node);

void CheckCondition(const v1::CitedCondition& condition, const RequiredInputs& inputs,
                    const Node& node);
// In the field `field` of `owner`; each quantity once in `unique`.
void CheckConditions(
    const google::protobuf::RepeatedPtrField<v1::CitedCondition>& conditions, int field,
    const RequiredInputs& inputs, Unique& unique, const Node& owner);

// Forms besides weighted load points. `common` holds the quantities of the common
// conditions.
void CheckOnePoint(const v1::OnePoint& form, const RequiredInputs& inputs,
                   const Node& node);
void CheckWeightedConditions(const v1::Procedure& procedure, const RequiredInputs& inputs,
                             const Unique& common, const Node& node);
void CheckCompressorTable(const v1::Procedure& procedure, const RequiredInputs& inputs,
                          const Node& node);

// Faults weights that do not add up to the procedure's weight_sum; `root` is the node of
// the procedure.
void CheckWeightSum(double sum, const v1::Procedure& procedure, const Node& root);

}  // namespace ratebound::document

#endif  // RATEBOUND_ENGINE_DOCUMENT_CHECK_PROCEDURE_PARTS_H_
