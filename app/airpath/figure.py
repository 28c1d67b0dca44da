"""What goes into the drawing of an air path, and what comes out ready to be written as SVG."""

from dataclasses import dataclass
from enum import StrEnum

from app.airpath.geometry import Box, Point
from app.airpath.words import ComponentKind, End, LineState, Role

#: The viewBox is this wide, so that one unit is about one pixel on a phone 412 px across.
WIDTH = 390


class JointMark(StrEnum):
    """What the record says of one joint."""

    UNTOUCHED = "untouched"
    OFF = "off"
    ON = "on"
    CHECKED = "checked"
    STOPGAP = "stopgap"


class Shape(StrEnum):
    """How thick a line is drawn: a big pipe or a small hose."""

    PIPE = "pipe"
    HOSE = "hose"


class LineLook(StrEnum):
    """How a whole line is drawn; where several would do, the first of them here is shown."""

    OFF = "off"
    STOPGAP = "stopgap"
    TOUCHED = "touched"
    REPLACED = "replaced"
    ORIGINAL = "original"


@dataclass(frozen=True, slots=True)
class DrawnComponent:
    """A component to draw. Without a place it goes on a shelf under the rest; without a size it gets the usual one."""

    id: str
    name: str
    kind: ComponentKind
    x: float | None = None
    y: float | None = None
    w: float | None = None
    h: float | None = None


@dataclass(frozen=True, slots=True)
class Marks:
    """What lately happened to a line: touched at all, and the state of its two joints."""

    touched: bool = False
    from_joint: JointMark = JointMark.UNTOUCHED
    to_joint: JointMark = JointMark.UNTOUCHED

    @property
    def off(self) -> bool:
        """Whether either end hangs loose."""
        return JointMark.OFF in (self.from_joint, self.to_joint)


@dataclass(frozen=True, slots=True)
class DrawnLine:
    """A line to draw, from one component to another.

    `bore_mm` may be unknown. `route` holds every corner from an edge of the one box to an edge of the other; when it
    is empty, or its ends no longer lie on those boxes, a way is found for it.
    """

    id: str
    name: str
    role: Role
    from_component: str
    to_component: str
    bore_mm: float | None = None
    route: tuple[Point, ...] = ()
    state: LineState = LineState.ORIGINAL
    marks: Marks = Marks()


@dataclass(frozen=True, slots=True)
class Label:
    """One line of text and the point its middle sits on."""

    text: str
    x: float
    y: float


@dataclass(frozen=True, slots=True)
class PlacedBox:
    """A component where it is drawn."""

    id: str
    name: str
    kind: ComponentKind
    box: Box
    radius: float
    labels: tuple[Label, ...]


@dataclass(frozen=True, slots=True)
class Stroke:
    """A straight mark from one point to another: a joint's stripe, or a collar across a replaced line's end."""

    x1: float
    y1: float
    x2: float
    y2: float


@dataclass(frozen=True, slots=True)
class PlacedJoint:
    """A joint's ring; `stripe` is there when the joint is checked."""

    line: str
    end: End
    mark: JointMark
    x: float
    y: float
    r: float
    stripe: Stroke | None


@dataclass(frozen=True, slots=True)
class Tap:
    """An unseen stroke that takes taps: no wider than half-way to the next line's."""

    d: str
    width: float


@dataclass(frozen=True, slots=True)
class PlacedLine:
    """A line where it is drawn, with its number in the plain list (the order the lines came in, from 1).

    `joints` are the rings that have something to tell; `rings` are both, for a drawing whose state may yet change.
    """

    id: str
    number: int
    name: str
    role: Role
    shape: Shape
    look: LineLook
    said: str
    route: tuple[Point, ...]
    d: str
    taps: tuple[Tap, ...]
    collars: tuple[Stroke, ...]
    joints: tuple[PlacedJoint, ...]
    rings: tuple[PlacedJoint, ...]
    tag: Box

    @property
    def label(self) -> str:
        """The line's name as read aloud: number, name, state."""
        return f"{self.number} {self.name}: {self.said}"


@dataclass(frozen=True, slots=True)
class Drawing:
    """Everything the template needs, in viewBox units."""

    width: float
    height: float
    boxes: tuple[PlacedBox, ...]
    lines: tuple[PlacedLine, ...]

    @property
    def joints(self) -> tuple[PlacedJoint, ...]:
        """Every ring drawn, line by line."""
        return tuple(joint for line in self.lines for joint in line.joints)
