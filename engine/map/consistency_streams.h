// Leaving temperatures against the heat that their stream takes up, at the tested points.
//
// heat = flow * density * specific heat * (leaving - entering), of the far side for
// leaving_water_temp and leaving_condenser_water_temp (capacity plus power while cooling,
// less power and given off while heating), of the conditioned side for
// leaving_chilled_water_temp and leaving_air_db (sensible capacity while cooling). The
// product of a flow and a surface is no sum of surfaces, so nothing is proven between the
// points.
//
// Water by engine/fluid/liquid.h at the mean temperature and 300 kPa; a map over, or held
// at, a fluid_concentration is passed over. Air by standard_air_flow, 1.2 kg/m3 of dry
// air (as ANSI/ASHRAE 37 counts it, from memory) and 1020 J/(kg K), moist air at a
// humidity ratio of 0.008 kg/kg.
//
// Thread-safety: pure.
#ifndef RATEBOUND_ENGINE_MAP_CONSISTENCY_STREAMS_H_
#define RATEBOUND_ENGINE_MAP_CONSISTENCY_STREAMS_H_

#include <vector>

#include "engine/document/line.h"
#include "engine/document/map.h"

namespace ratebound::map {

// One result for each stream whose leaving temperature has a surface and whose entering
// temperature and flow are conditions.
std::vector<document::ConsistencyResult> JudgeStreams(const document::Mode& mode,
                                                      const document::StageMap& map);

}  // namespace ratebound::map

#endif  // RATEBOUND_ENGINE_MAP_CONSISTENCY_STREAMS_H_
