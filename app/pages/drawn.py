"""What a finger drew on a photo, as shapes over it. static/bay/drawn.js draws the same.

A drawing is WIDE across, and as tall as the picture is beside that; points are kept in shares of both.
"""

import json
import math
from dataclasses import dataclass

WIDE = 1000
#: A ring's radius, an arrow head's length, and the angle of each of its sides, in the drawing's own measure.
RING, HEAD, ANGLE = 70, 55, math.radians(28)
#: Four to three, as phones take them, where the picture is not there yet.
_USUAL = 0.75

Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Marks:
    """Rings as their centres, arrows as the paths of an SVG."""

    rings: tuple[Point, ...]
    arrows: tuple[str, ...]


def tall_of(width: int | None, height: int | None) -> int:
    """How tall the drawing over a picture of this size (pixels) is."""
    return round(WIDE * (height / width if width and height else _USUAL))


def points_of(text: str | None) -> list[Point]:
    """Points as a record keeps them, each held within the picture; a list of anything else counts as none."""
    try:
        return [(_share(x), _share(y)) for x, y in json.loads(text or "[]")]
    except (ValueError, TypeError):
        return []


def text_of(points: list[Point]) -> str | None:
    """Points as a record keeps them; None for none."""
    return json.dumps(points, separators=(",", ":")) if points else None


def drawn(rings: str | None, arrows: str | None, tall: int) -> Marks:
    """The shapes of a photo's `rings` and `arrows` on a drawing `tall` high. An arrow without its head is left out."""
    at = [(x * WIDE, y * tall) for x, y in points_of(arrows)]
    paths = [_arrow(tail, head) for tail, head in zip(at[::2], at[1::2], strict=False)]
    return Marks(tuple((round(x * WIDE, 1), round(y * tall, 1)) for x, y in points_of(rings)), tuple(paths))


def _arrow(tail: Point, head: Point) -> str:
    back = math.atan2(tail[1] - head[1], tail[0] - head[0])
    sides = [
        (head[0] + HEAD * math.cos(back + turn), head[1] + HEAD * math.sin(back + turn)) for turn in (ANGLE, -ANGLE)
    ]
    (a, b) = (f"{x:.1f} {y:.1f}" for x, y in sides)
    tip = f"{head[0]:.1f} {head[1]:.1f}"
    return f"M{tail[0]:.1f} {tail[1]:.1f}L{tip}M{a}L{tip}L{b}"


def _share(value: float) -> float:
    return min(1.0, max(0.0, float(value)))
