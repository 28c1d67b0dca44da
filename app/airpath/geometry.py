"""Points, boxes and broken lines on the drawing's plane. Units are those of the viewBox, y runs down."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from math import hypot
from typing import NamedTuple


class Point(NamedTuple):
    """A place on the drawing."""

    x: float
    y: float


@dataclass(frozen=True, slots=True)
class Box:
    """An upright rectangle: left, top, width, height."""

    x: float
    y: float
    w: float
    h: float

    @property
    def right(self) -> float:
        """The x of the right edge."""
        return self.x + self.w

    @property
    def bottom(self) -> float:
        """The y of the bottom edge."""
        return self.y + self.h

    @property
    def centre(self) -> Point:
        """The middle."""
        return Point(self.x + self.w / 2, self.y + self.h / 2)

    def grown(self, by: float) -> "Box":
        """This box with `by` added on all four sides (taken away when negative)."""
        return Box(self.x - by, self.y - by, self.w + 2 * by, self.h + 2 * by)

    def meets(self, other: "Box") -> bool:
        """Whether the two share any area; touching edges do not count."""
        return self.x < other.right and other.x < self.right and self.y < other.bottom and other.y < self.bottom

    def holds(self, p: Point) -> bool:
        """Whether `p` lies strictly inside."""
        return self.x < p.x < self.right and self.y < p.y < self.bottom

    def on_edge(self, p: Point, slack: float = 1.0) -> bool:
        """Whether `p` lies on the outline, within `slack`."""
        return self.grown(slack).holds(p) and not self.grown(-slack).holds(p)


@dataclass(frozen=True, slots=True)
class Segment:
    """A straight piece of a route between two points."""

    a: Point
    b: Point

    @property
    def length(self) -> float:
        """Its length."""
        return hypot(self.b.x - self.a.x, self.b.y - self.a.y)

    @property
    def upright(self) -> bool:
        """Whether it runs up or down."""
        return self.a.x == self.b.x

    def span(self, half: float = 0.0) -> Box:
        """The box it covers when drawn `2 * half` wide, with ends squared off."""
        left, top = min(self.a.x, self.b.x), min(self.a.y, self.b.y)
        return Box(left, top, abs(self.a.x - self.b.x), abs(self.a.y - self.b.y)).grown(half)

    def at(self, distance: float) -> Point:
        """The point `distance` from `a` on the way to `b`."""
        part = distance / self.length if self.length else 0.0
        return Point(self.a.x + (self.b.x - self.a.x) * part, self.a.y + (self.b.y - self.a.y) * part)


def segments(route: Sequence[Point]) -> tuple[Segment, ...]:
    """The straight pieces of a route, in order."""
    return tuple(Segment(a, b) for a, b in pairwise(route) if a != b)


def tidy(route: Sequence[Point]) -> tuple[Point, ...]:
    """The same route without repeated points and without points in the middle of a straight."""
    kept: list[Point] = []
    for p in route:
        if kept and kept[-1] == p:
            continue
        if len(kept) > 1 and _straight(kept[-2], kept[-1], p):
            kept.pop()
        kept.append(p)
    return tuple(kept)


def _straight(a: Point, b: Point, c: Point) -> bool:
    same_x, same_y = a.x == b.x == c.x, a.y == b.y == c.y
    onward = (b.x - a.x) * (c.x - b.x) >= 0 and (b.y - a.y) * (c.y - b.y) >= 0
    return (same_x or same_y) and onward


def box_gap(a: Box, b: Box) -> float:
    """The shortest distance between two boxes; nothing when they meet."""
    across = max(a.x - b.right, b.x - a.right, 0.0)
    down = max(a.y - b.bottom, b.y - a.bottom, 0.0)
    return hypot(across, down)


@lru_cache(maxsize=4096)
def path(route: tuple[Point, ...]) -> str:
    """A route as the `d` of an SVG path, with `H` and `V` where it runs straight across or down."""
    parts = [f"M{number(route[0].x)} {number(route[0].y)}"]
    for a, b in pairwise(route):
        if a.x == b.x:
            parts.append(f"V{number(b.y)}")
        elif a.y == b.y:
            parts.append(f"H{number(b.x)}")
        else:
            parts.append(f"L{number(b.x)} {number(b.y)}")
    return "".join(parts)


def number(value: float) -> str:
    """A coordinate to a tenth, without a needless `.0`."""
    return f"{value:.1f}".removesuffix(".0")
