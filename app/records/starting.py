"""A new car from a starter layout: the entries that write its components, lines and joints."""

import json
from collections.abc import Callable, Iterator, Mapping

from app.airpath.layouts import ComponentSpec, JointSpec, LineSpec, StarterLayout
from app.airpath.words import End
from app.records.entry import Entry, Value
from app.workings.units import TorqueUnit

#: Makes one entry of a kind, for a record, with these fields (pages.forms.Posted.make is one).
Make = Callable[[str, str, Mapping[str, Value]], Entry]


def car_entries(make: Make, car: str, layout: StarterLayout, fields: Mapping[str, Value]) -> Iterator[Entry]:
    """The entries of a new car, in an order the door can take: the car, components, lines, joints.

    `fields` (the car's own, as typed) win over the layout's facts. Ids of components and lines are the car's id, a
    dot and the layout's key.
    """
    facts: dict[str, Value] = {
        "layout": layout.layout,
        "fuel": layout.facts.fuel,
        "has_airflow_meter": layout.facts.has_airflow_meter,
        "throttle_vacuum": layout.facts.throttle_vacuum,
        "turbocharged": layout.facts.turbocharged,
    }
    yield make("car", car, facts | dict(fields))
    for component in layout.components:
        yield make("component", f"{car}.{component.key}", _component(car, component))
    for number, line in enumerate(layout.lines, 1):
        yield make("line", f"{car}.{line.key}", _line(car, line, number))
        yield make("joint", f"{car}.{line.key}.{End.FROM}", _joint(f"{car}.{line.key}", End.FROM, line.from_joint))
        yield make("joint", f"{car}.{line.key}.{End.TO}", _joint(f"{car}.{line.key}", End.TO, line.to_joint))


def _component(car: str, spec: ComponentSpec) -> dict[str, Value]:
    return {
        "car": car,
        "kind": spec.kind,
        "name": spec.name,
        "x": spec.x,
        "y": spec.y,
        "w": spec.w,
        "h": spec.h,
    }


def _line(car: str, spec: LineSpec, number: int) -> dict[str, Value]:
    return {
        "car": car,
        "name": spec.name,
        "role": spec.role,
        "material": spec.material,
        "bore_mm": spec.bore_mm,
        "length_mm": spec.length_mm,
        "from_component": f"{car}.{spec.from_joint.component}",
        "to_component": f"{car}.{spec.to_joint.component}",
        "route": json.dumps([[point.x, point.y] for point in spec.route]) if spec.route else None,
        "number": number,
    }


def _joint(line: str, end: End, spec: JointSpec) -> dict[str, Value]:
    joint: dict[str, Value] = {"line": line, "end": end, "hold": spec.hold, "hard_to_reach": spec.hard_to_reach}
    if (guide := spec.torque) is None:
        return joint
    return joint | {
        "torque_value": guide.new_nm,
        "torque_tolerance": guide.new_tolerance_nm,
        "torque_unit": TorqueUnit.NEWTON_METRE,
        "torque_source": f"guidance for a {spec.band_mm:g} mm band, new hose ({guide.reused_nm:g} N·m on a used one)",
    }
