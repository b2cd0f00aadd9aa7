// Where in a file something stands.
#ifndef RATEBOUND_ENGINE_DOCUMENT_PLACE_H_
#define RATEBOUND_ENGINE_DOCUMENT_PLACE_H_

namespace ratebound::document {

struct Place {
  int line = 0;    // from 1; 0 = not known
  int column = 0;  // from 1, in bytes; 0 = not known

  friend bool operator==(const Place&, const Place&) = default;
};

}  // namespace ratebound::document

#endif  // RATEBOUND_ENGINE_DOCUMENT_PLACE_H_
