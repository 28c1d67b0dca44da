"""Two handfuls of runs held against each other: Student's t, and Welch's interval for the difference of two means.

Standard library only. The quantile is found on the distribution itself, and that by the continued fraction of the
incomplete beta function (Abramowitz and Stegun 26.5.8, evaluated by Lentz's method).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp, inf, isfinite, lgamma, log, log1p, pi, sqrt
from statistics import fmean, variance

_TINY = 1e-300
_CLOSE = 1e-15
_MOST_STEPS = 500
_MOST_RUNS = 1000
POWER = 0.8
"""How often a difference that is there should show, when it is said how many runs it would take."""


class TooFewRuns(ValueError):
    """A difference needs two runs on each side; the message is a plain sentence."""


@dataclass(frozen=True, slots=True)
class Interval:
    """A difference (after less before) and the interval it lies in at `confidence`; `freedom` are Welch's degrees."""

    difference: float
    low: float
    high: float
    confidence: float
    freedom: float

    @property
    def shows(self) -> bool:
        """Whether these runs show a difference at all: nought is not in the interval."""
        return self.low > 0 or self.high < 0


def t_cdf(t: float, freedom: float) -> float:
    """The share of Student's distribution below t, for any degrees of freedom above nought (a fraction too)."""
    if not freedom > 0:
        raise TooFewRuns("Degrees of freedom are above nought.")
    if t == 0 or t != t:  # noqa: PLR0124  # only a NaN differs from itself
        return 0.5 if t == 0 else t
    square = t * t
    tail = _incomplete_beta(freedom / (freedom + square), square / (freedom + square), freedom / 2, 0.5) / 2
    return 1 - tail if t > 0 else tail


def t_quantile(share: float, freedom: float) -> float:
    """The t below which a share (between 0 and 1) of Student's distribution lies. Raises TooFewRuns, ValueError."""
    if not 0 < share < 1:
        raise ValueError("a share lies between nought and one")
    if share == 0.5:
        return 0.0
    if share < 0.5:
        return -t_quantile(1 - share, freedom)
    low, high = 0.0, 1.0
    while t_cdf(high, freedom) < share:
        low, high = high, 2 * high
        if high == inf:
            raise TooFewRuns("With so few runs nothing can be said.")
    t = (low + high) / 2
    for _ in range(_MOST_STEPS):
        short = t_cdf(t, freedom) - share
        low, high = (t, high) if short < 0 else (low, t)
        # Newton's step where it stays between what is known to be too low and too high, else the middle of the two.
        better = t - short / _density(t, freedom)
        better = better if low < better < high else (low + high) / 2
        if abs(better - t) <= _CLOSE * t:
            break
        t = better
    return t


def _density(t: float, freedom: float) -> float:
    log_front = lgamma((freedom + 1) / 2) - lgamma(freedom / 2) - log(freedom * pi) / 2
    return exp(log_front - (freedom + 1) / 2 * log1p(t * t / freedom))


def welch(before: Sequence[float], after: Sequence[float], confidence: float = 0.95) -> Interval:
    """The interval of mean(after) - mean(before), without taking both to scatter alike.

    B. L. Welch, Biometrika 34 (1947) p. 28, with the degrees of freedom of Welch and Satterthwaite. Raises TooFewRuns
    for fewer than two figures on a side, ValueError for one that is not finite.
    """
    if len(before) < 2 or len(after) < 2:
        raise TooFewRuns("It takes two runs before and two after, at the least, to say how far runs scatter.")
    if not all(isfinite(one) for one in (*before, *after)):
        raise ValueError("a run's figure has to be a number")
    a, b = variance(before) / len(before), variance(after) / len(after)
    difference = fmean(after) - fmean(before)
    if a + b <= 0:
        return Interval(difference, difference, difference, confidence, len(before) + len(after) - 2.0)
    freedom = (a + b) ** 2 / (a * a / (len(before) - 1) + b * b / (len(after) - 1))
    reach = t_quantile((1 + confidence) / 2, freedom) * sqrt(a + b)
    return Interval(difference, difference - reach, difference + reach, confidence, freedom)


def runs_to_show(
    before: Sequence[float], after: Sequence[float], difference: float, confidence: float = 0.95
) -> int | None:
    """How many runs a side, scattering as these do, would show a difference of this size four times in five.

    n = 2·s²·(t₁ + t₂)²/d², the usual reckoning, with t in place of the normal. None beyond a thousand.
    Raises TooFewRuns, and ValueError for a difference of nothing.
    """
    if len(before) < 2 or len(after) < 2:
        raise TooFewRuns("It takes two runs before and two after, at the least, to say how far runs scatter.")
    if not difference > 0:
        raise ValueError("a difference to show is above nought")
    scatter = (variance(before) + variance(after)) / 2

    def enough(runs: int) -> bool:
        freedom = 2.0 * runs - 2
        reach = t_quantile((1 + confidence) / 2, freedom) + t_quantile(POWER, freedom)
        return runs >= 2 * scatter * (reach / difference) ** 2

    if not enough(_MOST_RUNS):
        return None
    low, high = 1, _MOST_RUNS  # `high` is always enough, `low` never
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if enough(middle) else (middle, high)
    return high


def _incomplete_beta(x: float, rest: float, a: float, b: float) -> float:
    """I_x(a, b), regularised; `rest` is 1 - x, given apart so that none of it is lost when x is near 1."""
    if x <= 0 or rest <= 0:
        return 0.0 if x <= 0 else 1.0
    log_x = log(x) if x < 0.5 else log1p(-rest)
    log_rest = log(rest) if rest < 0.5 else log1p(-x)
    front = exp(lgamma(a + b) - lgamma(a) - lgamma(b) + a * log_x + b * log_rest)
    if x <= (a + 1) / (a + b + 2):
        return front * _fraction(x, a, b) / a
    return 1 - front * _fraction(rest, b, a) / b


def _fraction(x: float, a: float, b: float) -> float:
    c, d = 1.0, 1 - (a + b) * x / (a + 1)
    d = 1 / (d if abs(d) > _TINY else _TINY)
    value = d
    for m in range(1, _MOST_STEPS):
        for numerator in (
            m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m)),
            -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1)),
        ):
            d = 1 + numerator * d
            c = 1 + numerator / c
            d = 1 / (d if abs(d) > _TINY else _TINY)
            c = c if abs(c) > _TINY else _TINY
            value *= c * d
        if abs(c * d - 1) < _CLOSE:
            break
    return value
