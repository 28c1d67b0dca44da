"""Where each line's number stands: on a long line, beside a short one, clear of boxes, rings and other lines."""

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import inf

from app.airpath.figure import WIDTH, Shape
from app.airpath.geometry import Box, Point, Segment, segments
from app.airpath.lettering import text_width
from app.airpath.marks import HALF, RING, RING_AT, along

#: Height of a number's plate.
TAG_HEIGHT = 17.0
#: A line shorter than this would vanish under its own number.
_LONG_ENOUGH = 62.0

#: Bare plate between a number and a box, so that it is not read as the box's.
_AIR = 4.0

#: A number this near a line reads as that line's.
_REACH = 8.5

# What each fault of a place costs; the cheapest place is taken.
_OUTSIDE = 5000.0
_ON_A_BOX = 1000.0
_ON_A_TAG = 700.0
_ON_A_LINE = 90.0
_NEAR_A_LINE = 12.0
_ON_A_RING = 60.0
_ON_OWN_SHORT_LINE = 40.0
_BESIDE = 6.0
_OFF_MIDDLE = 0.05


@dataclass(frozen=True, slots=True)
class _Plate:
    """What a number must keep clear of."""

    frame: Box
    boxes: Sequence[Box]
    tags: Collection[Box]
    lines: Sequence[Box]
    rings: Sequence[Box]

    def fault(self, tag: Box) -> float:
        outside = tag.x < self.frame.x or tag.y < self.frame.y
        outside = outside or tag.right > self.frame.right or tag.bottom > self.frame.bottom
        return (
            _OUTSIDE * outside
            + _ON_A_BOX * sum(tag.grown(_AIR).meets(box) for box in self.boxes)
            + _ON_A_TAG * sum(tag.grown(2).meets(other) for other in self.tags)
            + _ON_A_LINE * sum(tag.grown(1).meets(line) for line in self.lines)
            + _NEAR_A_LINE * sum(tag.grown(_REACH).meets(line) for line in self.lines)
            + _ON_A_RING * sum(tag.meets(ring) for ring in self.rings)
        )


def place_tags(
    routes: Mapping[str, tuple[Shape, Sequence[Point]]], texts: Mapping[str, str], boxes: Sequence[Box], height: float
) -> dict[str, Box]:
    """A plate for each line's number by line id; lines with the least room choose first."""
    strokes = {id_: [p.span(HALF[shape] + 1) for p in segments(route)] for id_, (shape, route) in routes.items()}
    rings = [ring for shape, route in routes.values() for ring in _rings(shape, route)]
    frame = Box(1, 1, WIDTH - 2, height - 2)
    tags: dict[str, Box] = {}
    for id_ in sorted(routes, key=lambda key: sum(p.length for p in segments(routes[key][1]))):
        others = [span for key, spans in strokes.items() if key != id_ for span in spans]
        plate = _Plate(frame, boxes, tags.values(), others, rings)
        width = max(TAG_HEIGHT, text_width(texts[id_]) + 7)
        tags[id_] = _best(sorted(_places(*routes[id_], width), key=lambda place: place[0]), plate)
    return tags


def _best(places: Sequence[tuple[float, Box]], plate: _Plate) -> Box:
    least, best = inf, places[0][1]
    for cost, tag in places:
        if cost >= least:  # places come cheapest first, so none after this can do better
            break
        whole = cost + plate.fault(tag)
        if whole < least:
            least, best = whole, tag
    return best


def _places(shape: Shape, route: Sequence[Point], width: float) -> Iterator[tuple[float, Box]]:
    pieces = segments(route)
    whole, gone = sum(piece.length for piece in pieces), 0.0
    for piece in pieces:
        for at in _stops(piece):
            centre = piece.at(at)
            cost = _OFF_MIDDLE * abs(gone + at - whole / 2)
            yield cost + _ON_OWN_SHORT_LINE * (piece.length < _LONG_ENOUGH), _around(centre, width)
            for side in (-1, 1):
                yield cost + _BESIDE, _around(_beside(piece, centre, side, shape, width), width)
        gone += piece.length


def _stops(piece: Segment) -> list[float]:
    steps = int(piece.length // 8)
    return [piece.length / 2, *(piece.length * i / (steps + 1) for i in range(1, steps + 1))]


def _beside(piece: Segment, centre: Point, side: int, shape: Shape, width: float) -> Point:
    if piece.upright:
        return Point(centre.x + side * (RING[shape] + 3.5 + width / 2), centre.y)
    return Point(centre.x, centre.y + side * (RING[shape] + 3.5 + TAG_HEIGHT / 2))


def _around(centre: Point, width: float) -> Box:
    return Box(centre.x - width / 2, centre.y - TAG_HEIGHT / 2, width, TAG_HEIGHT)


def _rings(shape: Shape, route: Sequence[Point]) -> tuple[Box, Box]:
    ends = (along(route, RING_AT[shape]), along(route[::-1], RING_AT[shape]))
    return (Box(*ends[0], 0, 0).grown(RING[shape] + 1), Box(*ends[1], 0, 0).grown(RING[shape] + 1))
