"""Whether a figure stands still or goes up and down, by how much and how often."""

from dataclasses import dataclass
from math import pi, sqrt

import numpy as np

from app.traces.trace import Samples

_LEAST_SAMPLES = 6
_SLOWEST_TURNS = 1.5  # an up and down has to be seen whole, and half again
_FASTEST_HZ = 5.0
_SAMPLES_A_TURN = 3.0
_CLIP = 3.5  # robust spreads: one wild sample is no wander
_SHARE = 0.5
_STEPS = 160


@dataclass(frozen=True, slots=True)
class Wander:
    """`swing`: half of the way from top to bottom, in the figure's unit, as a sine of the same spread would have it.

    `hz` is how often it goes up and down; None where no one beat makes up half of it, or the log is too coarse to tell.
    """

    swing: float
    hz: float | None


def wander(at: Samples, values: Samples) -> Wander | None:
    """What is left of a figure's ups and downs without its slow bend; None for too few samples.

    The beat is a least-squares sine (the periodogram of unevenly spaced samples: Lomb, Astrophysics and Space Science
    39 (1976) p. 447), looked for no faster than three samples show it.
    """
    if values.size < _LEAST_SAMPLES or at[-1] <= at[0]:
        return None
    left = _without_bend(at, values)
    swing = sqrt(2) * float(np.std(left))
    if swing == 0:
        return Wander(0.0, None)
    fastest = min(_FASTEST_HZ, 1 / (_SAMPLES_A_TURN * float(np.median(np.diff(at)))))
    slowest = _SLOWEST_TURNS / float(at[-1] - at[0])
    if fastest <= slowest:
        return Wander(swing, None)
    tried = np.linspace(slowest, fastest, _STEPS)
    shares = [_share_of(hz, at, left) for hz in tried]
    best = int(np.argmax(shares))
    return Wander(swing, float(tried[best]) if shares[best] >= _SHARE else None)


def _without_bend(at: Samples, values: Samples) -> Samples:
    middle = at - at.mean()
    bend = np.polynomial.Polynomial.fit(middle, values, 2)(middle)
    tame = bend + _clipped(values - bend)
    left = _clipped(values - np.polynomial.Polynomial.fit(middle, tame, 2)(middle))
    cleaned: Samples = left - left.mean()
    return cleaned


def _clipped(left: Samples) -> Samples:
    spread = 1.4826 * float(np.median(abs(left - np.median(left))))
    return np.clip(left, -_CLIP * spread, _CLIP * spread) if spread > 0 else left


def _share_of(hz: float, at: Samples, left: Samples) -> float:
    angle = 2 * pi * hz * at
    basis = np.stack((np.sin(angle), np.cos(angle), np.ones_like(angle)), axis=1)
    fitted, *_ = np.linalg.lstsq(basis, left, rcond=None)
    rest = left - basis @ fitted
    return 1 - float(rest @ rest) / float(left @ left)
