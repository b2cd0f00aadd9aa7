// Messages with every field set, to see that none is forgotten.
#ifndef RATEBOUND_TESTS_ENGINE_DOCUMENT_POPULATE_H_
#define RATEBOUND_TESTS_ENGINE_DOCUMENT_POPULATE_H_

#include <google/protobuf/message.h>

#include "ratebound/v1/release.pb.h"
#include "tests/testing/random.h"

namespace ratebound::document {

// Sets every field below `message` to something other than its default, repeated fields
// to two items and each oneof to one of its members, and then makes quantities, units and
// sizes fit.
void Populate(google::protobuf::Message* message, testing::Random& random);

}  // namespace ratebound::document

#endif  // RATEBOUND_TESTS_ENGINE_DOCUMENT_POPULATE_H_
