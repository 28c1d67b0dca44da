"""Pressure and vacuum decay: how a closed volume with one hole in it comes back to the air around it.

Closed forms, derived here from the mass balance of an ideal gas and the flow through a sharp hole
(app.workings.orifice), and held by the tests to an integration of the same balance. All is a matter of two ratios and
one time: `ratio` is the pressure inside over that around it (below 1 it fills, as a vacuum does; above 1 it empties),
and time counts in time constants, V/(Cd·A·√(R·T)). Pressures are absolute. *Slow*: the air keeps the temperature of the
walls, as in a thin hose over a minute. *Fast*: no heat gets across, as in a large volume within seconds; a real test
lies between.
"""

from collections.abc import Iterable, Iterator, Sequence
from math import acosh, exp, isfinite, log, pi, sinh, sqrt

from app.workings.orifice import CHOKED, CRITICAL, GAMMA, GAS_CONSTANT, KELVIN, SHARP_EDGE, K, flow_function

_ROOT = sqrt(2 / K)  # √7
_STEPS = 60


class ImpossibleDecay(ValueError):
    """No volume decays so; the message is a plain sentence."""


def time_constant(volume_ml: float, hole_mm: float, celsius: float, cd: float = SHARP_EDGE) -> float:
    """V/(Cd·A·√(R·T)) in seconds: what the times below count in. Raises ImpossibleDecay for no volume or no hole."""
    if not (_is_above_zero(volume_ml, hole_mm, celsius + KELVIN) and 0 < cd <= 1):
        raise ImpossibleDecay("A volume, a hole and a temperature are above nothing.")
    area = pi / 4 * (hole_mm * 1e-3) ** 2
    return volume_ml * 1e-6 / (cd * area * sqrt(GAS_CONSTANT * (celsius + KELVIN)))


def hole_of(rate: float, volume_ml: float, celsius: float, cd: float = SHARP_EDGE) -> float:
    """The hole in mm that makes a volume pass `rate` time constants a second; `time_constant` the other way round."""
    if not (_is_above_zero(volume_ml, celsius + KELVIN) and 0 < cd <= 1 and isfinite(rate) and rate >= 0):
        raise ImpossibleDecay("A volume and a temperature are above nothing, and no air flows back.")
    area = rate * volume_ml * 1e-6 / (cd * sqrt(GAS_CONSTANT * (celsius + KELVIN)))
    return sqrt(4 / pi * area) * 1e3


def constants_between(start: float, end: float, *, fast: bool = False) -> float:
    """How many time constants it takes from one ratio to another; those of the temperature at the start.

    Raises ImpossibleDecay where the end lies beyond the air around, or further from it than the start.
    """
    _require_way(start, end)
    if start <= 1:
        return _filling(start, end) / (GAMMA if fast else 1)
    return _emptying_fast(start, end) if fast else _emptying(start, end)


def ratio_after(start: float, constants: float, *, fast: bool = False) -> float:
    """The ratio after so many time constants; 1 from when it has come back to the air around it."""
    _require_way(start, 1.0)
    return _after(start, constants, constants_between(start, 1.0, fast=fast), fast=fast)


def _after(start: float, constants: float, whole: float, *, fast: bool = False) -> float:
    # `whole`: how many it takes all the way.
    if not constants >= 0:
        raise ImpossibleDecay("Time only goes on.")
    if constants >= whole:
        return 1.0
    # A moment so short that rounding would take it back leaves it where it started.
    if start <= 1:
        return max(start, _filled(start, constants * (GAMMA if fast else 1)))
    return min(start, _emptied_fast(start, constants) if fast else _emptied(start, constants))


def ratios_after(start: float, moments: Iterable[float]) -> Iterator[float]:
    """The ratio after each of so many time constants, slowly: `ratio_after` for a whole curve."""
    _require_way(start, 1.0)
    whole = constants_between(start, 1.0)
    for constants in moments:
        yield _after(start, constants, whole)


def slope(ratio: float) -> float:
    """How fast the ratio comes towards 1 in one time constant, at this ratio and slowly; 0 at 1."""
    return flow_function(ratio) if ratio <= 1 else ratio * flow_function(1 / ratio)


def fitted_rate(start: float, readings: Sequence[tuple[float, float]]) -> float:
    """The time constants a second that best fit readings (seconds since the start, ratio), slowly.

    Least squares of the ratio, to first order: in time constants a decay is a straight line, and what a reading is off
    counts the less the flatter the decay runs there. One reading is met exactly. Once it is level with the air around,
    a reading tells no more; where none tells more, the first one says that it came so far at the least.
    Raises ImpossibleDecay for no readings, and for a moment that is not after the start.
    """
    if not readings or any(not (isfinite(seconds) and seconds > 0) for seconds, _ in readings):
        raise ImpossibleDecay("A reading comes after the start.")
    told = [(seconds, constants_between(start, ratio), slope(ratio) ** 2) for seconds, ratio in readings]
    weight = sum(seconds * seconds * each for seconds, _, each in told)
    if weight == 0:
        seconds, constants, _ = told[0]
        return constants / seconds
    return sum(seconds * constants * each for seconds, constants, each in told) / weight


def cooled(kpa: float, from_c: float, to_c: float) -> float:
    """Pressure of a closed volume once its air has another temperature, kPa absolute: p·T2/T1, ideal gas."""
    if not _is_above_zero(kpa, from_c + KELVIN, to_c + KELVIN):
        raise ImpossibleDecay("Air has a pressure and a temperature above nothing.")
    return kpa * (to_c + KELVIN) / (from_c + KELVIN)


def _filling(start: float, end: float) -> float:
    # Choked it is a straight line; then, with x = ratio**K, the time goes as the root of 1 - x.
    choked = max(0.0, min(end, CRITICAL) - start) / CHOKED
    return choked + _ROOT * max(0.0, _missing(max(start, CRITICAL)) - _missing(max(end, CRITICAL)))


def _missing(ratio: float) -> float:
    return float(sqrt(max(0.0, 1 - ratio**K)))


def _filled(start: float, constants: float) -> float:
    choked = max(0.0, CRITICAL - start) / CHOKED
    if constants <= choked:
        return start + CHOKED * constants
    left = _missing(max(start, CRITICAL)) - (constants - choked) / _ROOT
    return float((1 - max(0.0, left) ** 2) ** (1 / K))


def _emptying(start: float, end: float) -> float:
    # Choked it is an exponential; then a polynomial in u = √(ratio**K - 1), for a γ of 1.4.
    knee = 1 / CRITICAL
    choked = log(start / max(end, knee)) / CHOKED if start > knee else 0.0
    return choked + _ROOT * max(0.0, _rest(_excess(min(start, knee))) - _rest(_excess(min(end, knee))))


def _excess(ratio: float) -> float:
    return float(sqrt(max(0.0, ratio**K - 1)))


def _rest(u: float) -> float:
    return u + 2 * u**3 / 3 + u**5 / 5


def _emptied(start: float, constants: float) -> float:
    knee = 1 / CRITICAL
    choked = log(start / knee) / CHOKED if start > knee else 0.0
    if constants <= choked:
        return start * exp(-CHOKED * constants)
    u = _excess(min(start, knee))
    wanted = _rest(u) - (constants - choked) / _ROOT
    for _ in range(_STEPS):  # from above, where Newton's rule never oversteps
        step = (_rest(u) - wanted) / (1 + u * u) ** 2
        if u - step == u:
            break
        u -= step
    return float((1 + max(0.0, u) ** 2) ** (1 / K))


def _emptying_fast(start: float, end: float) -> float:
    knee = 1 / CRITICAL
    choked = 0.0
    if start > knee:
        choked = 2 / ((GAMMA - 1) * CHOKED) * ((max(end, knee) / start) ** (-K / 2) - 1)
    rest = _rest_fast(min(start, knee)) - _rest_fast(min(end, knee))
    return float(choked + start ** (K / 2) * _ROOT / 2 / GAMMA * max(0.0, rest))


def _rest_fast(ratio: float) -> float:
    s = acosh(max(1.0, sqrt(ratio**K)))
    return 2 * (3 * s / 8 + sinh(2 * s) / 4 + sinh(4 * s) / 32)


def _emptied_fast(start: float, constants: float) -> float:
    low, high = 1.0, start
    for _ in range(_STEPS):
        middle = (low + high) / 2
        low, high = (middle, high) if _emptying_fast(start, middle) > constants else (low, middle)
    return (low + high) / 2


def _require_way(start: float, end: float) -> None:
    if not (isfinite(start) and isfinite(end) and start >= 0 and (start <= end <= 1 or 1 <= end <= start)):
        raise ImpossibleDecay("It comes back towards the air around it, and no further.")


def _is_above_zero(*figures: float) -> bool:
    return all(isfinite(one) and one > 0 for one in figures)
