// The published procedures, methods of measuring, minimum levels and test tolerances of
// ratings/procedures, built into the program.
//
// Example:
//   for (const EmbeddedFile& file : EmbeddedProcedures()) {
//     ASSIGN_OR_RETURN(document::Procedure procedure,
//                      document::ParseProcedure(file.path, file.bytes));
//   }
//
// Lifetime: the span and what it refers to live as long as the program.
#ifndef RATEBOUND_RATINGS_PROCEDURES_H_
#define RATEBOUND_RATINGS_PROCEDURES_H_

#include <span>
#include <string_view>

namespace ratebound::ratings {

struct EmbeddedFile {
  std::string_view
      path;  // below ratings/, such as "procedures/us/ieer-air-cooled.textproto"
  std::string_view bytes;
};

// In the order of their paths.
std::span<const EmbeddedFile> EmbeddedProcedures();
// Those of procedures/methods, for document::ParseMethod.
std::span<const EmbeddedFile> EmbeddedMethods();
// Those of procedures/minimums, for document::ParseMinimumLevels.
std::span<const EmbeddedFile> EmbeddedMinimums();
// Those of procedures/tolerances, for document::ParseTestTolerances.
std::span<const EmbeddedFile> EmbeddedTolerances();

}  // namespace ratebound::ratings

#endif  // RATEBOUND_RATINGS_PROCEDURES_H_
