"""A reading's short past as a small picture, with the same said in words."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from app.records.shown import Scale
from app.workings.spread import EDGE_SPREADS, Baseline, Where, place

WIDTH, HEIGHT = 96.0, 34.0
_LEFT, _RIGHT = 2.0, 88.0  # room for the dot at the end
_TOP, _BOTTOM = 6.0, 28.0


@dataclass(frozen=True, slots=True)
class Band:
    """The usual range, as a strip across the box."""

    y: float
    height: float


@dataclass(frozen=True, slots=True)
class Now:
    """The latest reading's dot."""

    x: float
    y: float
    outside: bool


@dataclass(frozen=True, slots=True)
class Picture:
    """A box of 96 by 34 with readings from left (oldest) to right; `label` is its equivalent in words."""

    label: str
    band: Band | None
    points: str
    now: Now | None


@lru_cache(maxsize=1024)
def picture(name: str, past: tuple[float, ...], scale: Scale, usual: Baseline | None) -> Picture:
    """Draw the readings of one series, oldest first, in SI, as they would read on `scale` today.

    `usual` is in SI too. One air pressure for all of them, the scale's: a week in the mountains makes no dip.
    """
    if not past:
        return Picture(f"{name}: no reading yet", None, "", None)
    shown = [scale.shown(si) for si in past]
    edges = usual_range(scale, usual)
    low, high = min([*shown, *edges]), max([*shown, *edges])
    ys = [_y(value, low, high) for value in shown]
    step = (_RIGHT - _LEFT) / max(1, len(shown) - 1)
    xs = [_RIGHT - step * back for back in reversed(range(len(shown)))]
    outside = usual is not None and place(past[-1], usual).where is Where.OUTSIDE
    return Picture(
        _label(name, shown, scale, edges),
        _band(edges, low, high),
        " ".join(f"{x:.4g},{y:.4g}" for x, y in zip(xs, ys, strict=True)) if len(shown) > 1 else "",
        Now(round(xs[-1], 1), round(ys[-1], 1), outside),
    )


def usual_range(scale: Scale, usual: Baseline | None) -> tuple[float, ...]:
    """The least and greatest figure that is still usual, as shown; nothing without a baseline."""
    if usual is None:
        return ()
    reach = EDGE_SPREADS * usual.spread
    ends = scale.border(usual.centre - reach), scale.border(usual.centre + reach)
    return tuple(sorted(ends))


def _y(value: float, low: float, high: float) -> float:
    if high == low:
        return (_TOP + _BOTTOM) / 2
    return _BOTTOM - (value - low) / (high - low) * (_BOTTOM - _TOP)


def _band(edges: tuple[float, ...], low: float, high: float) -> Band | None:
    if not edges:
        return None
    top, bottom = _y(edges[1], low, high), _y(edges[0], low, high)
    return Band(round(top, 1), round(bottom - top, 1))


def _label(name: str, shown: Sequence[float], scale: Scale, edges: tuple[float, ...]) -> str:
    count = "one reading" if len(shown) == 1 else f"last {len(shown)} readings"
    said = f"{name}: {count}, latest {scale.figure(shown[-1])} {scale.unit_label}"
    if not edges:
        return said
    slack = 1e-9 * max(1.0, abs(edges[1]))
    side = "below" if shown[-1] < edges[0] - slack else "above" if shown[-1] > edges[1] + slack else "within"
    return f"{said}, {side} the usual band {scale.figure(edges[0])} to {scale.figure(edges[1])}"
