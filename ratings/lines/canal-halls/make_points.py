#!/usr/bin/env python3
"""Makes the test points of the invented line "canal-halls", and knows the truth behind
them.

THE DATA ARE INVENTED, for demonstration and for tests only. No such units exist. The
model below is simple on purpose: it is smooth, its truth is known at every condition, and
its sensitivities lie where practice puts them. It is no design tool.

    make_points.py            writes points/*.csv beside this file, always the same bytes
    make_points.py --check    says whether points/*.csv are what would be written
    make_points.py --truth hall-46 cooling sml entering_air_wb=67degF \\
        entering_water_temp=85degF air_flow=5400cfm water_flow=39gpm
                              prints the noise-free truth at these conditions

The machine. Three single-speed compressors of unequal size, each with a refrigerant
circuit of its own. The air coil is split by face and the water side runs in parallel, so
circuit i takes the fixed share f of air and water, running or not, and a stage is the sum
of what runs. With Te and Tc the evaporating and condensing temperatures in degC, of each
circuit:

  heat taken up      Qe = f Q0 exp(0.035 (Te - 8)) (1 - 0.0105 (Tc - 40))
  compressor power   P  = Qe (Tc - Te + 4) / (Te + 273.15) / eta       (Carnot, scaled)
                     eta = eta0 (1 - 0.22 ((Tc - Te - 32) / 32)^2)
  water side         effectiveness e = 1 - exp(-UA / C), UA ~ flow^0.6;
                     cooling Tc = tw + (Qe + P) / (e C); heating Te = tw - Qe / (e C)
  air side, cooling  coil surface at Ts = Te + R Qe / f; at g times the nominal air flow
                     the contact factor is c = 1 - exp(-N g^-0.35); air leaves at
                     t - c (t - Ts) and w - c (w - w_sat(Ts)), which gives the sensible
                     and the latent part
  air side, heating  Tc = t + (Qe + P) / (e C), UA ~ flow^0.55
  fan, pump          powers of their flows, 2.7 and 2.4; the fan heats the air stream
  net capacity       cooling: coil less fan; heating: coil plus fan; latent is 1061 Btu/lb
                     of moisture, as ASHRAE 37 splits it, and sensible the rest

The pump is the unit's own, its power is the condenser section's, and its heat goes into
the leaving water. The controls' heat goes into the room.

The laboratory. Points follow a face-centred composite design with the middles of its
edges and twelve repeats of the centre (4 conditions: 16 + 8 + 24 + 12 = 60 points a
stage), two points of each stage a day over 30 days. A test day shifts capacity and
compressor power by 1 % (one standard deviation, correlation 0.65) and each point adds
0.4 %. On top lies one fixed error of the laboratory for each unit, inside the systematic
uncertainty that the manifest declares. Only arithmetic, sqrt, exp, log and pow are used
and figures are rounded, so the files come out alike on every machine.

One stand, that of hall-46 in cooling, writes its readings: wet bulbs, the pressure over
the nozzles, the barometer, water. They are what its thermometers and gauges must have
shown for the capacity, moisture and air flow above, by the air-enthalpy equations in
inch-pound units, which are written here a second time on purpose: what the program
computes from the readings must come back to the stand's own figures, which stand in the
last columns. In one run the leaving water's thermometer was not home in its well.

The same stand ran the fan alone, at three speeds against a throttle, and the water side
alone, over flow and temperature:
  fan                external static pressure = density N^2 psi, power = density N^3 pi, with
                     x = (flow / N) / that at nominal flow and speed,
                     psi ~ 2.1 + 0.3 x - 1.4 x^2, pi ~ 0.45 + 0.7 x - 0.15 x^2;
                     the speed is what gives the power above
  pressure drop      ~ flow^1.82 density^0.82 viscosity^0.18
"""

import datetime
import hashlib
import math
import os
import sys

KW_PER_KBTU_H = 0.2930710701722222
M3S_PER_CFM = 0.3048**3 / 60.0
M3S_PER_GPM = 231 * 0.0254**3 / 60.0
KG_S_PER_LB_H = 0.45359237 / 3600.0
PA_PER_IN_WG = 248.84  # at 60 degF
PA_PER_FT_WG = 12 * PA_PER_IN_WG
PA_PER_INHG = 3386.389
PA_PER_PSI = 6894.757293168361
LATENT_J_PER_KG = 1061.0 * 2326.0
PRESSURE_PA = 101325.0
DAY_COUNT = 30
CENTRE_COUNT = 12


def c_from_f(f):
    return (f - 32.0) / 1.8


def f_from_c(c):
    return 1.8 * c + 32.0


def kbtu_h_from_w(w):
    return w / 1000.0 / KW_PER_KBTU_H


class Unit:
    """One size: nominal figures and the shares of its three compressors."""

    def __init__(self, serial, sizes_kw, air_cfm, water_gpm, eta, contact, fan_w, pump_w,
                 control_w):
        self.serial = serial
        self.sizes_w = dict(zip("sml", (1000.0 * s for s in sizes_kw)))
        self.total_w = sum(self.sizes_w.values())
        self.air_m3s = air_cfm * M3S_PER_CFM
        self.water_m3s = water_gpm * M3S_PER_GPM
        self.air_cfm, self.water_gpm = air_cfm, water_gpm
        self.eta = dict(zip("sml", eta))
        self.contact = contact  # N of the contact factor at nominal flow
        self.fan_w, self.pump_w, self.control_w = fan_w, pump_w, control_w


UNITS = {
    "hall-46": Unit("prototype-46-2", (7.0, 14.0, 25.0), 5400, 39,
                    (0.540, 0.566, 0.582), 1.46, 1080.0, 290.0, 90.0),
    "hall-71": Unit("prototype-71-1", (12.0, 21.0, 38.0), 8300, 60,
                    (0.548, 0.572, 0.587), 1.50, 1640.0, 430.0, 110.0),
    "hall-118": Unit("prototype-118-1", (20.0, 35.0, 63.0), 13800, 100,
                     (0.556, 0.578, 0.593), 1.42, 2870.0, 720.0, 140.0),
}
STAGES = ("s", "m", "sm", "l", "sl", "ml", "sml")

# Conditions of each mode: (quantity, lowest, middle, highest); flows in parts of nominal.
DESIGN = {
    "cooling": (("entering_air_wb", 65.0, 69.0, 73.0),
                ("entering_water_temp", 50.0, 75.0, 100.0),
                ("air_flow", 0.75, 0.95, 1.15),
                ("water_flow", 0.65, 0.90, 1.15)),
    "heating": (("entering_air_db", 58.0, 68.0, 78.0),
                ("entering_water_temp", 50.0, 65.0, 80.0),
                ("air_flow", 0.75, 0.95, 1.15),
                ("water_flow", 0.75, 0.95, 1.15)),
}
HELD_AIR_DB_F = 80.0  # entering dry bulb of all cooling points

# The laboratory's fixed error lies within half of this to either side; temperatures in K.
BIAS_WIDTHS = (("capacity", 0.010), ("power", 0.004), ("leaving_air", 0.12),
               ("leaving_water", 0.03))


# Moist air and water, plain formulas good to a few parts in a thousand.


def saturation_pa(t_c):
    return 611.2 * math.exp(17.62 * t_c / (243.12 + t_c))


def saturation_w(t_c):
    p = saturation_pa(t_c)
    return 0.62198 * p / (PRESSURE_PA - p)


def humidity_ratio(db_c, wb_c):
    return ((2501.0 - 2.326 * wb_c) * saturation_w(wb_c) - 1.006 * (db_c - wb_c)) / (
        2501.0 + 1.86 * db_c - 4.186 * wb_c)


def enthalpy(t_c, w):
    return 1006.0 * t_c + w * (2501000.0 + 1860.0 * t_c)


def dry_air_kgs(flow_m3s, t_c, w):
    """Dry air in a flow that is measured as volume at the entering state."""
    return flow_m3s * PRESSURE_PA / (287.042 * (t_c + 273.15) * (1.0 + 1.607858 * w))


def water_w_k(flow_m3s, t_c):
    return flow_m3s * 1000.0 * (1.0 - 4.9e-6 * (t_c - 4.0) * (t_c - 4.0)) * 4186.0


# One circuit.


def compressor(unit, machine, te, tc, mode):
    """Heat taken up and power, W."""
    q0 = unit.sizes_w[machine] * (1.05 if mode == "cooling" else 0.91)
    heat = q0 * math.exp(0.035 * (te - 8.0)) * (1.0 - 0.0105 * (tc - 40.0))
    lift = (tc - te - 32.0) / 32.0
    eta = unit.eta[machine] * (1.0 - 0.22 * lift * lift)
    return heat, heat * (tc - te + 4.0) / (te + 273.15) / eta


def water_effect(unit, share, flow_m3s, t_c):
    """Effectiveness times capacity rate of one circuit's water side, W/K."""
    rate = water_w_k(share * flow_m3s, t_c)
    nominal = water_w_k(share * unit.water_m3s, t_c)
    ratio = flow_m3s / unit.water_m3s
    return rate * (1.0 - math.exp(-1.6 * nominal * ratio**0.6 / rate))


def solve(residual, x0, x1):
    """Root by secants; the residuals here are smooth and nearly straight."""
    f0, f1 = residual(x0), residual(x1)
    for _ in range(60):
        if abs(x1 - x0) < 1e-11 or f1 == f0:
            break
        x0, x1, f0 = x1, x1 - f1 * (x1 - x0) / (f1 - f0), f1
        f1 = residual(x1)
    return x1


def cooling_circuit(unit, machine, db_c, w_in, air_kgs, g, water_c, water_m3s):
    """Heat taken up W, power W, leaving dry bulb degC and humidity ratio."""
    share = unit.sizes_w[machine] / unit.total_w
    air = share * air_kgs
    sink = water_effect(unit, share, water_m3s, water_c)
    contact = 1.0 - math.exp(-unit.contact * g**-0.35)
    resistance = 4.2 / (unit.total_w * share)

    def state(te):
        tc = water_c + 12.0
        for _ in range(30):
            heat, power = compressor(unit, machine, te, tc, "cooling")
            tc_next = water_c + (heat + power) / sink
            if abs(tc_next - tc) < 1e-12:
                break
            tc = tc_next
        ts = te + resistance * heat
        t_out = db_c - contact * (db_c - ts)
        w_out = w_in - contact * (w_in - saturation_w(ts))
        coil = air * (enthalpy(db_c, w_in) - enthalpy(t_out, w_out))
        return heat, power, t_out, w_out, coil

    def residual(te):
        heat, _, _, _, coil = state(te)
        return heat - coil

    heat, power, t_out, w_out, _ = state(solve(residual, 6.0, 7.0))
    if w_out >= w_in:
        raise ValueError("the coil would run dry: outside the model")
    return heat, power, t_out, w_out


def heating_circuit(unit, machine, db_c, air_w_k, g, water_c, water_m3s):
    """Heat taken from the water W, power W."""
    share = unit.sizes_w[machine] / unit.total_w
    source = water_effect(unit, share, water_m3s, water_c)
    rate = share * air_w_k
    nominal_rate = rate / g
    sink = rate * (1.0 - math.exp(-1.25 * nominal_rate * g**0.55 / rate))

    def state(te):
        tc = db_c + 18.0
        for _ in range(40):
            heat, power = compressor(unit, machine, te, tc, "heating")
            tc_next = db_c + (heat + power) / sink
            if abs(tc_next - tc) < 1e-12:
                break
            tc = tc_next
        return heat, power

    def residual(te):
        return water_c - te - state(te)[0] / source

    return state(solve(residual, water_c - 7.0, water_c - 8.0))


# The whole unit.


def truth(unit, mode, stage, conditions):
    """All responses in SI, without noise. Conditions: degC and m3/s."""
    water_c, water_m3s = conditions["entering_water_temp"], conditions["water_flow"]
    air_m3s = conditions["air_flow"]
    db_c = conditions.get("entering_air_db", c_from_f(HELD_AIR_DB_F))
    g = air_m3s / unit.air_m3s
    fan = unit.fan_w * g**2.7
    pump = unit.pump_w * (water_m3s / unit.water_m3s)**2.4
    out = {"indoor_fan_power": fan, "condenser_section_power": pump,
           "control_power": unit.control_w + 6.0 * len(stage)}
    water_rate = water_w_k(water_m3s, water_c)
    if mode == "cooling":
        w_in = humidity_ratio(db_c, conditions["entering_air_wb"])
        air = dry_air_kgs(air_m3s, db_c, w_in)
        cp = 1006.0 + 1860.0 * w_in
        heat = power = 0.0
        t_mix, w_mix = db_c, w_in
        for machine in stage:
            share = unit.sizes_w[machine] / unit.total_w
            q, p, t, w = cooling_circuit(unit, machine, db_c, w_in, air, g, water_c,
                                         water_m3s)
            heat, power = heat + q, power + p
            t_mix -= share * (db_c - t)
            w_mix -= share * (w_in - w)
        out["compressor_power"] = power
        out["total_capacity"] = heat - fan
        out["moisture_removal"] = air * (w_in - w_mix)
        out["sensible_capacity"] = (out["total_capacity"] -
                                    LATENT_J_PER_KG * out["moisture_removal"])
        out["leaving_air_db"] = t_mix + fan / (air * cp)
        out["leaving_water_temp"] = water_c + (heat + power + pump) / water_rate
    else:
        w_in = 0.0055  # dry winter air; its moisture passes unchanged
        air_w_k = dry_air_kgs(air_m3s, db_c, w_in) * (1006.0 + 1860.0 * w_in)
        heat = power = 0.0
        for machine in stage:
            q, p = heating_circuit(unit, machine, db_c, air_w_k, g, water_c, water_m3s)
            heat, power = heat + q, power + p
        out["compressor_power"] = power
        out["heating_capacity"] = heat + power + fan
        out["leaving_air_db"] = db_c + (heat + power + fan) / air_w_k
        out["leaving_water_temp"] = water_c - (heat - pump) / water_rate
    out["power_input"] = power + fan + pump + out["control_power"]
    return out


# The laboratory.


class Random:
    """SplitMix64 seeded by text: the same stream on every machine and Python."""

    def __init__(self, text):
        self.state = int.from_bytes(hashlib.sha256(text.encode()).digest()[:8], "big")

    def bits(self):
        mask = (1 << 64) - 1
        self.state = (self.state + 0x9E3779B97F4A7C15) & mask
        z = self.state
        z = ((z ^ (z >> 30)) * 0xBF58476D1CE4E5B9) & mask
        z = ((z ^ (z >> 27)) * 0x94D049BB133111EB) & mask
        return z ^ (z >> 31)

    def uniform(self):
        return (self.bits() >> 11) * 2.0**-53

    def normal(self):
        """Sum of twelve uniforms: near enough to normal, and no libm in it."""
        return sum(self.uniform() for _ in range(12)) - 6.0

    def shuffle(self, items):
        for i in range(len(items) - 1, 0, -1):
            j = self.bits() % (i + 1)
            items[i], items[j] = items[j], items[i]


def design_points():
    """Levels -1, 0, 1 of four conditions, without the repeats of the centre."""
    points = []
    for n in range(81):
        levels = tuple(n // 3**k % 3 - 1 for k in range(4))
        if sum(abs(v) for v in levels) in (1, 2, 4):  # faces, edge middles, corners
            points.append(levels)
    return points


def days_of_stage(rng):
    """60 points of a stage in 30 pairs; repeats of the centre on days of their own."""
    points = design_points()
    rng.shuffle(points)
    centre_days = list(range(DAY_COUNT))
    rng.shuffle(centre_days)
    centre_days = set(centre_days[:CENTRE_COUNT])
    days = [[(0, 0, 0, 0) if day in centre_days else points.pop()]
            for day in range(DAY_COUNT)]
    for day in days:
        day.append(points.pop())
    return days


class Day:
    """What all points of one test day share."""

    def __init__(self, rng):
        a, b, c = rng.normal(), rng.normal(), rng.normal()
        self.capacity = 0.010 * a
        self.power = 0.010 * correlated(a, b)
        self.leaving_air_k = 0.06 * c
        self.water_rise = 0.003 * rng.normal()


def correlated(a, b):
    """With normal a and b, a normal number whose correlation with a is 0.65."""
    return 0.65 * a + math.sqrt(1.0 - 0.65 * 0.65) * b


def laboratory(unit_id, mode):
    """All rows of one unit and mode as dictionaries of SI values and labels."""
    unit = UNITS[unit_id]
    rng = Random(f"canal-halls/{unit_id}/{mode}")
    lab = Random(f"canal-halls/{unit_id}/laboratory")
    bias = {name: width * (lab.uniform() - 0.5) for name, width in BIAS_WIDTHS}
    plan = {stage: days_of_stage(rng) for stage in STAGES}
    rows = []
    for number in range(DAY_COUNT):
        label = f"{mode[0].upper()}{number + 1:02d}"
        day = Day(rng)
        run = 0
        for stage in STAGES:
            for levels in plan[stage][number]:
                run += 1
                row = measure(unit, mode, stage, levels, rng, bias, day)
                row.update(run=f"{unit_id[5:]}{label}-{run:02d}", day=label, stage=stage,
                           serial=unit.serial)
                rows.append(row)
    return rows


def measure(unit, mode, stage, levels, rng, bias, day):
    """One point: what was set, what it truly was, and what the instruments said."""
    actual, row = {}, {}
    for (name, low, middle, high), level in zip(DESIGN[mode], levels):
        value = (low, middle, high)[level + 1]
        if name.endswith("_flow"):
            nominal = unit.air_m3s if name == "air_flow" else unit.water_m3s
            actual[name] = value * nominal * (1.0 + 0.0025 * rng.normal())
            row[name] = actual[name] * (1.0 + 0.0015 * rng.normal())
        else:
            actual[name] = c_from_f(value) + 0.025 * rng.normal()
            row[name] = actual[name] + 0.015 * rng.normal()
    if mode == "cooling":
        actual["entering_air_db"] = c_from_f(HELD_AIR_DB_F) + 0.06 * rng.normal()
        row["entering_air_db"] = actual["entering_air_db"] + 0.02 * rng.normal()
    true = truth(unit, mode, stage, actual)

    a, b = rng.normal(), rng.normal()
    capacity_factor = (1.0 + bias["capacity"]) * (1.0 + day.capacity) * (1.0 + 0.004 * a)
    power_factor = (1.0 + bias["power"]) * (1.0 + day.power) * (
        1.0 + 0.004 * correlated(a, b))
    for name in ("total_capacity", "sensible_capacity", "heating_capacity",
                 "moisture_removal"):
        if name in true:
            spread = 0.0 if name in ("total_capacity", "heating_capacity") else 0.004
            row[name] = true[name] * capacity_factor * (1.0 + spread * rng.normal())
    row["compressor_power"] = true["compressor_power"] * power_factor
    for name in ("indoor_fan_power", "condenser_section_power", "control_power"):
        row[name] = true[name] * (1.0 + bias["power"]) * (1.0 + 0.004 * rng.normal())
    row["power_input"] = (1.0 + 0.0008 * rng.normal()) * sum(
        row[name] for name in ("compressor_power", "indoor_fan_power",
                               "condenser_section_power", "control_power"))
    row["leaving_air_db"] = (true["leaving_air_db"] + bias["leaving_air"] +
                             day.leaving_air_k + 0.04 * rng.normal())
    rise = true["leaving_water_temp"] - actual["entering_water_temp"]
    row["leaving_water_temp"] = (row["entering_water_temp"] + bias["leaving_water"] +
                                 rise * (1.0 + day.water_rise) + 0.008 * rng.normal())
    return row


# The stand of hall-46 in cooling: what its instruments showed.


class Air:
    """Moist air in inch-pound units, for 1 lb of dry air: ASHRAE Handbook - Fundamentals
    2017, chapter 1, inch-pound edition (from memory)."""

    def __init__(self, db_f, w):
        self.db_f, self.w = db_f, w
        self.enthalpy = 0.24 * db_f + w * (1061.0 + 0.444 * db_f)

    @staticmethod
    def saturation_psi(t_f):
        r = t_f + 459.67
        return math.exp(-1.0440397e4 / r - 11.294650 - 2.7022355e-2 * r +
                        1.2890360e-5 * r * r - 2.4780681e-9 * r * r * r +
                        6.5459673 * math.log(r))

    @staticmethod
    def w_of_wet_bulb(db_f, wb_f, p_psi):
        ps = Air.saturation_psi(wb_f)
        ws = 0.621945 * ps / (p_psi - ps)
        return ((1093.0 - 0.556 * wb_f) * ws - 0.24 * (db_f - wb_f)) / (
            1093.0 + 0.444 * db_f - wb_f)

    def volume(self, p_psi):
        """ft3 for each lb of dry air."""
        return 0.370486 * (self.db_f + 459.67) * (1.0 + 1.607858 * self.w) / p_psi

    def density(self, p_psi):
        """kg/m3 of moist air."""
        return 0.45359237 / 0.3048**3 * (1.0 + self.w) / self.volume(p_psi)

    def wet_bulb(self, p_psi):
        return solve(lambda wb: Air.w_of_wet_bulb(self.db_f, wb, p_psi) - self.w,
                     self.db_f - 10.0, self.db_f - 5.0)


NOZZLE_IN, NOZZLE_COUNT = 7.0, 4


def nozzle_drop_in_wg(lb_h, air, p_psi):
    """Pressure difference that passes this mass of dry air: ASHRAE 37 with the
    coefficient by Reynolds number (from memory)."""
    diameter = NOZZLE_IN / 12.0
    area = NOZZLE_COUNT * math.pi / 4.0 * diameter * diameter
    volume = air.volume(p_psi)
    of_mixture = volume / (1.0 + air.w)
    velocity = lb_h * volume / 60.0 / area  # ft/min
    viscosity = (11.0 + 0.018 * air.db_f) * 1e-6  # lb/(ft s)
    reynolds = velocity / 60.0 * diameter / (viscosity * of_mixture)
    coefficient = 0.9986 - 7.006 / math.sqrt(reynolds) + 134.6 / reynolds
    return (velocity / coefficient / 1097.0)**2 / of_mixture


FAN_REV_S, FAN_STATIC_PA, FAN_DENSITY = 18.0, 87.0, 1.19


def fan_pressure_and_power(unit, flow_m3s, rev_s, density):
    x = flow_m3s / rev_s / (unit.air_m3s / FAN_REV_S)
    speed = density / FAN_DENSITY * (rev_s / FAN_REV_S)**2
    return (FAN_STATIC_PA * speed * (2.1 + 0.3 * x - 1.4 * x * x),
            unit.fan_w * speed * rev_s / FAN_REV_S * (0.45 + 0.7 * x - 0.15 * x * x))


def water_drop_pa(unit, flow_m3s, t_c):
    def viscosity(t):
        return 2.414e-5 * 10.0**(247.8 / (t + 133.15))

    def density(t):
        return water_w_k(1.0, t) / 4186.0

    return (36000.0 * (flow_m3s / unit.water_m3s)**1.82 *
            (density(t_c) / density(25.0))**0.82 * (viscosity(t_c) / viscosity(25.0))**0.18)


# The leaving water's thermometer was not home in its well.
UNBALANCED_RUN, UNBALANCED_K = "46C12-14", -0.7


def add_readings(unit, row, rng, barometer_pa):
    """What the stand read for this row of figures; sensible capacity is then what the
    leaving dry bulb says."""
    p_psi = barometer_pa / PA_PER_PSI
    db_f, wb_f = f_from_c(row["entering_air_db"]), f_from_c(row["entering_air_wb"])
    entering = Air(db_f, Air.w_of_wet_bulb(db_f, wb_f, p_psi))
    lb_h = 60.0 * row["air_flow"] / M3S_PER_CFM / entering.volume(p_psi)
    w = entering.w - row["moisture_removal"] / KG_S_PER_LB_H / lb_h
    h = entering.enthalpy - 1000.0 * kbtu_h_from_w(row["total_capacity"]) / lb_h
    leaving = Air((h - 1061.0 * w) / (0.24 + 0.444 * w), w)
    row["sensible_capacity"] = (row["total_capacity"] -
                                LATENT_J_PER_KG * row["moisture_removal"])
    row["leaving_air_db"] = c_from_f(leaving.db_f)
    row["leaving_air_wb"] = c_from_f(leaving.wet_bulb(p_psi))
    row["nozzle_pressure_drop"] = nozzle_drop_in_wg(lb_h, leaving, p_psi) * PA_PER_IN_WG
    row["barometric_pressure"] = barometer_pa
    density = entering.density(p_psi)
    rev_s = solve(lambda n: fan_pressure_and_power(unit, row["air_flow"], n, density)[1] -
                  row["indoor_fan_power"], FAN_REV_S, FAN_REV_S + 0.1)
    static_pa, _ = fan_pressure_and_power(unit, row["air_flow"], rev_s, density)
    row["fan_speed"] = rev_s * (1.0 + 0.0005 * rng.normal())
    row["external_static_pressure"] = static_pa * (1.0 + 0.004 * rng.normal())
    row["water_pressure_drop"] = (1.0 + 0.004 * rng.normal()) * water_drop_pa(
        unit, row["water_flow"],
        (row["entering_water_temp"] + row["leaving_water_temp"]) / 2)


def read_by_the_stand(rows):
    """The rows of hall-46 in cooling with days of test and readings."""
    unit, rng = UNITS["hall-46"], Random("canal-halls/hall-46/cooling/readings")
    barometers = {}
    for row in rows:
        number = int(row["day"][1:]) - 1
        date = FIRST_DAY + datetime.timedelta(days=number // 5 * 7 + number % 5)
        row["tested_on"] = date.isoformat()
        if row["day"] not in barometers:
            barometers[row["day"]] = PRESSURE_PA + 60.0 * rng.normal()
        if row["run"] == UNBALANCED_RUN:
            row["leaving_water_temp"] += UNBALANCED_K
        add_readings(unit, row, rng, barometers[row["day"]])
    return rows


FIRST_DAY = datetime.date(2026, 3, 2)  # a Monday


def fan_rows():
    """The fan alone: three speeds against a throttle."""
    unit, rng = UNITS["hall-46"], Random("canal-halls/hall-46/fan")
    rows = []
    for rev_s in (15.0, 18.0, 21.0):
        for x in (0.7, 0.85, 1.0, 1.15):
            flow = x * unit.air_m3s * rev_s / FAN_REV_S
            row = {"run": f"46F{len(rows) + 1:02d}", "serial": unit.serial,
                   "entering_air_db": 22.0 + 0.3 * rng.normal(),
                   "entering_air_wb": 15.0 + 0.3 * rng.normal(),
                   "barometric_pressure": PRESSURE_PA + 60.0 * rng.normal()}
            db_f, wb_f = f_from_c(row["entering_air_db"]), f_from_c(row["entering_air_wb"])
            p_psi = row["barometric_pressure"] / PA_PER_PSI
            density = Air(db_f, Air.w_of_wet_bulb(db_f, wb_f, p_psi)).density(p_psi)
            static_pa, power_w = fan_pressure_and_power(unit, flow, rev_s, density)
            row["air_flow"] = flow * (1.0 + 0.0015 * rng.normal())
            row["fan_speed"] = rev_s * (1.0 + 0.0005 * rng.normal())
            row["external_static_pressure"] = static_pa * (1.0 + 0.004 * rng.normal())
            row["indoor_fan_power"] = power_w * (1.0 + 0.004 * rng.normal())
            rows.append(row)
    return rows


def water_rows():
    """The water side alone: pressure drop over flow, cold and warm."""
    unit, rng = UNITS["hall-46"], Random("canal-halls/hall-46/water")
    rows = []
    for t_f in (50.0, 75.0, 100.0):
        for share in (0.5, 0.75, 1.0, 1.25):
            flow, t_c = share * unit.water_m3s, c_from_f(t_f)
            rows.append({"run": f"46W{len(rows) + 1:02d}", "serial": unit.serial,
                         "entering_water_temp": t_c + 0.05 * rng.normal(),
                         "water_flow": flow * (1.0 + 0.0015 * rng.normal()),
                         "water_pressure_drop":
                             water_drop_pa(unit, flow, t_c) * (1.0 + 0.004 * rng.normal())})
    return rows


# Files.

# (heading, key, from SI, decimals); headings as the invented laboratories write them.
TRADE = {
    "entering_air_db": ("entering_air_db[degF]", f_from_c, 2),
    "entering_air_wb": ("entering_air_wb[degF]", f_from_c, 2),
    "entering_water_temp": ("entering_water_temp[degF]", f_from_c, 2),
    "air_flow": ("air_flow[cfm]", lambda v: v / M3S_PER_CFM, 0),
    "water_flow": ("water_flow[gpm]", lambda v: v / M3S_PER_GPM, 2),
    "total_capacity": ("total_capacity[kBtu/h]", kbtu_h_from_w, 3),
    "sensible_capacity": ("sensible_capacity[kBtu/h]", kbtu_h_from_w, 3),
    "heating_capacity": ("heating_capacity[kBtu/h]", kbtu_h_from_w, 3),
    "moisture_removal": ("moisture_removal[lb/h]", lambda v: v / KG_S_PER_LB_H, 2),
    "power_input": ("power_input[kW]", lambda v: v / 1000.0, 4),
    "compressor_power": ("compressor_power[kW]", lambda v: v / 1000.0, 4),
    "indoor_fan_power": ("indoor_fan_power[kW]", lambda v: v / 1000.0, 4),
    "condenser_section_power": ("condenser_section_power[W]", lambda v: v, 1),
    "control_power": ("control_power[W]", lambda v: v, 1),
    "leaving_air_db": ("leaving_air_db[degF]", f_from_c, 2),
    "leaving_water_temp": ("leaving_water_temp[degF]", f_from_c, 2),
}
# Another stand writes its channel names, in metric units; the manifest explains them.
CHANNELS = {
    "entering_air_db": ("TT-101", lambda v: v, 3),
    "entering_water_temp": ("TT-301", lambda v: v, 3),
    "air_flow": ("FT-110 m3/h", lambda v: v * 3600.0, 0),
    "water_flow": ("FT-310 L/s", lambda v: v * 1000.0, 4),
    "heating_capacity": ("QH-AIR kW", lambda v: v / 1000.0, 4),
    "power_input": ("JT-400 kW", lambda v: v / 1000.0, 4),
    "compressor_power": ("JT-410 kW", lambda v: v / 1000.0, 4),
    "indoor_fan_power": ("JT-420 kW", lambda v: v / 1000.0, 4),
    "condenser_section_power": ("JT-430 W", lambda v: v, 1),
    "control_power": ("JT-440 W", lambda v: v, 1),
    "leaving_air_db": ("TT-102", lambda v: v, 3),
    "leaving_water_temp": ("TT-302", lambda v: v, 3),
}
# The stand of hall-46 writes tags; its own evaluation comes last.
READINGS = {
    "entering_air_db": ("TE-11 degF", f_from_c, 3),
    "entering_air_wb": ("TE-12 degF", f_from_c, 3),
    "leaving_air_db": ("TE-21 degF", f_from_c, 3),
    "leaving_air_wb": ("TE-22 degF", f_from_c, 3),
    "nozzle_pressure_drop": ("PD-25 in", lambda v: v / PA_PER_IN_WG, 4),
    "barometric_pressure": ("PB-01 inHg", lambda v: v / PA_PER_INHG, 3),
    "external_static_pressure": ("PD-20 in", lambda v: v / PA_PER_IN_WG, 4),
    "fan_speed": ("SE-20 rpm", lambda v: v * 60.0, 1),
    "entering_water_temp": ("TE-31 degF", f_from_c, 3),
    "leaving_water_temp": ("TE-32 degF", f_from_c, 3),
    "water_flow": ("FE-30 gpm", lambda v: v / M3S_PER_GPM, 3),
    "water_pressure_drop": ("PD-30 ft", lambda v: v / PA_PER_FT_WG, 3),
    "power_input": ("JE-40 kW", lambda v: v / 1000.0, 4),
    "compressor_power": ("JE-41 kW", lambda v: v / 1000.0, 4),
    "indoor_fan_power": ("JE-42 kW", lambda v: v / 1000.0, 4),
    "condenser_section_power": ("JE-43 W", lambda v: v, 1),
    "control_power": ("JE-44 W", lambda v: v, 1),
    "air_flow": ("stand air flow cfm", lambda v: v / M3S_PER_CFM, 1),
    "total_capacity": ("stand total kBtu/h", kbtu_h_from_w, 3),
    "sensible_capacity": ("stand sensible kBtu/h", kbtu_h_from_w, 3),
    "moisture_removal": ("stand moisture lb/h", lambda v: v / KG_S_PER_LB_H, 3),
}
FAN_ALONE = dict({k: READINGS[k] for k in ("entering_air_db", "entering_air_wb",
                                           "barometric_pressure",
                                           "external_static_pressure", "fan_speed",
                                           "indoor_fan_power")},
                 air_flow=("air_flow[cfm]", lambda v: v / M3S_PER_CFM, 1))
WATER_ALONE = {k: READINGS[k]
               for k in ("entering_water_temp", "water_flow", "water_pressure_drop")}
# A run that went wrong and stays on file; the manifest drops it by name and says why.
UPSET_RUN = "71C09-15"


def table_text(rows, labels, headings):
    keys = [k for k in headings if k in rows[0]]
    lines = [",".join(labels + [headings[k][0] for k in keys])]
    for row in rows:
        cells = [row[label] for label in labels]
        cells += [f"{headings[k][1](row[k]):.{headings[k][2]}f}" for k in keys]
        lines.append(",".join(cells))
    return "\n".join(lines) + "\n"


def points_text(unit_id, mode):
    rows = laboratory(unit_id, mode)
    labels = ["run", "day", "serial", "stage"]
    if (unit_id, mode) == ("hall-46", "cooling"):
        return table_text(read_by_the_stand(rows), ["run", "day", "tested_on"] + labels[2:],
                          READINGS)
    if (unit_id, mode) == ("hall-71", "cooling"):
        at = max(i for i, row in enumerate(rows) if row["day"] == "C09") + 1
        upset = dict(rows[at - 1], run=UPSET_RUN)
        upset["total_capacity"] *= 0.86  # condensate carried into the nozzle chamber
        upset["sensible_capacity"] *= 0.93
        upset["moisture_removal"] *= 0.70
        rows.insert(at, upset)
    headings = CHANNELS if (unit_id, mode) == ("hall-118", "heating") else TRADE
    return table_text(rows, labels, headings)


def all_files():
    """Texts by name below points/."""
    files = {f"{unit_id}-{mode}.csv": points_text(unit_id, mode)
             for unit_id in UNITS for mode in DESIGN}
    files["hall-46-fan.csv"] = table_text(fan_rows(), ["run", "serial"], FAN_ALONE)
    files["hall-46-water.csv"] = table_text(water_rows(), ["run", "serial"], WATER_ALONE)
    return files


UNIT_TO_SI = {"degF": c_from_f, "degC": float, "cfm": lambda v: v * M3S_PER_CFM,
              "gpm": lambda v: v * M3S_PER_GPM, "L/s": lambda v: v / 1000.0,
              "m3/h": lambda v: v / 3600.0}


def print_truth(words):
    unit_id, mode, stage = words[:3]
    conditions = {}
    for word in words[3:]:
        name, text = word.split("=")
        symbol = next(s for s in UNIT_TO_SI if text.endswith(s))
        conditions[name] = UNIT_TO_SI[symbol](float(text.removesuffix(symbol)))
    for name, value in truth(UNITS[unit_id], mode, stage, conditions).items():
        heading, from_si, _ = TRADE[name]
        si = "degC" if name.startswith("leaving") else "W"
        if name == "moisture_removal":
            si = "kg/s"
        unit = heading.split("[")[1].rstrip("]")
        print(f"{name:24s} {value:.9g} {si} = {from_si(value):.7g} {unit}")


def main(arguments):
    if arguments[:1] == ["--truth"]:
        print_truth(arguments[1:])
        return 0
    folder = os.path.join(os.path.dirname(os.path.abspath(__file__)), "points")
    stale = []
    for name, text in all_files().items():
        path = os.path.join(folder, name)
        if arguments == ["--check"]:
            if not os.path.exists(path):
                stale.append(path)
                continue
            with open(path, encoding="ascii", newline="") as file:
                if file.read() != text:
                    stale.append(path)
        else:
            with open(path, "w", encoding="ascii", newline="") as file:
                file.write(text)
    for path in stale:
        print(f"{path}: differs from what this script makes", file=sys.stderr)
    return 1 if stale else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
