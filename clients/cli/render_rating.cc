#include <algorithm>
#include <map>
#include <utility>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_join.h"
#include "clients/cli/render.h"
#include "clients/cli/text_table.h"

namespace ratebound::cli {

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
namespace {

// Numbers that nobody here read in the document, by where they are said to stand.
class Unconfirmed {
 public:
  // "weight of point A = 0.02 (AHRI 340/360-2022, IEER equation: SECONDARY_TEXT)"
  void Add(const std::string& procedure, const std::string& number) {
    const size_t open = number.find(" (");
    const size_t colon = number.rfind(": ");
    std::string source = procedure;
    std::string what = number;
    if (open != std::string::npos && colon != std::string::npos && open < colon &&
        number.back() == ')') {
      const std::string basis = number.substr(colon + 2, number.size() - colon - 3);
      source = absl::StrCat(procedure, ", ", number.substr(open + 2, colon - open - 2),
                            basis == "MEMORY"           ? " (from memory)"
                            : basis == "SECONDARY_TEXT" ? " (quoted elsewhere)"
                                                        : absl::StrCat(" (", basis, ")"));
      what = number.substr(0, open);
    }
    const auto [found, fresh] = places_.try_emplace(source, sources_.size());
    if (fresh) sources_.push_back({source, {}});
    std::vector<std::string>& numbers = sources_[found->second].second;
    if (std::find(numbers.begin(), numbers.end(), what) == numbers.end()) {
      numbers.push_back(what);
    }
  }
  std::string Text() const {
    if (sources_.empty()) return "";
    std::string text =
        "\nNot read in the published document; confirm against a licensed copy before "
        "publication:\n";
    for (const auto& [source, numbers] : sources_) {
      absl::StrAppend(&text, Wrapped(source + ":", 2),
                      Wrapped(absl::StrJoin(numbers, "; "), 6));
    }
    return text;
  }

 private:
  std::map<std::string, size_t> places_;
  std::vector<std::pair<std::string, std::vector<std::string>>> sources_;
};

}  // namespace

std::string TraceText(const google::protobuf::RepeatedPtrField<v1::TraceStep>& steps,
                      int indent) {
  TextTable table({"value", "", "how", "clause", "basis", "footing"},
                  {Align::kLeft, Align::kRight, Align::kLeft, Align::kLeft, Align::kLeft,
                   Align::kLeft});
  for (const v1::TraceStep& step : steps) {
    table.AddRow(
        {std::string(2 * step.depth(), ' ') + step.label(),
         absl::StrCat(Number(step.value()), step.unit().empty() ? "" : " ", step.unit()),
         step.how(), step.clause(), BasisWord(step.basis()),
         FootingWord(step.footing())});
  }
  return table.ToString(indent);
}

std::string RatingsText(const std::vector<v1::Rating>& ratings, bool explain) {
  std::string text;
  Unconfirmed unconfirmed;
  for (const v1::Rating& rating : ratings) {
    if (!rating.refusal().empty()) {
      absl::StrAppend(&text, rating.unit(), "  ", rating.metric(), "  not rated by ",
                      rating.procedure(), ":\n", Wrapped(rating.refusal(), 4));
      continue;
    }
    absl::StrAppend(&text, rating.unit(), "  ", rating.metric(), " ", rating.rounded(),
                    " ", rating.metric_unit(), "  (", Number(rating.value()),
                    " before rounding; ", FootingWord(rating.footing()), "; ",
                    rating.edition(), ")\n");
    if (explain) {
      absl::StrAppend(&text, TraceText(rating.trace(), 4));
      for (const std::string& note : rating.notes())
        absl::StrAppend(&text, "    ", note, "\n");
    }
    for (const std::string& number : rating.unconfirmed_numbers()) {
      unconfirmed.Add(rating.procedure(), number);
    }
  }
  text += unconfirmed.Text();
  absl::StrAppend(&text, "\nComputed figures, not certified ratings.\n");
  return text;
}

std::string RatingsCsv(const std::vector<v1::Rating>& ratings) {
  TextTable table({"unit", "procedure", "edition", "metric", "metric_unit", "value",
                   "rounded", "footing", "refusal", "unconfirmed", "notes"},
                  {});
  for (const v1::Rating& rating : ratings) {
    table.AddRow({rating.unit(), rating.procedure(), rating.edition(), rating.metric(),
                  rating.metric_unit(), rating.has_value() ? Exact(rating.value()) : "",
                  rating.rounded(), FootingWord(rating.footing()), rating.refusal(),
                  absl::StrJoin(rating.unconfirmed_numbers(), "; "),
                  absl::StrJoin(rating.notes(), "; ")});
  }
  return table.ToCsv();
}

}  // namespace ratebound::cli
