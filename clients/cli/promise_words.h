// What a claim promises, in words: for texts, tables and reports.
//
// Example: PromiseWords(claim) is "total_capacity at least 133 kBtu/h",
// ServingWords(claim) "stage sml", CutsWords(claim) "entering_air_wb not above
// entering_air_db".
#ifndef RATEBOUND_CLIENTS_CLI_PROMISE_WORDS_H_
#define RATEBOUND_CLIENTS_CLI_PROMISE_WORDS_H_

#include <string>

#include "ratebound/v1/claim.pb.h"

namespace ratebound::cli {

std::string PromiseWords(const v1::Claim& claim);
// Which stages answer; empty where the kind of promise says so itself.
std::string ServingWords(const v1::Claim& claim);
// The relations that cut the region; empty without any.
std::string CutsWords(const v1::Claim& claim);
// "entering_air_wb 66 to 72 degF, ..."
std::string RegionWords(
    const google::protobuf::RepeatedPtrField<v1::MeasureRange>& region);

}  // namespace ratebound::cli

#endif  // RATEBOUND_CLIENTS_CLI_PROMISE_WORDS_H_
