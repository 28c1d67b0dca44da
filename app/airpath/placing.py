"""Where each box stands: as given when it has a place, else on a shelf below everything that has."""

from collections.abc import Iterable, Sequence

from app.airpath.figure import WIDTH, DrawnComponent
from app.airpath.geometry import Box
from app.airpath.words import ComponentKind

#: Kept free all round, so that a line, a ring and a number fit beside the outermost box.
MARGIN = 15.0
#: A tee or union is a knot in a line: too small for a name, which its title holds.
TEE = 16.0

_SHELF_COLUMNS = (15.0, 110.0, 205.0, 300.0)
_SHELF_BOX = (75.0, 40.0)
#: Room between shelves and above the first, enough for two rings, a lane and a number.
_SHELF_GAP = 50.0


def place(components: Sequence[DrawnComponent]) -> dict[str, Box]:
    """A box for each component, all within the drawing's width, by component id."""
    placed = {part.id: _given(part.x, part.y, part) for part in components if part.x is not None and part.y is not None}
    unplaced = [part for part in components if part.id not in placed]
    top = floor_below(placed.values()) + _SHELF_GAP if placed else MARGIN
    for index, part in enumerate(unplaced):
        column, row = index % len(_SHELF_COLUMNS), index // len(_SHELF_COLUMNS)
        w, h = _SHELF_BOX
        x, y = _SHELF_COLUMNS[column], top + row * (h + _SHELF_GAP)
        if part.kind is ComponentKind.TEE:  # its middle on a lane, where a line can meet it straight on
            x, y, w, h = x + 35 - TEE / 2, y + 15 - TEE / 2, TEE, TEE
        placed[part.id] = Box(x, y, w, h)
    return placed


def floor_below(boxes: Iterable[Box]) -> float:
    """The lowest edge of all the boxes, down to the next half-lane."""
    lowest = max(box.bottom for box in boxes)
    return lowest + (MARGIN - lowest) % 10


def _given(x: float, y: float, part: DrawnComponent) -> Box:
    tee = part.kind is ComponentKind.TEE
    w = min(part.w or (TEE if tee else _SHELF_BOX[0]), WIDTH - 2 * MARGIN)
    h = part.h or (TEE if tee else _SHELF_BOX[1])
    return Box(min(max(x, MARGIN), WIDTH - MARGIN - w), max(y, MARGIN), w, h)
