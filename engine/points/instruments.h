// Which instrument read a value, and how far off its readings may be.
//
// Example:
//   const document::Instrument* meter = InstrumentOf(manifest, "points/day1.csv",
//                                                    "entering_air_wb");
//   if (meter != nullptr) ExpandedSi(*meter, 17.2);      // 0.12, in K
//
// The instrument is the one that the column names; a column of the file comes before one
// of the line. Where no column names one, it is the instrument that `reads` the quantity.
//
// Thread-safety: pure; what is returned is part of the manifest.
#ifndef RATEBOUND_ENGINE_POINTS_INSTRUMENTS_H_
#define RATEBOUND_ENGINE_POINTS_INSTRUMENTS_H_

#include <string_view>

#include "engine/document/line.h"

namespace ratebound::points {

// Figures without a coverage factor are taken as expanded at about 95 % (JCGM
// 100, 6.3.3).
inline constexpr double kUsualCoverageFactor = 2;

// The column of a file that holds the means of a quantity, as far as the manifest says
// it; null where it says nothing.
const document::Column* ColumnOf(const document::LineManifest& manifest,
                                 std::string_view file, std::string_view quantity);

// Null where none is named.
const document::Instrument* InstrumentOf(const document::LineManifest& manifest,
                                         std::string_view file,
                                         std::string_view quantity);

// A figure of accuracy or the resolution at a reading, in the SI unit of a difference, as
// the laboratory states it. An unknown unit, which reading the manifest has refused,
// gives nothing.
double FigureSi(const document::Accuracy& accuracy, double reading_si);
double ResolutionSi(const document::Instrument& instrument);

// All accuracies and the resolution together, in quadrature, with a coverage factor of 2
// (JCGM 100, 4.3 and 5.1.2). Where they differ by distribution, each by its own standard
// uncertainty.
double ExpandedSi(const document::Instrument& instrument, double reading_si);

}  // namespace ratebound::points

#endif  // RATEBOUND_ENGINE_POINTS_INSTRUMENTS_H_
