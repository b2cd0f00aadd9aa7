#include <set>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_format.h"
#include "clients/cli/render.h"
#include "clients/cli/text_table.h"

namespace ratebound::cli {
namespace {

std::string BasisWord(v1::Basis basis) {
  switch (basis) {
    case v1::BASIS_PUBLISHED_TEXT:
      return "published text";
    case v1::BASIS_SECONDARY_TEXT:
      return "quoted elsewhere";
    case v1::BASIS_MEMORY:
      return "from memory";
    default:
      return "";
  }
}

std::string Trace(const v1::Rating& rating) {
  TextTable table({"value", "", "how", "clause", "basis", "footing"},
                  {Align::kLeft, Align::kRight, Align::kLeft, Align::kLeft, Align::kLeft,
                   Align::kLeft});
  for (const v1::TraceStep& step : rating.trace()) {
    table.AddRow(
        {std::string(2 * step.depth(), ' ') + step.label(),
         absl::StrCat(Number(step.value()), step.unit().empty() ? "" : " ", step.unit()),
         step.how(), step.clause(), BasisWord(step.basis()),
         FootingWord(step.footing())});
  }
  return table.ToString(4);
}

}  // namespace

std::string RatingsText(const std::vector<v1::Rating>& ratings, bool explain) {
  std::string text;
  std::set<std::string> unconfirmed;
  for (const v1::Rating& rating : ratings) {
    if (!rating.refusal().empty()) {
      absl::StrAppend(&text, rating.unit(), "  ", rating.metric(), "  not rated by ",
                      rating.procedure(), ": ", rating.refusal(), "\n");
      continue;
    }
    absl::StrAppend(&text, rating.unit(), "  ", rating.metric(), " ", rating.rounded(),
                    " ", rating.metric_unit(), "  (", Number(rating.value()),
                    " before rounding; ", FootingWord(rating.footing()), "; ",
                    rating.edition(), ")\n");
    if (explain) {
      absl::StrAppend(&text, Trace(rating));
      for (const std::string& note : rating.notes())
        absl::StrAppend(&text, "    ", note, "\n");
    }
    for (const std::string& number : rating.unconfirmed_numbers()) {
      unconfirmed.insert(absl::StrCat(rating.procedure(), ": ", number));
    }
  }
  if (!unconfirmed.empty()) {
    absl::StrAppend(
        &text,
        "\nNot read in the published document; confirm against a licensed copy before "
        "publication:\n");
    for (const std::string& number : unconfirmed)
      absl::StrAppend(&text, "  ", number, "\n");
  }
  absl::StrAppend(&text, "\nComputed figures, not certified ratings.\n");
  return text;
}

std::string RatingsCsv(const std::vector<v1::Rating>& ratings) {
  TextTable table({"unit", "procedure", "edition", "metric", "metric_unit", "value",
                   "rounded", "footing", "refusal", "unconfirmed_count"},
                  {});
  for (const v1::Rating& rating : ratings) {
    table.AddRow({rating.unit(), rating.procedure(), rating.edition(), rating.metric(),
                  rating.metric_unit(),
                  rating.has_value() ? absl::StrFormat("%.17g", rating.value()) : "",
                  rating.rounded(), FootingWord(rating.footing()), rating.refusal(),
                  absl::StrCat(rating.unconfirmed_numbers_size())});
  }
  return table.ToCsv();
}

}  // namespace ratebound::cli
