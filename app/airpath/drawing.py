"""The drawing of an air path, from its components and lines to numbers ready for SVG."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from app.airpath.figure import (
    WIDTH,
    Drawing,
    DrawnComponent,
    DrawnLine,
    JointMark,
    Label,
    LineLook,
    PlacedBox,
    PlacedLine,
    Shape,
    Tap,
)
from app.airpath.geometry import Box, Point, path, tidy
from app.airpath.lettering import wrap
from app.airpath.marks import HALF, collars, hanging, look_of, rings_of, said_of
from app.airpath.placing import MARGIN, floor_below, place
from app.airpath.routing import Floor
from app.airpath.tags import place_tags
from app.airpath.taps import place_taps
from app.airpath.words import ComponentKind, Role

#: From this bore up a line is drawn as a pipe.
PIPE_BORE_MM = 30.0


@dataclass(frozen=True, slots=True)
class _Run:
    """Of a line, what decides where it is drawn; its state does not."""

    id: str
    shape: Shape
    start: str
    end: str
    route: tuple[Point, ...]


@dataclass(frozen=True, slots=True)
class _Plan:
    height: float
    boxes: tuple[PlacedBox, ...]
    routes: dict[str, tuple[Point, ...]]
    tags: dict[str, Box]
    taps: dict[str, tuple[Tap, ...]]


def draw(components: Sequence[DrawnComponent], lines: Sequence[DrawnLine]) -> Drawing:
    """Lay out an air path. Lines are numbered from 1 in the order given, as in the plain list beside the drawing.

    Raises ValueError, naming the line, when it ends at a component that is not among `components`.
    """
    names = {part.id: part.name for part in components}
    for line in lines:
        for end in (line.from_component, line.to_component):
            if end not in names:
                raise ValueError(f"line {line.id} ends at {end}, which is not among the components")
    runs = tuple(_Run(x.id, shape_of(x), x.from_component, x.to_component, tuple(x.route)) for x in lines)
    plan = _plan(tuple(components), runs)
    placed = tuple(_placed(plan, line, number, names) for number, line in enumerate(lines, start=1))
    return Drawing(WIDTH, plan.height, plan.boxes, placed)


def shape_of(line: DrawnLine) -> Shape:
    """A pipe when its bore is wide, or when its bore is unknown and its role carries the engine's whole air."""
    if line.bore_mm is None:
        return Shape.PIPE if line.role in (Role.CHARGE, Role.INTAKE) else Shape.HOSE
    return Shape.PIPE if line.bore_mm >= PIPE_BORE_MM else Shape.HOSE


def _placed(plan: _Plan, line: DrawnLine, number: int, names: dict[str, str]) -> PlacedLine:
    route, shape, look = plan.routes[line.id], shape_of(line), look_of(line)
    rings = rings_of(line, shape, route)
    return PlacedLine(
        id=line.id,
        number=number,
        name=line.name,
        role=line.role,
        shape=shape,
        look=look,
        said=said_of(line, names[line.from_component], names[line.to_component]),
        route=route,
        d=path(hanging(line, shape, route)),
        taps=plan.taps[line.id],
        collars=collars(shape, route) if look is LineLook.REPLACED else (),
        joints=tuple(ring for ring in rings if ring.mark is not JointMark.UNTOUCHED),
        rings=rings,
        tag=plan.tags[line.id],
    )


# A page redraws with every touch, but the pipes stay where they are: only their states are worked out anew.
@lru_cache(maxsize=64)
def _plan(components: tuple[DrawnComponent, ...], runs: tuple[_Run, ...]) -> _Plan:
    boxes = place(components)
    kept = {run.id: tidy(run.route) for run in runs if _fits(run, boxes)}
    height = _height(boxes, kept)
    floor = Floor(WIDTH, height, tuple(boxes.values()))
    for run in runs:
        if run.id in kept:
            floor.lay(kept[run.id], HALF[run.shape])
    routes = dict(kept)
    for run in runs:
        if run.id not in routes:
            routes[run.id] = floor.way(boxes[run.start], boxes[run.end], HALF[run.shape])
            floor.lay(routes[run.id], HALF[run.shape])
    texts = {run.id: str(number) for number, run in enumerate(runs, start=1)}
    shaped = {run.id: (run.shape, routes[run.id]) for run in runs}
    tags = place_tags(shaped, texts, tuple(boxes.values()), height)
    drawn = tuple(_box(part, boxes[part.id]) for part in components)
    return _Plan(height, drawn, routes, tags, place_taps(routes, tags))


def _fits(run: _Run, boxes: dict[str, Box]) -> bool:
    return (
        len(tidy(run.route)) > 1
        and boxes[run.start].on_edge(run.route[0])
        and boxes[run.end].on_edge(run.route[-1])
        and all(0 <= p.x <= WIDTH and p.y >= 0 for p in run.route)
    )


def _height(boxes: dict[str, Box], routes: dict[str, tuple[Point, ...]]) -> float:
    lowest = max((p.y for route in routes.values() for p in route), default=0.0)
    return max(floor_below(boxes.values()) if boxes else 0.0, lowest) + MARGIN


def _box(part: DrawnComponent, box: Box) -> PlacedBox:
    tee = part.kind is ComponentKind.TEE
    labels = () if tee else tuple(Label(text, *at) for text, at in wrap(part.name, box))
    return PlacedBox(part.id, part.name, part.kind, box, 4.0 if tee else 6.0, labels)
