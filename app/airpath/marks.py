"""Rings, stripes and collars: the marks that carry a joint's or a line's state by shape."""

from collections.abc import Sequence
from functools import lru_cache
from typing import NamedTuple

from app.airpath.figure import DrawnLine, JointMark, LineLook, PlacedJoint, Shape, Stroke
from app.airpath.geometry import Point, Segment, segments
from app.airpath.words import End, LineState

#: Half the width of the two kinds of line.
HALF = {Shape.PIPE: 6.0, Shape.HOSE: 2.5}
#: How far from the box a ring's middle sits, and its radius.
RING_AT = {Shape.PIPE: 11.0, Shape.HOSE: 10.0}
RING = {Shape.PIPE: 8.0, Shape.HOSE: 7.0}

_COLLAR_AT = 7.0
_SAID = {
    JointMark.OFF: "off",
    JointMark.ON: "back on, not checked",
    JointMark.CHECKED: "checked",
    JointMark.STOPGAP: "held for now",
}


def look_of(line: DrawnLine) -> LineLook:
    """How the whole line is drawn: what needs a hand first."""
    if line.marks.off:
        return LineLook.OFF
    if line.state is LineState.STOPGAP:
        return LineLook.STOPGAP
    if line.marks.touched:
        return LineLook.TOUCHED
    return LineLook.REPLACED if line.state is LineState.REPLACED else LineLook.ORIGINAL


def said_of(line: DrawnLine, from_name: str, to_name: str) -> str:
    """The line's whole state in words, for a reader who does not see the drawing."""
    ends = ((line.marks.from_joint, from_name), (line.marks.to_joint, to_name))
    parts = [f"{_SAID[mark]} at {name}" for mark, name in ends if mark in _SAID]
    if line.marks.touched and not parts:
        parts.append("touched lately")
    return ", ".join([line.state.value, *parts])


def rings_of(line: DrawnLine, shape: Shape, route: tuple[Point, ...]) -> tuple[PlacedJoint, ...]:
    """Where the rings of both its ends are, whether or not they have anything to tell."""
    first, last = _spots(shape, route)
    marks = line.marks
    return _ring(line, End.FROM, marks.from_joint, first), _ring(line, End.TO, marks.to_joint, last)


class _Spot(NamedTuple):
    """Where a ring's middle is, its radius, and the stripe across it once it is checked."""

    x: float
    y: float
    r: float
    stripe: Stroke


# A page redraws with every touch, but the rings stay where they are: only their states are looked at anew.
@lru_cache(maxsize=4096)
def _spots(shape: Shape, route: tuple[Point, ...]) -> tuple[_Spot, _Spot]:
    whole = sum(piece.length for piece in segments(route))
    # On a very short line the two rings share what there is.
    r = max(3.0, min(RING[shape], whole / 4 - 1))
    far = min(RING_AT[shape], max(r + 1, whole / 4))
    return _spot(along(route, far), r), _spot(along(route[::-1], far), r)


def _spot(at: Point, r: float) -> _Spot:
    return _Spot(at.x, at.y, r, Stroke(at.x - r, at.y + r * 2 / 3, at.x + r, at.y - r * 2 / 3))


def _ring(line: DrawnLine, end: End, mark: JointMark, spot: _Spot) -> PlacedJoint:
    # A stopgap's own ends are part of it until one of them has news of its own.
    if mark is JointMark.UNTOUCHED and line.state is LineState.STOPGAP:
        mark = JointMark.STOPGAP
    stripe = spot.stripe if mark is JointMark.CHECKED else None
    return PlacedJoint(line.id, end, mark, spot.x, spot.y, spot.r, stripe)


def along(route: Sequence[Point], distance: float) -> Point:
    """The point `distance` along a route from its first point; its last point when it is shorter than that."""
    for piece in segments(route):
        if distance <= piece.length:
            return piece.at(distance)
        distance -= piece.length
    return route[-1]


def hanging(line: DrawnLine, shape: Shape, route: tuple[Point, ...]) -> tuple[Point, ...]:
    """The route as drawn: an end that is off stops short of its ring, so that it can be seen not to reach the box."""
    if not line.marks.off:
        return route
    short = RING_AT[shape] + RING[shape] + 2
    if sum(piece.length for piece in segments(route)) < 2 * short + 4:
        short = RING_AT[shape]
    cut = route
    if line.marks.from_joint is JointMark.OFF:
        cut = _without(cut, short)
    if line.marks.to_joint is JointMark.OFF:
        cut = _without(cut[::-1], short)[::-1]
    return cut


def _without(route: tuple[Point, ...], distance: float) -> tuple[Point, ...]:
    for index, piece in enumerate(segments(route)):
        if distance < piece.length:
            return (piece.at(distance), *route[index + 1 :])
        distance -= piece.length
    return route


@lru_cache(maxsize=4096)
def collars(shape: Shape, route: tuple[Point, ...]) -> tuple[Stroke, ...]:
    """A short bar across each end: new clamps on a replaced line."""
    pieces = segments(route)
    first, last = pieces[0], Segment(pieces[-1].b, pieces[-1].a)
    return tuple(_across(piece, HALF[shape] + 4) for piece in (first, last))


def _across(piece: Segment, half: float) -> Stroke:
    at = piece.at(min(_COLLAR_AT, piece.length / 3))
    if piece.upright:
        return Stroke(at.x - half, at.y, at.x + half, at.y)
    return Stroke(at.x, at.y - half, at.x, at.y + half)
