"""The picture of a hold test: its readings, the best fitting hole's curve, and the curve that would just hold.

In the units of the drawing, 360 by 200; the phone draws the same (static/bay/hold-decay.js).
"""

from collections.abc import Callable
from dataclasses import dataclass

from app.workings.hold_test import HoldTest, Judged, kpa_at, limit_rate

WIDTH, HEIGHT = 360, 200
_LEFT, _RIGHT, _TOP, _BOTTOM = 50.0, 350.0, 12.0, 168.0
_POINTS = 40
#: How much deeper the picture goes than what is to be seen on it.
_ROOM = 1.3


@dataclass(frozen=True, slots=True)
class Picture:
    """Points as SVG has them; `low_kpa`, `high_kpa` and `last_s` are what the ends of its scales stand for."""

    limit: str
    fit: str
    dots: tuple[tuple[float, float], ...]
    low_kpa: float
    high_kpa: float
    last_s: float


def picture(test: HoldTest, judged: Judged | None, elapsed_s: float = 0.0) -> Picture:
    """The picture as it stands: `judged` is None before the first reading, `elapsed_s` how long the clock has run."""
    readings = test.levelled
    last = max([test.limit_s, elapsed_s, *(seconds for seconds, _ in readings)])
    deepest = max([test.limit_kpa, *(test.start_kpa - kpa for _, kpa in readings)])
    high, low = test.start_kpa, max(0.0, test.start_kpa - _ROOM * deepest)

    def place(seconds: float, kpa: float) -> tuple[float, float]:
        down = (high - min(max(kpa, low), high)) / (high - low)
        return round(_LEFT + (_RIGHT - _LEFT) * seconds / last, 1), round(_TOP + (_BOTTOM - _TOP) * down, 1)

    dots = tuple(place(seconds, kpa) for seconds, kpa in ((0.0, test.start_kpa), *readings))
    fit = "" if judged is None else _curve(test, judged.rate, last, place)
    return Picture(_curve(test, limit_rate(test), last, place), fit, dots, low, high, last)


def _curve(test: HoldTest, rate: float, last: float, place: Callable[[float, float], tuple[float, float]]) -> str:
    moments = [last * n / _POINTS for n in range(_POINTS + 1)]
    curve = zip(moments, kpa_at(test, rate, moments), strict=True)
    return " ".join("{:.1f},{:.1f}".format(*place(at, kpa)) for at, kpa in curve)
