#include "engine/base/iso_date.h"

#include "gtest/gtest.h"

namespace ratebound::base {
namespace {

TEST(IsIsoDateTest, TakesDaysOfTheCalendarOnly) {
  for (const char* day : {"2026-03-31", "2024-02-29", "2000-02-29", "0001-01-01"}) {
    EXPECT_TRUE(IsIsoDate(day)) << day;
  }
  for (const char* text :
       {"", "2026-3-31", "2026-02-29", "1900-02-29", "2026-04-31", "2026-13-01",
        "2026-00-01", "2026-01-00", "0000-01-01", "2026/03/31", "31-03-2026",
        "2026-03-31 ", "+026-03-31", "2026-03-3x"}) {
    EXPECT_FALSE(IsIsoDate(text)) << text;
  }
}

}  // namespace
}  // namespace ratebound::base
