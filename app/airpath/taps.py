"""Unseen strokes that take taps. Each stops half-way to its neighbour, so a tap goes to the nearest line."""

from collections.abc import Mapping, Sequence

from app.airpath.figure import Tap
from app.airpath.geometry import Box, Point, Segment, box_gap, path, segments

#: What a thumb would like, and the least a line gets however close its neighbours are.
WIDEST, NARROWEST = 40.0, 10.0
#: Round a number, so that it can be aimed at where lines run close.
TAG_TAP = 26.0


def place_taps(routes: Mapping[str, Sequence[Point]], tags: Mapping[str, Box]) -> dict[str, tuple[Tap, ...]]:
    """The strokes that take taps for each line, by line id: one for each straight piece, one for its number."""
    pieces = {id_: segments(route) for id_, route in routes.items()}
    taps: dict[str, tuple[Tap, ...]] = {}
    for id_, own in pieces.items():
        others = [piece for key, theirs in pieces.items() if key != id_ for piece in theirs]
        numbers = [tag for key, tag in tags.items() if key != id_]
        along = [Tap(path((piece.a, piece.b)), _room(piece, others, numbers)) for piece in own]
        taps[id_] = (*along, _round_tag(tags[id_]))
    return taps


def _room(piece: Segment, others: Sequence[Segment], numbers: Sequence[Box]) -> float:
    # Another line's number is that line's to take, all of it.
    room = min((2 * box_gap(piece.span(), tag) for tag in numbers), default=WIDEST)
    room = min(room, WIDEST)
    for other in others:
        if other.upright == piece.upright:
            room = min(room, _apart(piece, other))
    return max(room, NARROWEST)


def _apart(piece: Segment, other: Segment) -> float:
    a, b = piece.span(), other.span()
    if piece.upright:
        overlap = min(a.bottom, b.bottom) - max(a.y, b.y)
        return abs(a.x - b.x) if overlap > 0 else WIDEST
    overlap = min(a.right, b.right) - max(a.x, b.x)
    return abs(a.y - b.y) if overlap > 0 else WIDEST


def _round_tag(tag: Box) -> Tap:
    y, reach = tag.centre.y, max(1.0, (tag.w - TAG_TAP) / 2 + 4)
    return Tap(path((Point(tag.centre.x - reach, y), Point(tag.centre.x + reach, y))), TAG_TAP)
