"""Finding a way for a line between two boxes: out of a side, along lanes 10 apart, into a side.

Used for lines that nobody has drawn by hand, such as one the owner adds. The cheapest way is taken: short, with few
bends, crossing others rarely, running beside another's lane almost never, and through a box only when walled in,
so that there is always an answer.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from heapq import heappop, heappush
from math import ceil, floor
from typing import NamedTuple

from app.airpath.geometry import Box, Point, segments, tidy

#: Distance between neighbouring lanes.
LANE = 10
#: Bare plate left between two lines that run side by side.
CLEAR = 4.0

_HEADINGS = ((0, -1), (0, 1), (-1, 0), (1, 0))

# Costs in steps of one lane: what a detour may be worth to avoid each.
_BEND = 6
_CROSSING = 5
_SHARED_LANE = 60
_THROUGH_A_BOX = 400
_HUGGING = 6
_TAKEN_PORT = 40


class _Node(NamedTuple):
    i: int
    j: int


class _State(NamedTuple):
    node: _Node
    heading: tuple[int, int]


class _Port(NamedTuple):
    edge: Point
    node: _Node
    outward: tuple[int, int]


class _Step(NamedTuple):
    """The piece of lane from a node to the next one right of it or below it."""

    node: _Node
    upright: bool


@dataclass(slots=True)
class _Search:
    """A cheapest-first search (A*): what has been reached, from where, and at what cost."""

    end: Box
    heap: list[tuple[float, int, float, _State, _Port | None]] = field(default_factory=list)
    _best: dict[_State, float] = field(default_factory=dict)
    _came: dict[_State, _State | _Port] = field(default_factory=dict)

    def reach(self, state: _State, cost: float, came: _State | _Port) -> None:
        if state not in self._best or cost < self._best[state]:
            self._best[state], self._came[state] = cost, came
            heappush(self.heap, (cost + _distance(state.node, self.end), len(self._came), cost, state, None))

    def arrive(self, state: _State, cost: float, goal: _Port) -> None:
        heappush(self.heap, (cost, -1, cost, state, goal))

    def cheapest(self) -> tuple[float, _State, _Port | None]:
        _, _, cost, state, goal = heappop(self.heap)
        return cost, state, goal

    def trace(self, state: _State, goal: _Port) -> tuple[_Port, Sequence[_Node], _Port]:
        nodes = [state.node]
        came = self._came[state]
        while isinstance(came, _State):
            nodes.append(came.node)
            came = self._came[came]
        return came, nodes[::-1], goal


@dataclass(slots=True)
class Floor:
    """What a new line has to get past: the drawing's size, its boxes, and the lines laid so far."""

    width: float
    height: float
    boxes: Sequence[Box]
    _inside: set[_Node] = field(init=False, default_factory=set)
    _against: set[_Node] = field(init=False, default_factory=set)
    _shared: set[_Step] = field(init=False, default_factory=set)
    _crossed: set[_Step] = field(init=False, default_factory=set)
    _ends: list[Point] = field(init=False, default_factory=list)
    _broad: bool = field(init=False, default=False)

    def __post_init__(self) -> None:
        """Note which lane crossings lie in or against a box."""
        for box in self.boxes:
            self._inside.update(_nodes_in(box.grown(3)))
            self._against.update(_nodes_in(box.grown(9)))

    def lay(self, route: Sequence[Point], half: float) -> None:
        """Take note of a line `2 * half` wide along `route`, so that later ones keep off it."""
        self._ends += [route[0], route[-1]]
        for piece in segments(route):
            beside = piece.span(half + CLEAR + 2.5)
            # A step starts up to one lane before the part of it that comes near.
            for node in _nodes_in(Box(beside.x - LANE, beside.y - LANE, beside.w + LANE, beside.h + LANE)):
                if beside.x < node.i * LANE:
                    (self._shared if piece.upright else self._crossed).add(_Step(node, upright=True))
                if beside.y < node.j * LANE:
                    (self._crossed if piece.upright else self._shared).add(_Step(node, upright=False))

    def way(self, start: Box, end: Box, half: float) -> tuple[Point, ...]:
        """The corners of the cheapest way from an edge of `start` to an edge of `end`, for a line `2 * half` wide."""
        self._broad = half > LANE / 2  # too wide for the lane right beside a box
        starts, goals = list(self._ports(start)), list(self._ports(end))
        if start == end:  # a loop leaves by the sides or top and comes back from below
            starts = [port for port in starts if port.outward != (0, 1)] or starts[:1]
            goals = [port for port in goals if port.outward == (0, 1) and port not in starts]
        first, nodes, last = self._search(starts, goals, end)
        corners = [Point(node.i * LANE, node.j * LANE) for node in nodes]
        return tidy([first.edge, _stub(first), *corners, _stub(last), last.edge])

    def _ports(self, box: Box) -> Iterator[_Port]:
        for x in _along(box.x, box.right):
            yield _Port(Point(x, box.y), _Node(round(x / LANE), floor((box.y - 5) / LANE)), (0, -1))
            yield _Port(Point(x, box.bottom), _Node(round(x / LANE), ceil((box.bottom + 5) / LANE)), (0, 1))
        for y in _along(box.y, box.bottom):
            yield _Port(Point(box.x, y), _Node(floor((box.x - 5) / LANE), round(y / LANE)), (-1, 0))
            yield _Port(Point(box.right, y), _Node(ceil((box.right + 5) / LANE), round(y / LANE)), (1, 0))

    def _search(
        self, starts: Sequence[_Port], goals: Sequence[_Port], end: Box
    ) -> tuple[_Port, Sequence[_Node], _Port]:
        aims = {(goal.node, (-goal.outward[0], -goal.outward[1])): goal for goal in goals}
        search = _Search(end)
        for port in starts:
            if self._on_floor(port.node):
                search.reach(_State(port.node, port.outward), self._taken(port) + self._standing(port.node), port)
        while search.heap:
            cost, state, goal = search.cheapest()
            if goal is not None:
                return search.trace(state, goal)
            for inward in _HEADINGS:
                goal = aims.get((state.node, inward))
                if goal is not None:
                    search.arrive(state, cost + _BEND * _turns(state.heading, inward) + self._taken(goal), goal)
            for onward, added in self._steps(state):
                search.reach(onward, cost + added, state)
        raise ValueError("no side of one of the boxes lies on the drawing")

    def _steps(self, state: _State) -> Iterator[tuple[_State, float]]:
        for heading in _HEADINGS:
            turns = _turns(state.heading, heading)
            node = _Node(state.node.i + heading[0], state.node.j + heading[1])
            if turns == 2 or not self._on_floor(node):
                continue
            step = _Step(min(state.node, node), heading[0] == 0)
            cost = 1.0 + _BEND * turns + self._standing(node)
            cost += _SHARED_LANE * (step in self._shared) + _CROSSING * (step in self._crossed)
            yield _State(node, heading), cost

    def _on_floor(self, node: _Node) -> bool:
        return LANE <= node.i * LANE <= self.width - LANE and LANE <= node.j * LANE <= self.height - LANE

    def _standing(self, node: _Node) -> float:
        if node in self._inside:
            return _THROUGH_A_BOX
        return _HUGGING if self._broad and node in self._against else 0.0

    def _taken(self, port: _Port) -> float:
        near = LANE + CLEAR
        return _TAKEN_PORT * any(abs(port.edge.x - p.x) < near and abs(port.edge.y - p.y) < near for p in self._ends)


def _stub(port: _Port) -> Point:
    if port.outward[0]:
        return Point(port.node.i * LANE, port.edge.y)
    return Point(port.edge.x, port.node.j * LANE)


def _along(low: float, high: float) -> list[float]:
    lanes = [float(at * LANE) for at in range(ceil((low + 5) / LANE), floor((high - 5) / LANE) + 1)]
    return lanes or [(low + high) / 2]


def _nodes_in(box: Box) -> Iterator[_Node]:
    for i in range(floor(box.x / LANE) + 1, ceil(box.right / LANE)):
        for j in range(floor(box.y / LANE) + 1, ceil(box.bottom / LANE)):
            yield _Node(i, j)


def _turns(before: tuple[int, int], after: tuple[int, int]) -> int:
    if before == after:
        return 0
    return 2 if (before[0] + after[0], before[1] + after[1]) == (0, 0) else 1


def _distance(node: _Node, box: Box) -> float:
    x, y = node.i * LANE, node.j * LANE
    away = max(box.x - x, x - box.right, 0) + max(box.y - y, y - box.bottom, 0)
    return max(0.0, away / LANE - 2)
