#include "absl/strings/str_cat.h"
#include "absl/strings/str_format.h"
#include "clients/cli/display_unit.h"
#include "clients/cli/render.h"
#include "clients/cli/text_table.h"

namespace ratebound::cli {
namespace {

struct Printed {
  std::string value;
  std::string half_width;
  std::string unit;
};

// Two digits of the half width, and the value to the same place.
Printed Print(const v1::Figure& figure, bool inch_pound) {
  const Displayed shown = Display(figure.quantity(), figure.value(), inch_pound);
  Printed printed{.unit = shown.unit};
  const double value = shown.value;
  const double half_width = figure.half_width() * shown.scale;
  if (figure.has_half_width() && half_width > 0) {
    int decimals = 0;
    double scaled = half_width;
    for (; scaled < 9.95 && decimals < 6; ++decimals) scaled *= 10;
    printed.value = absl::StrFormat("%.*f", decimals, value);
    printed.half_width = absl::StrFormat("%.*f", decimals, half_width);
  } else {
    printed.value = Number(value);
  }
  return printed;
}

}  // namespace

std::string AnswerText(const v1::EvaluateResponse& answer, bool inch_pound) {
  std::string text =
      absl::StrCat("release ", answer.effective_release().substr(0, 16), "\n");
  for (const v1::StageAnswer& stage : answer.stages()) {
    absl::StrAppend(&text, "\n", stage.mode(), ", stage ", stage.stage(), ": ",
                    FootingWord(stage.footing()),
                    stage.footing_reason().empty() ? "" : ": ", stage.footing_reason(),
                    "\n");
    TextTable table({"", "", "", ""},
                    {Align::kLeft, Align::kRight, Align::kLeft, Align::kLeft});
    for (const v1::Figure& figure : stage.figures()) {
      const Printed printed = Print(figure, inch_pound);
      table.AddRow({figure.quantity(), printed.value,
                    printed.half_width.empty() ? "" : "+- " + printed.half_width,
                    printed.unit});
    }
    const std::string rows = table.ToString(2);
    text += rows.substr(rows.find('\n') + 1);
  }
  absl::StrAppend(&text, "\n+- is the ",
                  absl::StrFormat("%.4g", 100 * answer.effective_confidence()),
                  " % confidence interval of the surface, without systematic error.\n");
  for (const std::string& caution : answer.cautions())
    absl::StrAppend(&text, caution, "\n");
  return text;
}

std::string AnswerCsv(const v1::EvaluateResponse& answer, bool inch_pound) {
  TextTable table({"release", "mode", "stage", "quantity", "value", "half_width", "unit",
                   "confidence", "footing", "footing_reason"},
                  {});
  for (const v1::StageAnswer& stage : answer.stages()) {
    for (const v1::Figure& figure : stage.figures()) {
      const Printed printed = Print(figure, inch_pound);
      table.AddRow({answer.effective_release(), stage.mode(), stage.stage(),
                    figure.quantity(), printed.value, printed.half_width, printed.unit,
                    Exact(answer.effective_confidence()), FootingWord(stage.footing()),
                    stage.footing_reason()});
    }
  }
  return table.ToCsv();
}

std::string CurveAnswerText(const v1::EvaluateCurveResponse& answer, bool inch_pound) {
  std::string text = absl::StrCat(
      "release ", answer.effective_release().substr(0, 16), "\n\ncurve ",
      answer.effective_curve(), ": ", FootingWord(answer.footing()),
      answer.footing_reason().empty() ? "" : ": ", answer.footing_reason(), "\n");
  for (const v1::Figure& figure : answer.figures()) {
    const Printed printed = Print(figure, inch_pound);
    absl::StrAppend(&text, "  ", figure.quantity(), "  ", printed.value, " ",
                    printed.unit, "\n");
  }
  for (const std::string& warning : answer.warnings()) {
    absl::StrAppend(&text, "  warning: ", warning, "\n");
  }
  for (const std::string& caution : answer.cautions()) {
    absl::StrAppend(&text, caution, "\n");
  }
  return text;
}

std::string CurveAnswerCsv(const v1::EvaluateCurveResponse& answer, bool inch_pound) {
  TextTable table({"curve", "quantity", "value", "unit", "footing", "footing_reason"},
                  {});
  for (const v1::Figure& figure : answer.figures()) {
    const Displayed shown = Display(figure.quantity(), figure.value(), inch_pound);
    table.AddRow({answer.effective_curve(), figure.quantity(), Exact(shown.value),
                  shown.unit, FootingWord(answer.footing()), answer.footing_reason()});
  }
  return table.ToCsv();
}

}  // namespace ratebound::cli
