"""What the demo garage tightens with, and the wheels of its cars: invented, as all of it is."""

from collections.abc import Iterator, Mapping
from datetime import datetime, timedelta

from app.records.entry import Value
from app.records.fields import moment_text

_BAY = "phone in the bay"
#: Entered a while ago, checked more than once since.
_ADDED, _CHECKED = 400, (390, 180, 12)
_WRENCHES: dict[str, dict[str, Value]] = {
    "long-wrench": {"name": "The long one", "smallest": 40, "largest": 200, "unit": "N.m", "lever_mm": 450},
    "small-wrench": {"name": "The small one", "smallest": 2, "largest": 10, "unit": "N.m", "lever_mm": 210},
}
#: By car: its wheels' figure in N·m.
_WHEELS = {"tern": 120, "dunlin": 110}

Told = tuple[datetime, str, str, str, Mapping[str, Value]]


def torque_told(car: str, at: datetime) -> Iterator[Told]:
    """The wrenches, with the first of the cars, and this car's wheels with their checks, as of `at`."""
    added = _at(at, _ADDED)
    if car == "tern":
        for record, fields in _WRENCHES.items():
            calibrated = (at - timedelta(days=500 if record == "long-wrench" else 90)).date().isoformat()
            yield added, _BAY, "wrench", record, fields | {"calibrated_on": calibrated}
    figure = _WHEELS.get(car)
    if figure is None:
        return
    group: dict[str, Value] = {"car": car, "name": "Wheels", "of": "wheel", "how_many": 20, "thread": "M12x1.5"}
    group |= {"strength_class": "10.9", "torque_value": figure, "torque_unit": "N.m"}
    yield added, _BAY, "fastener", f"{car}.wheels", group | {"torque_source": "The car maker's manual, wheels"}
    for days in _CHECKED:
        done = _at(at, days)
        check: dict[str, Value] = {"car": car, "fastener": f"{car}.wheels", "done_at": moment_text(done), "good": True}
        check |= {"torque_value": figure, "torque_unit": "N.m", "wrench": "long-wrench"}
        yield done, _BAY, "check", f"{car}.wheels.{days}", check


def _at(at: datetime, days: int) -> datetime:
    return (at - timedelta(days=days)).replace(hour=16, minute=40, second=0, microsecond=0)
