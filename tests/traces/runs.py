"""Pulls by the dozen, for the question whether a change did anything: each with its own wind, foot and day."""

from dataclasses import dataclass, replace

import numpy as np

from app.traces.comparison import Run
from app.traces.stretches import Doing, Stretch
from app.traces.trace import Samples, Trace
from tests.traces.engine import AIR_C, DRAG_AREA, MASS, RATIOS, ROLLING, ROTATING, Car

BAND = (2600.0, 4400.0)
GEAR = 3
_STEP = 0.02


@dataclass(frozen=True, slots=True)
class Scatter:
    """Standard deviations from run to run: engine strength (share), boost (kPa), head wind (m/s)."""

    strength: float = 0.012
    boost_kpa: float = 1.5
    wind: float = 0.8


@dataclass(frozen=True, slots=True)
class True3:
    """What a run truly was over the band: mean boost (kPa absolute), seconds, and mean power at the wheels (kW)."""

    kpa: float
    seconds: float
    kw: float


def made(dice: np.random.Generator, car: Car, count: int, scatter: Scatter) -> tuple[Samples, Samples, Samples]:
    """Clock, engine speed and manifold pressure (one row a run) of pulls that start at 1900 rpm, all at once."""
    strength = car.strength * (1 + scatter.strength * dice.standard_normal(count))
    top = car.boost_kpa + scatter.boost_kpa * dice.standard_normal(count)
    wind = scatter.wind * dice.standard_normal(count)
    speed = dice.uniform(1850, 2000, count) / RATIOS[GEAR - 1] / 3.6
    boost = np.zeros(count)
    rpm_rows, kpa_rows = [], []
    for _ in range(round(9.0 / _STEP)):
        rpm = speed * 3.6 * RATIOS[GEAR - 1]
        goal = top * np.clip((rpm - 1500) / 1100, 0, 1)
        boost = boost + (goal - boost) * _STEP / (0.35 * 2500 / rpm)
        kpa = car.air_kpa * 0.98 + boost
        torque = (1.35 * strength * kpa - 35.0) * (1 - np.maximum(rpm - 4800, 0) / 6000)
        through = speed + wind
        holds = MASS * 9.80665 * ROLLING + 0.5 * 1.2 * DRAG_AREA * through * abs(through)
        force = torque * 0.377 * RATIOS[GEAR - 1]
        rpm_rows.append(rpm)
        kpa_rows.append(kpa)
        speed = speed + (force - holds) / (ROTATING * MASS) * _STEP
    at: Samples = np.arange(len(rpm_rows), dtype=np.float64) * _STEP
    return at, np.array(rpm_rows).T, np.array(kpa_rows).T


def truth_of(at: Samples, rpm: Samples, kpa: Samples) -> True3:
    """What one run truly was, from its fine clock and without a sensor."""
    grid = np.linspace(*BAND, 400)
    low, high = (float(np.interp(one, rpm, at)) for one in BAND)
    speed = rpm / RATIOS[GEAR - 1] / 3.6
    inside = (at >= low) & (at <= high)
    force = ROTATING * MASS * np.gradient(speed, at) + MASS * 9.80665 * ROLLING + 0.5 * 1.2 * DRAG_AREA * speed**2
    kw = float(np.mean((force * speed)[inside])) / 1e3
    return True3(float(np.mean(np.interp(grid, rpm, kpa))), high - low, kw)


def mean_truth(car: Car, scatter: Scatter, seed: int = 99) -> True3:
    """What such runs are in the mean: of two thousand."""
    at, rpm, kpa = made(np.random.default_rng(seed), car, 2000, scatter)
    each = [truth_of(at, a, b) for a, b in zip(rpm, kpa, strict=True)]
    return True3(*(float(np.mean([getattr(one, name) for one in each])) for name in ("kpa", "seconds", "kw")))


def runs(
    dice: np.random.Generator, car: Car, count: int, scatter: Scatter, *, log: str = "log", rate: float = 8.0
) -> list[Run]:
    """Runs as a logger saw them, `rate` rows a second."""
    at, rpm, kpa = made(dice, car, count, scatter)
    found: list[Run] = []
    for a, b in zip(rpm, kpa, strict=True):
        rows = np.arange(float(dice.uniform(0, 1 / rate)), at[np.searchsorted(a, 5000) - 1], 1 / rate)
        seen_rpm = np.round(np.interp(rows, at, a) + dice.normal(0, 5, rows.size))
        channels = {
            "engine_speed": seen_rpm,
            "road_speed": np.round(np.interp(rows, at, a) / RATIOS[GEAR - 1]),
            "manifold_pressure": np.round(np.interp(rows, at, b) + dice.normal(0, 0.5, rows.size)),
            "barometer": np.full(rows.size, 99.0),
            "intake_air": np.full(rows.size, AIR_C),
        }
        clock = rows - rows[0]
        stretch = Stretch(Doing.PULL, 0.0, float(clock[-1]), RATIOS[GEAR - 1], GEAR, warm=True)
        found.append(Run(log, Trace(clock, channels), stretch))
    return found


def stronger(car: Car, share: float, boost_kpa: float) -> Car:
    """The car after a change."""
    return replace(car, strength=car.strength * (1 + share), boost_kpa=car.boost_kpa + boost_kpa)
