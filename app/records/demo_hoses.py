"""The demo garage's candidates: what might go on in place of an ageing hose, and what the plan puts there later."""

from collections.abc import Iterator, Mapping
from datetime import datetime, timedelta

from app.records.entry import Value

_CAR = "tern"
_INLET, _ACTUATOR = f"{_CAR}.compressor_inlet", f"{_CAR}.boost_actuator"
_STAGE = f"{_CAR}.stage.inlet"
_ELBOW: dict[str, Value] = {"line": _INLET, "kind": "hose", "bore_mm": 65.0, "length_mm": 200.0}

_FROM: dict[str, Value] = {"currency": "EUR", "source": "hose dealer", "condition": "new"}
_RUBBER: dict[str, Value] = {
    "name": "Moulded rubber elbow",
    "state": "here",
    "wall_mm": 4.0,
    "material": "rubber",
    "needs_cutting": "no",
    "price": 31.5,
    "currency": "EUR",
    "source": "breaker's yard",
    "condition": "used",
}
_SILICONE: dict[str, Value] = {
    "name": "Silicone elbow, four plies",
    "state": "ordered",
    "wall_mm": 5.0,
    "material": "silicone",
    "plies": 4,
    "length_mm": 260.0,
    "price": 58.0,
}
_PIPE: dict[str, Value] = {
    "line": _INLET,
    "kind": "hose",
    "name": "Alloy inlet pipe, 76 mm",
    "state": "wanted",
    "stage": _STAGE,
    "bore_mm": 76.0,
    "wall_mm": 2.0,
    "length_mm": 220.0,
    "material": "metal",
    "price": 140.0,
    "currency": "EUR",
}
_HOSE: dict[str, Value] = {
    "line": _ACTUATOR,
    "kind": "hose",
    "name": "Silicone hose, 5 mm, sleeved",
    "state": "ordered",
    "price": 12.0,
    "bore_mm": 5.0,
    "wall_mm": 3.0,
    "length_mm": 350.0,
    "material": "silicone",
    "needs_cutting": "yes",
}
#: Days ago, days ahead that it is expected, and what it is.
_PARTS: tuple[tuple[str, int, int | None, dict[str, Value]], ...] = (
    ("elbow-rubber", 20, None, _ELBOW | _RUBBER),
    ("elbow-silicone", 18, 6, _ELBOW | _FROM | _SILICONE),
    ("inlet-pipe", 17, None, _PIPE),
    ("actuator-hose", 16, 4, _FROM | _HOSE),
)


def candidates(at: datetime) -> Iterator[tuple[datetime, str, str, Mapping[str, Value]]]:
    """When it was entered, kind of record, its id and its fields, as of `at`."""
    aim: dict[str, Value] = {"car": _CAR, "step": 4, "name": "A wider inlet", "power_kw": 185.0}
    yield at - timedelta(days=21), "stage", _STAGE, aim
    for key, ago, ahead, fields in _PARTS:
        when = at - timedelta(days=ago)
        days: dict[str, Value] = {} if ahead is None else {"ordered_on": when.date().isoformat()}
        days |= {} if ahead is None else {"expected_on": (at + timedelta(days=ahead)).date().isoformat()}
        yield when, "part", f"{_CAR}.part.{key}", {"car": _CAR} | fields | days
