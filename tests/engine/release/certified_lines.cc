#include "tests/engine/release/certified_lines.h"

#include <utility>

#include "absl/strings/str_cat.h"
#include "engine/release/build.h"
#include "tests/testing/line_files.h"

namespace ratebound::release {
namespace {

absl::StatusOr<CertifiedLine> BuildOf(const std::vector<LineFile>& files) {
  const auto procedures = testing::PublishedProcedures();
  const auto methods = testing::PublishedMethods();
  CertifiedLine built;
  auto release =
      Build({.files = files,
             .procedures = procedures,
             .methods = methods,
             .parts = {.maps = true, .ratings = true, .verdicts = true, .tables = false},
             .certifications = &built.certifications});
  if (!release.ok()) return release.status();
  built.release = *std::move(release);
  return built;
}

std::string ClaimOf(const std::string& id, const std::string& body) {
  return absl::StrCat("claims { id: '", id,
                      "' statement: 'A form for tests.' unit: 'hall-46' mode: 'cooling' ",
                      body, R"(
  region { quantity: "entering_water_temp" low: 55 high: 95 unit: "degF" }
  region { quantity: "entering_air_wb" low: 66 high: 72 unit: "degF" }
  region { quantity: "air_flow" low: 4300 high: 5900 unit: "cfm" }
  region { quantity: "water_flow" low: 28 high: 43 unit: "gpm" }
  confidence: 0.95
  allowance { absolute: 0.02 reason: "Form and production." }
})");
}

std::string QuantityClaim(const std::string& id, const std::string& quantity,
                          const std::string& relation, const std::string& unit,
                          const std::string& rest) {
  return ClaimOf(id, absl::StrCat("quantity: '", quantity, "' relation: RELATION_",
                                  relation, " limit_unit: '", unit, "' ", rest));
}

std::string AllForms() {
  // Steps and an envelope are among the demo line's own claims.
  const std::string capacity = "total_capacity";
  const std::string load = "kBtu/h";
  const std::string some =
      " serving { rule: SERVING_RULE_SOME stages: 'ml' stages: 'sml' }";
  const std::string full = " stage: 'sml'";
  std::string text;
  const auto add = [&](const std::string& claim) { absl::StrAppend(&text, claim, "\n"); };
  add(QuantityClaim("every", capacity, "AT_LEAST", load,
                    "limit: 8 serving { rule: SERVING_RULE_EVERY }"));
  add(QuantityClaim("lowest", capacity, "AT_LEAST", load,
                    "limit: 8 serving { rule: SERVING_RULE_LOWEST }"));
  add(QuantityClaim("window", capacity, "WITHIN", load,
                    "limit: 8 upper_limit: 300" + full));
  add(QuantityClaim("table", capacity, "AT_LEAST", load, full + R"(
    limit_table { source: "Invented for tests."
      rows { ranges { quantity: "entering_water_temp" low: 55 high: 75 unit: "degF" }
             limit: 130 }
      rows { ranges { quantity: "entering_water_temp" low: 75 high: 95 unit: "degF" }
             limit: 125 } })"));
  add(QuantityClaim("line", capacity, "AT_LEAST", load, full + R"(
    limit_line { quantity: "entering_water_temp" unit: "degF" value: 55 limit: 130
                 other_value: 95 other_limit: 120 })"));
  add(QuantityClaim("some-window", capacity, "WITHIN", load,
                    "limit: 130 upper_limit: 190" + some));
  add(QuantityClaim("some-refuted", capacity, "AT_LEAST", load, "limit: 400" + some));
  add(QuantityClaim("parts", capacity, "AT_LEAST", load, R"(limit: 8
    serving { rule: SERVING_RULE_PER_PART
      parts { stage: "ml"
        ranges { quantity: "entering_water_temp" low: 55 high: 80 unit: "degF" } }
      parts { stage: "sml"
        ranges { quantity: "entering_water_temp" low: 80 high: 95 unit: "degF" } } })"));
  add(QuantityClaim("efficiency", "energy_efficiency_ratio", "AT_LEAST", "Btu/Wh",
                    "limit: 9" + full));
  add(QuantityClaim("efficiency-window", "energy_efficiency_ratio", "WITHIN", "Btu/Wh",
                    "limit: 9 upper_limit: 40" + full));
  add(QuantityClaim("efficiency-refuted", "energy_efficiency_ratio", "AT_LEAST", "Btu/Wh",
                    "limit: 18" + full));
  add(QuantityClaim("sensible-part", "sensible_heat_ratio", "AT_MOST", "1",
                    "limit: 0.98" + full));
  add(QuantityClaim("rejected", "heat_rejection", "AT_LEAST", load, "limit: 100" + full));
  add(QuantityClaim("warmed", "water_temperature_difference", "AT_MOST", "delta_degF",
                    "limit: 20" + full));
  add(QuantityClaim("against", "sensible_capacity", "AT_MOST", load,
                    "against { quantity: 'total_capacity' offset: -2 }" + full));
  add(QuantityClaim("cut", capacity, "AT_LEAST", load, "limit: 120" + full + R"(
    cuts { polygon { quantity: "entering_water_temp" unit: "degF"
        other_quantity: "entering_air_wb" other_unit: "degF"
        vertices { value: 55 other_value: 66 } vertices { value: 95 other_value: 66 }
        vertices { value: 95 other_value: 72 } vertices { value: 75 other_value: 69 }
        vertices { value: 55 other_value: 72 } } }
    cuts { linear { terms { quantity: "water_flow" factor: 1 unit: "gpm" }
        terms { quantity: "air_flow" factor: -0.008 unit: "cfm" } at_most: 5 } })"));
  add(QuantityClaim("cut-refuted", capacity, "AT_LEAST", load, "limit: 400" + full + R"(
    cuts { order { quantity: "entering_air_wb" not_above: "entering_water_temp" } })"));
  add(ClaimOf("turndown",
              "relation: RELATION_AT_MOST turndown { capacity_fraction: 0.3 }"));
  return text;
}

absl::StatusOr<CertifiedLine> MakeForms() {
  auto files = testing::ReadLineFiles("ratings/lines/canal-halls");
  for (LineFile& file : files) {
    if (file.path == "claims.textproto") file.bytes = AllForms();
  }
  return BuildOf(files);
}

}  // namespace

const document::Certificate* CertifiedLine::Find(const std::string& claim) const {
  for (size_t i = 0; i < certifications.size(); ++i) {
    if (release.verdicts[i].claim == claim && certifications[i].certificate) {
      return &*certifications[i].certificate;
    }
  }
  return nullptr;
}

const absl::StatusOr<CertifiedLine>& DemoLine() {
  static const auto* const built = new absl::StatusOr<CertifiedLine>(
      BuildOf(testing::ReadLineFiles("ratings/lines/canal-halls")));
  return *built;
}

const absl::StatusOr<CertifiedLine>& MeasuredLine() {
  static const auto* const built = new absl::StatusOr<CertifiedLine>(
      BuildOf(testing::ReadLineFiles("ratings/lines/nist-chamber-ashp")));
  return *built;
}

const absl::StatusOr<CertifiedLine>& SpecimensLine() {
  static const auto* const built = new absl::StatusOr<CertifiedLine>(
      BuildOf(testing::ReadLineFiles("ratings/lines/canal-foyers")));
  return *built;
}

const absl::StatusOr<CertifiedLine>& FormsLine() {
  static const auto* const built = new absl::StatusOr<CertifiedLine>(MakeForms());
  return *built;
}

document::Certificate Sealed(document::Certificate certificate) {
  certificate.seal = document::SealOf(certificate);
  return certificate;
}

}  // namespace ratebound::release
