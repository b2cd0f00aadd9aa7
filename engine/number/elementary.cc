#include "engine/number/elementary.h"

#include <sleef.h>

namespace ratebound::number {

double Exp(double x) { return Sleef_cinz_expd1_u10purec(x); }
double Expm1(double x) { return Sleef_cinz_expm1d1_u10purec(x); }
double Log(double x) { return Sleef_cinz_logd1_u10purec(x); }
double Log1p(double x) {
  // SLEEF 3.5.1 answers infinity from about 1e307 on and 0 for the least numbers. Past
  // 2^54 the 1 is below half an ulp of x; below 2^-54 so is what the result differs from
  // x by.
  if (std::fabs(x) < 0x1p-54) return x;
  return x > 0x1p54 ? Log(x) : Sleef_cinz_log1pd1_u10purec(x);
}
double Log10(double x) { return Sleef_cinz_log10d1_u10purec(x); }
double Pow(double x, double y) { return Sleef_cinz_powd1_u10purec(x, y); }
double CubeRoot(double x) { return Sleef_cinz_cbrtd1_u10purec(x); }

double Sin(double x) { return Sleef_cinz_sind1_u10purec(x); }
double Cos(double x) { return Sleef_cinz_cosd1_u10purec(x); }
double Tan(double x) { return Sleef_cinz_tand1_u10purec(x); }
double Asin(double x) { return Sleef_cinz_asind1_u10purec(x); }
double Acos(double x) { return Sleef_cinz_acosd1_u10purec(x); }
double Atan(double x) { return Sleef_cinz_atand1_u10purec(x); }
double Atan2(double y, double x) { return Sleef_cinz_atan2d1_u10purec(y, x); }

double Sinh(double x) { return Sleef_cinz_sinhd1_u10purec(x); }
double Cosh(double x) { return Sleef_cinz_coshd1_u10purec(x); }
double Tanh(double x) { return Sleef_cinz_tanhd1_u10purec(x); }

}  // namespace ratebound::number
