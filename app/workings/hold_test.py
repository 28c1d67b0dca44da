"""A hold test judged: what was lost, what of that was only cooling, the hole that fits, and whether it holds.

Pressures in kPa are *away from the air around*: below it for a vacuum, above it for pressure, as the gauge shows them.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from math import sqrt

from app.workings.decay import (
    ImpossibleDecay,
    constants_between,
    cooled,
    fitted_rate,
    hole_of,
    ratio_after,
    ratios_after,
)

#: Where nobody measured the temperature, °C; a hole found with it is off by 2 % at most for 20 degrees either way.
USUAL_C = 20.0
#: What may be lost where no maker says, as a share of the start, and in how many seconds. Common practice, no source.
PRACTICE = {"vacuum": (0.05, 60.0), "pressure": (0.10, 60.0)}
#: The most a charge side is put under where no maker says, kPa above the air around. Common practice, no source.
MOST_KPA = 70.0
#: A pass takes the whole of the limit's time, but for a slow finger.
_WHOLE = 0.95
_ROUNDING = 1e-9


@dataclass(frozen=True, slots=True)
class HoldTest:
    """One test. `readings` are (seconds since the start, kPa), in order of time; the last one is its end."""

    vacuum: bool
    around_kpa: float
    start_kpa: float
    readings: tuple[tuple[float, float], ...]
    limit_kpa: float
    limit_s: float
    start_c: float | None = None
    end_c: float | None = None
    volume_ml: float | None = None

    def absolute(self, kpa: float) -> float:
        """What is `kpa` away from the air around, in kPa absolute."""
        return self.around_kpa - kpa if self.vacuum else self.around_kpa + kpa

    def away(self, absolute_kpa: float) -> float:
        """The way back."""
        return self.around_kpa - absolute_kpa if self.vacuum else absolute_kpa - self.around_kpa

    @property
    def start_ratio(self) -> float:
        """The pressure inside over that around it."""
        return self.absolute(self.start_kpa) / self.around_kpa

    @property
    def levelled(self) -> tuple[tuple[float, float], ...]:
        """The readings as (seconds, kPa) as they would be had the air kept the temperature of the start.

        The temperature is taken to have changed evenly; what comes out beyond the start, or beyond the air around, is
        taken for that.
        """
        if self.start_c is None or self.end_c is None or not self.readings:
            return self.readings
        whole = self.readings[-1][0]
        found = []
        for seconds, kpa in self.readings:
            now_c = self.start_c + (self.end_c - self.start_c) * seconds / whole
            found.append((seconds, self.away(cooled(self.absolute(kpa), now_c, self.start_c))))
        return tuple(found)


@dataclass(frozen=True, slots=True)
class Judged:
    """What a test says. `lost_kpa` by the gauge; `cooling_kpa` of that (below 0: cooling hid so much of the loss).

    `leaked_kpa` is what is left; `at_limit_kpa` what the best fitting hole loses in the limit's time. `passed` is None
    while it is too soon to tell. `hole_mm` with the air at the walls' temperature, `fast_mm` had no heat got across;
    both None for a volume nobody knows.
    """

    lost_kpa: float
    cooling_kpa: float
    leaked_kpa: float
    rate: float
    at_limit_kpa: float
    passed: bool | None
    hole_mm: float | None
    fast_mm: float | None


def judge(test: HoldTest) -> Judged:
    """What the readings say. Raises ImpossibleDecay for a test that can't have been, with a plain sentence."""
    _require_sense(test)
    levelled = [(seconds, _inside(test, kpa)) for seconds, kpa in test.levelled]
    seconds, end = levelled[-1]
    ratios = [(at, test.absolute(kpa) / test.around_kpa) for at, kpa in levelled]
    rate = fitted_rate(test.start_ratio, ratios)
    at_limit = test.start_kpa - kpa_after(test, rate, test.limit_s)
    holds = at_limit <= test.limit_kpa * (1 + _ROUNDING)
    hole, fast = None, None
    if test.volume_ml is not None:
        hole = hole_of(rate, test.volume_ml, USUAL_C if test.start_c is None else test.start_c)
        slow = constants_between(test.start_ratio, ratios[-1][1])
        quick = constants_between(test.start_ratio, ratios[-1][1], fast=True)
        fast = hole * sqrt(quick / slow) if slow > 0 else hole
    return Judged(
        lost_kpa=test.start_kpa - test.readings[-1][1],
        cooling_kpa=cooling(test),
        leaked_kpa=test.start_kpa - end,
        rate=rate,
        at_limit_kpa=at_limit,
        passed=None if holds and seconds < test.limit_s * _WHOLE else holds,
        hole_mm=hole,
        fast_mm=fast,
    )


def cooling(test: HoldTest) -> float:
    """How much of the loss was the air getting colder, kPa: p·(1 − T2/T1) under pressure, the opposite in a vacuum."""
    if test.start_c is None or test.end_c is None:
        return 0.0
    start = test.absolute(test.start_kpa)
    return test.start_kpa - test.away(cooled(start, test.start_c, test.end_c))


def kpa_after(test: HoldTest, rate: float, seconds: float) -> float:
    """What is left after so many seconds, kPa away from the air around, at `rate` time constants a second."""
    return test.away(ratio_after(test.start_ratio, rate * seconds) * test.around_kpa)


def kpa_at(test: HoldTest, rate: float, moments: Iterable[float]) -> Iterator[float]:
    """The same at each of `moments`, in seconds: a whole curve."""
    for ratio in ratios_after(test.start_ratio, (rate * seconds for seconds in moments)):
        yield test.away(ratio * test.around_kpa)


def limit_rate(test: HoldTest) -> float:
    """The time constants a second at which it would just hold."""
    just = test.absolute(test.start_kpa - test.limit_kpa) / test.around_kpa
    return constants_between(test.start_ratio, just) / test.limit_s


def practice(medium: str, start: float) -> tuple[float, float]:
    """What may be lost by common practice, in the unit of `start`, and in how many seconds; six figures are enough."""
    share, seconds = PRACTICE[medium]
    return float(f"{start * share:.6g}"), seconds


def _inside(test: HoldTest, kpa: float) -> float:
    return min(max(kpa, 0.0), test.start_kpa)


def _require_sense(test: HoldTest) -> None:
    for sentence in _wrong(test):
        raise ImpossibleDecay(sentence)


def _wrong(test: HoldTest) -> Iterator[str]:
    if not test.start_kpa > 0:
        yield "A hold test starts away from the pressure around it."
    if test.vacuum and test.start_kpa >= test.around_kpa:
        yield "That is more vacuum than the air around the car allows."
    if not test.readings or any(seconds <= 0 for seconds, _ in test.readings):
        yield "A reading comes after the start."
    if any(kpa < 0 for _, kpa in test.readings):
        yield "Write what the gauge shows as a positive figure."
    if not (0 < test.limit_kpa < test.start_kpa and test.limit_s > 0):
        yield "What may be lost is more than nothing and less than the start, in a time above nothing."
