// What a rating asks of a unit: the figures of each of its stages at given conditions.
//
// A source knows its quantities by their index, so that the hot call takes and gives
// plain numbers and allocates nothing; why there are no figures, and how well founded
// those are that there are, is asked apart and may be slow.
//
// Example:
//   const SourceDescription& unit = source.description();
//   const int power = unit.Find("power_input");            // -1 where it has none
//   std::vector<double> figures_si(unit.quantities.size());
//   if (source.Figures(0, conditions_si, figures_si)) figures_si[power];      // W
//
// Sources: map_figure_source.h (performance maps), function_figure_source.h (a formula or
// a table in code), declared_figure_source.h (test values that somebody declares).
//
// All values are SI; conditions stand in the order of description().mode.conditions,
// stages in that of mode.stages. A source gives the same figures for the same question.
// Thread-safety: const calls may be made concurrently.
#ifndef RATEBOUND_ENGINE_RATING_FIGURE_SOURCE_H_
#define RATEBOUND_ENGINE_RATING_FIGURE_SOURCE_H_

#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "absl/status/status.h"
#include "engine/document/line.h"
#include "engine/document/measure.h"

namespace ratebound::rating {

// Ratings make room for this many quantities of a source; Metric::Compile refuses more.
inline constexpr size_t kMostQuantities = 64;

// Who is rated, and what can be asked.
struct SourceDescription {
  document::Unit unit;
  // The mode that is rated; its held conditions are what the figures hold at unasked.
  document::Mode mode;
  // In the order of figures. Any of them may be unknown of some stage: it is NaN then.
  std::vector<std::string> quantities;

  int stage_count() const { return static_cast<int>(mode.stages.size()); }
  const std::string& StageId(int stage) const { return mode.stages[stage].id; }
  // -1 where there is none.
  int Find(std::string_view quantity) const;
};

// How figures stand to what was measured.
struct FigureFooting {
  document::Footing footing = document::Footing::kUnspecified;
  std::string reason;                    // why it is no better; may be empty
  std::vector<std::string> test_points;  // the one tested there, or the nearest
};

struct TestedRange {
  double low_si = 0;
  double high_si = 0;
};

class FigureSource {
 public:
  virtual ~FigureSource() = default;

  virtual const SourceDescription& description() const = 0;

  // Fills the figures of the first figures_si.size() quantities, NaN for those that the
  // stage has not. False where there are none at these conditions. Allocates nothing.
  virtual bool Figures(int stage, std::span<const double> conditions_si,
                       std::span<double> figures_si) const = 0;

  // Why Figures gave none; CANCELLED passes through to the caller of the rating.
  virtual absl::Status WhyNone(int stage,
                               std::span<const double> conditions_si) const = 0;

  // Of figures that there are.
  virtual FigureFooting Footing(int stage,
                                std::span<const double> conditions_si) const = 0;

  // Between which values of a condition the stage was tested; nothing where that cannot
  // be told.
  virtual std::optional<TestedRange> RangeOf(int /*stage*/, int /*condition*/) const {
    return {};
  }

 protected:
  FigureSource() = default;
  FigureSource(const FigureSource&) = default;
  FigureSource& operator=(const FigureSource&) = default;
};

}  // namespace ratebound::rating

#endif  // RATEBOUND_ENGINE_RATING_FIGURE_SOURCE_H_
