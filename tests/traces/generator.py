"""A drive whose truth is known: a published speed cycle, pulls and lift-offs at known moments, sensors as they are.

The car drives a part of the WLTC (the package `wltp` holds it), stops, and makes pulls; between them lies what looks
like one and is none: a stab at the pedal, an engine revved at rest, a pedal let go slowly.
"""

import csv
import io
from collections.abc import Sequence
from dataclasses import dataclass, field
from math import pi, sin

import numpy as np
from wltp.cycles import class3

from app.traces.trace import Samples, Trace
from tests.traces.engine import AIR_C, MASS, RATIOS, ROTATING, STEP, Car, gear_at, resists_n

CYCLE: Sequence[float] = class3.class_data_b()["cycle"]
"""WLTC class 3b: km/h, once a second."""
PULLS = ((2, 1900.0, 5200.0), (3, 1900.0, 5000.0), (3, 2100.0, 4800.0), (4, 2000.0, 4000.0))


@dataclass(slots=True)
class Truth:
    """What the generator did: pulls as (begins, ends, gear), lift-offs and idles as (begins, ends), in s."""

    pulls: list[tuple[float, float, int]] = field(default_factory=list)
    lift_offs: list[tuple[float, float]] = field(default_factory=list)
    idles: list[tuple[float, float]] = field(default_factory=list)
    warm_at: float = 0.0


@dataclass(frozen=True, slots=True)
class Sensors:
    """How a logger sees the car: rows a second, noise and steps. `turns`: it asks for one channel after the other."""

    rate: float = 10.0
    kpa_step: float = 1.0
    kmh_step: float = 1.0
    kpa_noise: float = 0.5
    turns: bool = False


COLUMNS = ("rpm", "kmh", "kpa", "pedal", "coolant", "idling", "duty")


class Driver:
    """Drives the car step by step and writes down what it does."""

    def __init__(self, car: Car, dice: np.random.Generator, truth: Truth) -> None:
        self.car, self.dice, self.truth = car, dice, truth
        self.t, self.speed, self.gear = 0.0, 0.0, 0
        self.rpm, self.kpa, self.boost, self.coolant = car.idle_rpm, car.idle_kpa, 0.0, 14.0
        self.idles_at = car.idles_at()
        self.rows: list[tuple[float, ...]] = []

    def step(self, pedal: float, rpm: float, kmh: float, *, idling: bool = False) -> None:
        """One step at these figures; manifold pressure follows by itself."""
        car = self.car
        goal = (car.boost_kpa * (pedal - 0.6) / 0.4 * car.spooled(rpm)) if pedal > 0.6 else 0.0
        lag = 0.35 * 2500.0 / max(rpm, 900.0) if goal > self.boost else car.recovery_s
        self.boost += (goal - self.boost) * STEP / lag
        if idling:
            base = self.idles_at + car.needle_kpa * sin(2 * pi * 0.6 * self.t)
            lag = max(0.25, car.recovery_s)
        elif pedal < 0.02:
            base, lag = 26.0, car.recovery_s
        else:
            base, lag = car.air_kpa * (0.32 + 0.66 * min(1.0, pedal / 0.7) ** 0.6), 0.1
        self.kpa += (base - self.kpa) * STEP / lag
        kpa = self.kpa + self.boost
        if self.boost > 0.7 * car.boost_kpa:
            kpa += car.boost_swing_kpa * sin(2 * pi * car.boost_swing_hz * self.t)
        self.rpm, self.speed = rpm, kmh / 3.6
        duty = car.boost_duty if pedal > 0.9 else 0.0
        self.rows.append((self.t, rpm, kmh, kpa, pedal, self.coolant, float(idling), duty))
        self.t += STEP
        self.coolant += (90.0 - self.coolant) * STEP / 170.0

    def idle(self, seconds: float, *, counts: bool = True) -> None:
        """Stand still and leave the engine alone."""
        begins = self.t
        for _ in range(round(seconds / STEP)):
            hunt = self.car.idle_hunts_rpm * sin(2 * pi * 0.45 * self.t)
            goal = self.car.idle_rpm + hunt + 250.0 * max(0.0, (50.0 - self.coolant) / 40.0)
            self.step(0.0, self.rpm + (goal - self.rpm) * STEP / 0.4 if not hunt else goal, 0.0, idling=True)
        if counts:
            self.truth.idles.append((begins, self.t))

    def follow(self, cycle: Sequence[float]) -> None:
        """Drive a speed cycle as an easy driver does: at most 45 % of the pedal, let go and pressed gently."""
        pedal, shifting, standing = 0.0, 0.0, 0.0
        for n in range(round((len(cycle) - 1) / STEP)):
            row, share = divmod(n * STEP, 1.0)
            kmh = cycle[int(row)] * (1 - share) + cycle[int(row) + 1] * share
            gains = (cycle[int(row) + 1] - cycle[int(row)]) / 3.6
            if kmh < 2.0:
                standing += STEP
                goal = self.car.idle_rpm + self.car.idle_hunts_rpm * sin(2 * pi * 0.45 * self.t)
                self.step(0.0, self.rpm + (goal - self.rpm) * STEP / 0.4, kmh if kmh > 0 else 0.0, idling=True)
                pedal = 0.0
                continue
            self._stood(standing)
            standing, gear = 0.0, gear_at(kmh)
            if gear != self.gear:
                self.gear, shifting = gear, 0.6
            needs = (ROTATING * MASS * gains + resists_n(kmh / 3.6)) * kmh / 3.6 / 1e3
            goal = 0.0 if shifting > 0 or needs < 0 else min(0.06 + needs / 90.0, 0.45)
            pedal += float(np.clip(goal - pedal, -0.5 * STEP, 0.4 * STEP))
            pedal = max(pedal, 0.0)
            in_gear = max(kmh * RATIOS[gear - 1], 900.0)
            shifting -= STEP
            self.step(pedal, self.rpm + (in_gear - self.rpm) * STEP / 0.12 if shifting > 0 else in_gear, kmh)
        self._stood(standing)

    def _stood(self, seconds: float) -> None:
        if seconds > 0:
            self.truth.idles.append((self.t - seconds, self.t))

    def ramp(self, kmh: float) -> None:
        """Go to another speed gently."""
        now, pedal = self.speed * 3.6, 0.3 if kmh > self.speed * 3.6 else 0.0
        seconds = max(abs(kmh - now) / (4.5 if kmh > now else 9.0), 0.5)
        for n in range(round(seconds / STEP)):
            at = now + (kmh - now) * (n * STEP / seconds)
            if at < 1.0:
                break
            rpm = max(at * RATIOS[gear_at(at) - 1], 900.0)
            self.step(pedal, self.rpm + (rpm - self.rpm) * STEP / 0.15, at)

    def hold(self, seconds: float, pedal: float, kmh: float, gear: int) -> None:
        """Drive on at one speed and one pedal."""
        for _ in range(round(seconds / STEP)):
            rpm = kmh * RATIOS[gear - 1]
            self.step(pedal, self.rpm + (rpm - self.rpm) * STEP / 0.15, kmh)

    def pull(self, gear: int, from_rpm: float, to_rpm: float, lift_s: float = 4.0) -> None:
        """Full throttle in one gear, then the pedal snapped shut and the car left to coast."""
        kmh = from_rpm / RATIOS[gear - 1]
        self.ramp(kmh)
        self.hold(3.0, 0.25, kmh, gear)
        begins, pedal = self.t, 0.25
        while self.rpm < to_rpm and self.t - begins < 25:
            pedal = min(1.0, pedal + STEP / 0.2)
            self._free(pedal, gear)
        if lift_s > 0:
            self.truth.pulls.append((begins + 0.15, self.t, gear))
            let_go = self.t
            while self.t - let_go < lift_s and self.rpm > 1500:
                pedal = max(0.0, pedal - STEP / 0.2)
                self._free(pedal, gear)
            self.truth.lift_offs.append((let_go + 0.1, self.t))
            self.hold(0.6, 0.15, self.speed * 3.6, gear)

    def through_gears(self, gear: int, from_rpm: float, at_rpm: float, to_rpm: float) -> None:
        """A pull through a change of gear with the foot down, as an automatic gearbox makes one."""
        self.pull(gear, from_rpm, at_rpm, lift_s=0)
        self.truth.pulls.append((self.t - (len(self.rows) - self._foot()) * STEP, self.t, gear))
        kmh = self.speed * 3.6
        for _ in range(round(0.3 / STEP)):
            goal = kmh * RATIOS[gear]
            self.step(1.0, self.rpm + (goal - self.rpm) * STEP / 0.05, kmh)
        begins = self.t
        while self.rpm < to_rpm:
            self._free(1.0, gear + 1)
        self.truth.pulls.append((begins, self.t, gear + 1))
        self._let_go(1.0, gear + 1)

    def _foot(self) -> int:
        row = len(self.rows)
        while self.rows[row - 1][4] > 0.9:
            row -= 1
        return row

    def _let_go(self, pedal: float, gear: int, seconds: float = 3.0) -> None:
        begins = self.t
        while self.t - begins < seconds and self.rpm > 1500:
            pedal = max(0.0, pedal - STEP / 0.2)
            self._free(pedal, gear)
        self.truth.lift_offs.append((begins + 0.1, self.t))
        self.hold(0.6, 0.15, self.speed * 3.6, gear)

    def _free(self, pedal: float, gear: int) -> None:
        """The engine drives the car, or is driven by it."""
        torque = self.car.pulls_by(self.kpa + self.boost, self.rpm) if pedal > 0.02 else -45.0
        force = torque * 0.377 * RATIOS[gear - 1] - resists_n(self.speed)  # N·m·rpm per km/h = 0.377 N
        speed = max(self.speed + force / (ROTATING * MASS) * STEP, 1.0)
        self.step(pedal, speed * 3.6 * RATIOS[gear - 1], speed * 3.6)

    def decoys(self) -> None:
        """What is no pull and no lift-off."""
        self.ramp(60.0)
        self.hold(4.0, 0.25, 60.0, 4)
        self.hold(0.3, 1.0, 60.0, 4)  # a stab
        self.hold(3.0, 0.30, 60.0, 4)
        self.hold(3.0, 0.80, 60.0, 4)  # hard, but not full
        for n in range(60):  # let go slowly
            self.hold(STEP, 0.8 * (1 - n / 60), 60.0, 4)
        self.ramp(0.0)
        self.idle(12)
        for _ in range(round(0.8 / STEP)):  # revved at rest
            self.step(1.0, min(self.rpm + 5000 * STEP, 4600.0), 0.0)
        for _ in range(round(2.0 / STEP)):
            self.step(0.0, max(self.rpm - 2200 * STEP, self.car.idle_rpm), 0.0)
        self.idle(10)


def drive(
    seed: int,
    car: Car | None = None,
    sensors: Sensors | None = None,
    *,
    pulls: Sequence[tuple[int, float, float]] = PULLS,
    cycle: Sequence[float] = CYCLE[:590],
    flat_shift: bool = False,
) -> tuple[Trace, Truth]:
    """A drive from a cold start to a warm idle, as a logger saw it, and what it truly was."""
    car, truth = car or Car(), Truth()
    dice = np.random.default_rng(seed)
    driver = Driver(car, dice, truth)
    driver.idle(40)
    driver.follow(cycle)
    driver.idle(15)
    driver.decoys()
    for gear, from_rpm, to_rpm in pulls:
        driver.pull(gear, from_rpm + float(dice.uniform(-60, 60)), to_rpm)
    if flat_shift:
        driver.through_gears(2, 2200.0, 5000.0, 4600.0)
    driver.ramp(0.0)
    driver.idle(45)
    rows = np.array(driver.rows)
    warm = np.flatnonzero(rows[:, 5] >= 70.0)
    truth.warm_at = float(rows[warm[0], 0]) if warm.size else driver.t
    return logged(rows, car, sensors or Sensors(), dice), truth


def logged(rows: Samples, car: Car, sensors: Sensors, dice: np.random.Generator) -> Trace:
    """What a logger makes of the truth."""
    at = np.arange(rows[0, 0], rows[-1, 0], 1 / sensors.rate)
    rpm, kmh, kpa, pedal, coolant, idling, duty = (np.interp(at, rows[:, 0], one) for one in rows.T[1:])
    size = at.size
    idle = idling > 0.5
    slow = np.convolve(dice.normal(0, 1, size + 60), np.ones(60) / 60, "valid")[:size]
    leak = np.array([car.leaks(one) for one in kpa])
    breathed = np.array([car.breathes(a, b) for a, b in zip(kpa, rpm, strict=True)])
    metered = np.maximum(breathed - leak, 0.2)
    trims = np.where(kpa > car.air_kpa, car.trim_load, car.trim_idle) + 100 * leak / metered
    long = np.clip(np.where(idle | (pedal > 0.02), 0.8 * trims, 0.0), -25, 25)
    short = np.clip(trims - long, -25, 25) + dice.normal(0, 1.0, size) + 2 * slow
    channels = {
        "engine_speed": _steps(rpm + dice.normal(0, 6.0, size) + 25 * slow * idle, 1.0),
        "road_speed": np.maximum(_steps(kmh + dice.normal(0, 0.15, size) * (kmh > 0), sensors.kmh_step), 0),
        "manifold_pressure": _steps(kpa + dice.normal(0, sensors.kpa_noise, size), sensors.kpa_step),
        "barometer": np.full(size, round(car.air_kpa)),
        "pedal": _steps(14.9 + 66.3 * pedal, 100 / 255),
        "air_flow": _steps(car.meter * metered * (1 + dice.normal(0, 0.01, size)), 0.01),
        "fuel_trim_short": _steps(short, 100 / 128),
        "fuel_trim_long": _steps(long, 100 / 128),
        "coolant": _steps(coolant, 1.0),
        "intake_air": _steps(AIR_C + 6 + 2 * slow, 1.0),
        "boost_duty": _steps(duty, 1.0),
    }
    if sensors.turns:
        for n, name in enumerate(channels):
            silent = np.arange(size) % len(channels) != n
            channels[name] = np.where(silent, np.nan, channels[name])
    return Trace(at - at[0], channels)


def _steps(values: Samples, of: float) -> Samples:
    stepped: Samples = np.round(values / of) * of
    return stepped


def csv_text(trace: Trace) -> str:
    """The trace as a plain table, a figure that is missing as an empty cell."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    heads = {"engine_speed": "Engine speed (rpm)", "road_speed": "Road speed (km/h)"}
    units = {"manifold_pressure": "kPa", "barometer": "kPa", "air_flow": "g/s", "coolant": "°C", "intake_air": "°C"}
    names = [heads.get(name, f"{name.replace('_', ' ')} ({units.get(name, '%')})") for name in trace.channels]
    writer.writerow(["Time (s)", *names])
    for n, at in enumerate(trace.at):
        cells = (values[n] for values in trace.channels.values())
        writer.writerow([f"{at:.2f}", *("" if np.isnan(one) else f"{one:.6g}" for one in cells)])
    return out.getvalue()


def warm_idle(seed: int, car: Car, seconds: float = 20.0) -> Trace:
    """A warm engine idling, and nothing else."""
    dice = np.random.default_rng(seed)
    driver = Driver(car, dice, Truth())
    driver.coolant, driver.kpa = 90.0, driver.idles_at
    driver.idle(seconds)
    return logged(np.array(driver.rows), car, Sensors(), dice)
