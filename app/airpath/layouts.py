"""Starter layouts: what a car of one kind has between its air filter and its exhaust valves.

Each layout is a TOML file a person can read and mend; `load` reads one and refuses it, naming the file and the key,
when something in it cannot be true.
"""

import tomllib
from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path

from app.airpath.figure import WIDTH
from app.airpath.geometry import Box, Point
from app.airpath.tables import LayoutError, Table
from app.airpath.words import ComponentKind, Hold, Layout, Material, Role
from app.workings.clamps import WORM_DRIVE, TorqueGuide

__all__ = ["ComponentSpec", "Facts", "Fuel", "JointSpec", "LayoutError", "LineSpec", "StarterLayout", "load"]


class Fuel(StrEnum):
    """What the engine burns."""

    PETROL = "petrol"
    DIESEL = "diesel"


@dataclass(frozen=True, slots=True)
class Facts:
    """What must be known of an engine before a sign means anything."""

    fuel: Fuel
    has_airflow_meter: bool
    throttle_vacuum: bool
    turbocharged: bool


@dataclass(frozen=True, slots=True)
class ComponentSpec:
    """A component and its place on the drawing, in units of a viewBox 390 wide."""

    key: str
    kind: ComponentKind
    name: str
    x: float
    y: float
    w: float
    h: float

    @property
    def box(self) -> Box:
        """Where it is drawn."""
        return Box(self.x, self.y, self.w, self.h)


@dataclass(frozen=True, slots=True)
class JointSpec:
    """One end of a line: the component it meets, what holds it, and torque guidance where any is published."""

    component: str
    hold: Hold
    hard_to_reach: bool
    band_mm: float | None

    @property
    def torque(self) -> TorqueGuide | None:
        """Guidance by band width; None for anything but a worm-drive clamp of a published width."""
        return WORM_DRIVE.get(self.band_mm) if self.band_mm is not None else None


@dataclass(frozen=True, slots=True)
class LineSpec:
    """A line, its two joints along the air's usual way, and the corners of its route on the drawing."""

    key: str
    name: str
    role: Role
    material: Material
    bore_mm: float
    length_mm: float
    from_joint: JointSpec
    to_joint: JointSpec
    route: tuple[Point, ...]


@dataclass(frozen=True, slots=True)
class StarterLayout:
    """A whole air path to start a car from."""

    layout: Layout
    name: str
    description: str
    facts: Facts
    components: tuple[ComponentSpec, ...]
    lines: tuple[LineSpec, ...]


def load(layout: Layout, folder: Path) -> StarterLayout:
    """Read `<layout>.toml` from `folder`. Raises LayoutError naming the file and the key that is wrong."""
    path = folder / f"{layout.value}.toml"
    try:
        content: dict[str, object] = tomllib.loads(path.read_text(encoding="utf-8"))
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError) as error:
        raise LayoutError(f"{path.name}: cannot be read: {error}") from error
    top = Table(path.name, "", content)
    name, description = top.text("name"), top.text("description")
    facts = _facts(top.table("facts"))
    components = tuple(_component(table) for table in top.tables("component"))
    _distinct(path.name, "component", (part.key for part in components))
    boxes = {part.key: part.box for part in components}
    lines = tuple(_line(table, boxes) for table in top.tables("line"))
    _distinct(path.name, "line", (line.key for line in lines))
    top.nothing_else()
    return StarterLayout(layout, name, " ".join(description.split()), facts, components, lines)


def _facts(table: Table) -> Facts:
    facts = Facts(
        fuel=table.one_of("fuel", Fuel),
        has_airflow_meter=table.flag("has_airflow_meter"),
        throttle_vacuum=table.flag("throttle_vacuum"),
        turbocharged=table.flag("turbocharged"),
    )
    table.nothing_else()
    return facts


def _component(table: Table) -> ComponentSpec:
    part = ComponentSpec(
        key=table.key(),
        kind=table.one_of("kind", ComponentKind),
        name=table.text("name"),
        x=table.number("x"),
        y=table.number("y"),
        w=table.number("w"),
        h=table.number("h"),
    )
    if part.box.right > WIDTH:
        raise table.wrong("x", f"puts the box past the drawing's right edge at {WIDTH}")
    table.nothing_else()
    return part


def _line(table: Table, boxes: dict[str, Box]) -> LineSpec:
    line = LineSpec(
        key=table.key(),
        name=table.text("name"),
        role=table.one_of("role", Role),
        material=table.one_of("material", Material),
        bore_mm=table.number("bore_mm"),
        length_mm=table.number("length_mm"),
        from_joint=_joint(table.table("from"), boxes),
        to_joint=_joint(table.table("to"), boxes),
        route=table.points("route"),
    )
    if line.from_joint.component == line.to_joint.component:
        raise table.wrong("to", "leads back to the component it came from")
    for end, at in ((line.from_joint, line.route[0]), (line.to_joint, line.route[-1])):
        if not boxes[end.component].on_edge(at):
            raise table.wrong("route", f"({at.x:g}, {at.y:g}) is not on the edge of {end.component}")
    table.nothing_else()
    return line


def _joint(table: Table, boxes: dict[str, Box]) -> JointSpec:
    joint = JointSpec(
        component=table.text("component"),
        hold=table.one_of("hold", Hold),
        hard_to_reach=table.flag("hard_to_reach", default=False),
        band_mm=table.number("band_mm") if table.has("band_mm") else None,
    )
    if joint.component not in boxes:
        raise table.wrong("component", f"names no component of this layout: {joint.component}")
    if joint.band_mm is not None and joint.hold is not Hold.WORM_DRIVE:
        raise table.wrong("band_mm", "only a worm-drive clamp has a band width here")
    table.nothing_else()
    return joint


def _distinct(file: str, kind: str, keys: Iterable[str]) -> None:
    seen: set[str] = set()
    for key in keys:
        if key in seen:
            raise LayoutError(f"{file}: {kind} {key}: this key is used twice")
        seen.add(key)
