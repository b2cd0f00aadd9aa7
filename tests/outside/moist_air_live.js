// Compares our states of moist air, as moist_air_states prints them, with the answers of
// PsychroLib, an independent open-source implementation of the same Handbook equations.
//
//   node moist_air_live.js STATES.csv
//
// Prints an OUTSIDE line for each property (see tests/testing/outside.h) and ends with 1 where a
// deviation is above its tolerance or fewer than 10,000 states were compared.
//
// PsychroLib searches wet bulb and dew point to 0.001 degC (0.0018 degF), so these two are held
// to that, and besides put back into its equations, which do not search: "..._put_back". Like us
// by default it takes ice below the triple point (saturation) and the melting point (wick).
'use strict';
const fs = require('fs');
const psychrolib = require('psychrolib');

const version = require('psychrolib/package.json').version;
const source = `PsychroLib 2.5.0, npm package psychrolib ${version}, same states`;

class Check {
  constructor(name, tolerance) {
    Object.assign(this, { name, tolerance, cases: 0, worst: 0, worstCase: '' });
  }
  add(deviation, state) {
    this.cases += 1;
    // Not-a-number counts as worst, whatever follows.
    if (Number.isNaN(this.worst) || deviation <= this.worst) return;
    this.worst = deviation;
    this.worstCase = state;
  }
  print() {
    const ok = this.cases >= 10000 && this.worst <= this.tolerance;
    console.log('OUTSIDE ' + JSON.stringify({
      name: this.name, source, kind: 'outside', cases: this.cases,
      worst: Number.isFinite(this.worst) ? this.worst : null, worst_case: this.worstCase,
      tolerance: this.tolerance, ok,
    }));
    return ok;
  }
}

const relative = (ours, theirs) => Math.abs(ours / theirs - 1);

function compare(formulation, states) {
  const inchPound = formulation === 'IP';
  psychrolib.SetUnitSystem(inchPound ? psychrolib.IP : psychrolib.SI);
  const degree = inchPound ? 1.8 : 1;
  const melting = inchPound ? 32 : 0;
  const name = (what) => `fluid.moist_air_live_${formulation.toLowerCase()}_${what}`;
  const checks = {
    humidityRatio: new Check(name('humidity_ratio'), 1e-12),
    relativeHumidity: new Check(name('relative_humidity'), 1e-12),
    enthalpy: new Check(name('enthalpy'), 1e-12),
    volume: new Check(name('specific_volume'), 1e-12),
    wetBulb: new Check(name('wet_bulb_degrees'), 0.001 * degree),
    wetBulbBack: new Check(name('wet_bulb_put_back'), 1e-9),
    dewPoint: new Check(name('dew_point_degrees'), 0.001 * degree),
    dewPointBack: new Check(name('dew_point_put_back'), 1e-9),
  };
  let twoValued = 0;
  for (const line of states) {
    const [p, t, rh, w, wetBulb, dewPoint, h, v] = line.split(',').slice(1).map(Number);
    const state = `${t} ${rh} ${p}`;
    checks.humidityRatio.add(relative(w, psychrolib.GetHumRatioFromRelHum(t, rh, p)), state);
    checks.relativeHumidity.add(relative(rh, psychrolib.GetRelHumFromHumRatio(t, w, p)), state);
    // Enthalpy passes through 0; its scale is that of 10 K of dry air.
    const scale = psychrolib.GetDryAirEnthalpy(10 * degree);
    checks.enthalpy.add(
      Math.abs(h - psychrolib.GetMoistAirEnthalpy(t, w)) / (Math.abs(h) + scale), state);
    checks.volume.add(relative(v, psychrolib.GetMoistAirVolume(t, w, p)), state);
    checks.dewPoint.add(Math.abs(dewPoint - psychrolib.GetTDewPointFromRelHum(t, rh)), state);
    checks.dewPointBack.add(
      relative(psychrolib.GetHumRatioFromTDewPoint(dewPoint, p), w), state);
    // Not put back: saturated air in I-P units, where equation 35 lets the wet bulb exceed the dry
    // bulb by up to 0.003 degF, which PsychroLib refuses to take; and the 0.01 degC between the
    // melting and the triple point, where it takes a wick of water with saturation over ice.
    if (wetBulb <= t && !(wetBulb >= melting && wetBulb <= melting + 0.01 * degree)) {
      checks.wetBulbBack.add(
        relative(psychrolib.GetHumRatioFromTWetBulb(t, wetBulb, p), w), state);
    }
    const theirs = psychrolib.GetTWetBulbFromHumRatio(t, w, p);
    if (wetBulb >= melting && theirs < melting) {
      // Close above the melting point the same air has a wet bulb on water and another on ice;
      // ours is on water, theirs on ice. Both must give the air back.
      twoValued += 1;
      const half = 0.001 * degree;
      const low = psychrolib.GetHumRatioFromTWetBulb(t, theirs - half, p);
      const high = psychrolib.GetHumRatioFromTWetBulb(t, Math.min(theirs + half, t), p);
      checks.wetBulb.add(low <= w && w <= Math.max(high, low) ? 0 : NaN, state);
    } else {
      checks.wetBulb.add(Math.abs(wetBulb - theirs), state);
    }
  }
  console.error(`${formulation}: ${states.length} states, ${twoValued} with two wet bulbs`);
  return Object.values(checks).map((check) => check.print()).every(Boolean);
}

const lines = fs.readFileSync(process.argv[2], 'utf8').trim().split('\n').slice(1);
const results = ['SI', 'IP'].map((formulation) =>
  compare(formulation, lines.filter((line) => line.startsWith(formulation))));
process.exit(results.every(Boolean) ? 0 : 1);
