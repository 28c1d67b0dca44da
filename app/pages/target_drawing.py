"""The boost target as a picture: the curve, what is still on target around it, its limit, and the boosts read."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from math import ceil, floor, log10

from app.records.boost_targets import TargetView
from app.records.readings import ReadingRow
from app.records.shown import written

WIDTH, HEIGHT = 388.0, 262.0
_LEFT, _RIGHT, _TOP, _BOTTOM = 46.0, 366.0, 28.0, 222.0
_SPEED_STEP = 1000.0


@dataclass(frozen=True, slots=True)
class Tick:
    """A figure at an axis, and where."""

    at: float
    says: str


@dataclass(frozen=True, slots=True)
class Dot:
    """A boost that was read, as a point of the picture; over the target it is another shape."""

    x: float
    y: float
    is_over: bool


@dataclass(frozen=True, slots=True)
class Drawing:
    """Places in a box of WIDTH by HEIGHT. `band` and `line` are points of SVG; `label` says the curve in words."""

    label: str
    band: str
    line: str
    marks: Sequence[Dot]
    limit: float | None
    dots: Sequence[Dot]
    across: Sequence[Tick]
    up: Sequence[Tick]


def drawing(view: TargetView, boosts: Iterable[ReadingRow] = ()) -> Drawing:
    """Draw a target in the unit it was stated in, with the air as it was then."""
    read = [one for one in boosts if one.engine_speed is not None]
    scale, target = view.scale, view.target
    speeds = [*(speed for speed, _ in target.points), *(one.engine_speed or 0.0 for one in read)]
    left = floor((min(speeds) - 1) / _SPEED_STEP) * _SPEED_STEP
    right = ceil((max(speeds) + 1) / _SPEED_STEP) * _SPEED_STEP
    tops = [*(kpa + target.tolerance_kpa for _, kpa in target.points), *(one.si for one in read)]
    highest = scale.shown(max([*tops, *([target.limit_kpa] if target.limit_kpa else [])]))
    step = _step(highest)
    top = (floor(highest / step) + 1) * step
    x = _axis(left, right, _LEFT, _RIGHT)
    y = _axis(0.0, top, _BOTTOM, _TOP)
    ends = [(left, target.at(left)), *target.points, (right, target.at(right))]

    def places(off: float) -> list[str]:
        return [f"{x(speed):.1f},{y(max(0.0, scale.shown(kpa + off))):.1f}" for speed, kpa in ends]

    def dot(speed: float, kpa: float, *, is_over: bool) -> Dot:
        return Dot(x(speed), y(max(0.0, scale.shown(kpa))), is_over)

    dots = [
        dot(one.engine_speed or 0.0, one.si, is_over=target.beside(one.si, one.engine_speed).is_over) for one in read
    ]
    wide = 1 if right - left <= 6 * _SPEED_STEP else 2
    return Drawing(
        _in_words(view),
        " ".join([*places(target.tolerance_kpa), *reversed(places(-target.tolerance_kpa))]),
        " ".join(places(0.0)),
        [dot(speed, kpa, is_over=False) for speed, kpa in target.points],
        None if target.limit_kpa is None else y(scale.shown(target.limit_kpa)),
        dots,
        [Tick(x(at), f"{at:.0f}") for at in _range(left, right, wide * _SPEED_STEP)],
        [Tick(y(at), f"{at:.6g}") for at in _range(0.0, top, step)],
    )


def _in_words(view: TargetView) -> str:
    scale = view.scale
    said = (f"{scale.figure(boost)} {scale.unit_label} at {written(speed, 0)} rpm" for speed, boost in points_of(view))
    return f"Target: {', '.join(said)}"


def points_of(view: TargetView) -> list[tuple[float, float]]:
    """The points as entered, engine speed rising."""
    return sorted(view.fields.points())


def _axis(low: float, high: float, start: float, end: float) -> Callable[[float], float]:
    return lambda value: start + (value - low) / (high - low) * (end - start)


def _step(highest: float) -> float:
    # Four to eight lines across, at figures a person would choose.
    rough = highest / 5
    one: float = 10.0 ** floor(log10(rough))
    return next(one * times for times in (1, 2, 5, 10) if one * times >= rough)


def _range(low: float, high: float, step: float) -> list[float]:
    return [low + step * n for n in range(round((high - low) / step) + 1) if low + step * n <= high + 1e-9]
