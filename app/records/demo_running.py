"""The demo garage's own list before events, and what was said to it so far before the next one."""

from collections.abc import Iterator, Mapping
from datetime import datetime
from typing import TYPE_CHECKING

from app.records.entry import Value
from app.records.fields import moment_text
from app.records.musts import START, start_id

if TYPE_CHECKING:
    from app.records.demo_story import Telling

_CAR, _EVENT = "tern", "hill-climb"
_OWN = {"extinguisher": ("sprint", "Extinguisher: in date, fixed, within reach")}
_GOOD = {"fluids": None, "belts": None, "papers": "Entry confirmed; licence valid until the end of the year"}
_NOT_GOOD = {"tyres": "Front left has a slow leak: 0.3 bar lost in a week"}


def running_entries(telling: "Telling") -> Iterator[tuple[datetime, str, str, Mapping[str, Value]]]:
    """When, of which kind and record, and what: as records.demo_story tells entries; nothing for any other car."""
    if telling.car != _CAR:
        return
    begun, looked = telling.moment("@30 20:10"), telling.moment("@1 18:05")
    for key, what in START.items():
        yield begun, "must", start_id(_CAR, key), {"car": _CAR, "before": "any", "what": what}
    for key, (before, what) in _OWN.items():
        yield begun, "must", start_id(_CAR, key), {"car": _CAR, "before": before, "what": what}
    for good, said in ((True, _GOOD), (False, _NOT_GOOD)):
        for key, note in said.items():
            must = start_id(_CAR, key)
            fields: dict[str, Value] = {
                "event": telling.own(_EVENT),
                "must": must,
                "good": good,
                "looked_at": moment_text(looked),
            }
            yield looked, "looked_at", f"{telling.own(_EVENT)}.{must}", fields | ({"note": note} if note else {})
