// A release: everything computed from one state of a line folder.
// See proto/ratebound/v1/release.proto.
#ifndef RATEBOUND_ENGINE_DOCUMENT_RELEASE_H_
#define RATEBOUND_ENGINE_DOCUMENT_RELEASE_H_

#include <cstdint>
#include <string>
#include <vector>

#include "engine/document/claim.h"
#include "engine/document/curve.h"
#include "engine/document/line.h"
#include "engine/document/log.h"
#include "engine/document/map.h"
#include "engine/document/method.h"
#include "engine/document/points.h"
#include "engine/document/procedure.h"
#include "engine/document/rating.h"
#include "engine/document/table.h"

namespace ratebound::document {

struct SourceFile {
  std::string path;
  std::string sha256;
  int64_t byte_count = 0;
  friend bool operator==(const SourceFile&, const SourceFile&) = default;
};

struct Release {
  std::string engine_version;
  LineManifest manifest;
  std::vector<SourceFile> source_files;
  std::vector<TestPoint> points;
  std::vector<Finding> findings;
  std::vector<StageMap> maps;
  std::vector<Procedure> procedures;
  std::vector<Rating> ratings;
  std::vector<Verdict> verdicts;
  std::vector<Table> tables;
  std::vector<MeasurementMethod> methods;
  std::vector<LogReport> log_reports;
  std::vector<CurveFit> curves;
  friend bool operator==(const Release&, const Release&) = default;
};

}  // namespace ratebound::document

#endif  // RATEBOUND_ENGINE_DOCUMENT_RELEASE_H_
