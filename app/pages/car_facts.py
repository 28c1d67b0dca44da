"""What a car is made of, as records a page carries: the phone makes the rows it needs of them."""

from dataclasses import dataclass

from sqlalchemy import Connection

from app.airpath.words import ComponentKind, Hold
from app.pages.torque_doubt import ask_of
from app.pages.words import count, inside, plain
from app.records.entry import Value
from app.records.kept import kept
from app.records.known import Known
from app.records.leaned_on import Leanable, leanable
from app.records.loose_ends import CarJoint, joints_of
from app.records.refusals import label_of
from app.records.touches import components_of

#: Clamps that a screw closes give as hose and clamp settle together; a first look after a few heat cycles is usual.
#: (Common practice, no source.)
SETTLES = frozenset({Hold.WORM_DRIVE, Hold.T_BOLT, Hold.FLANGE})


class Slots:
    """Stands for a record in a row's template: each of its fields is the place where the phone writes it."""

    def __getattr__(self, name: str) -> str:
        """The place."""
        return f"{{{name}}}"

    @property
    def title(self) -> str:
        """Of a joint: its line and where it is."""
        return "{line.name}, at the {line.@end}"


class Facts:
    """A record the page knows, as a row is written from it: every field as text, empty where there is none."""

    def __init__(self, record: str, known: Known) -> None:
        """Of the record "kind/id"."""
        self.id = record.partition("/")[2]
        self._known = known
        self._fields = known.get(record, {})

    def __getattr__(self, name: str) -> str:
        """A field."""
        return plain(self._fields.get(name))

    @property
    def title(self) -> str:
        """Of a joint: its line and where it is."""
        line = self._known.get(f"line/{self.line}", {})
        return f"{line.get('name')}, at the {line.get(self.end)}"


@dataclass(frozen=True, slots=True)
class CarFacts:
    """`known`: lines, joints and components, each in the order of its lists. `brittle_first`: the lines' ids."""

    known: Known
    joints: list[CarJoint]
    brittle_first: list[str]


@kept
def car_facts(db: Connection, car: str, _day: str) -> CarFacts:
    """The facts of one car. `_day`: the date, since lines grow older without an entry."""
    lines, joints = leanable(db, car), joints_of(db, car)
    known: Known = {}
    by_number = sorted(enumerate(lines, 1), key=lambda one: (one[1].number is None, one[1].number or 0, one[1].id))
    for number, (brittle, line) in enumerate(by_number, 1):
        known[f"line/{line.id}"] = _line(line, number, brittle)
    for one in joints:
        known[f"joint/{one.id}"] = _joint(one)
    for part in components_of(db, car):
        hot = "yes" if part.kind == ComponentKind.TURBOCHARGER else None
        known[f"component/{part.id}"] = _filled({"name": part.name, "hot": hot})
    return CarFacts(known, joints, [one.id for one in lines])


def _line(line: Leanable, number: int, brittle: int) -> dict[str, Value]:
    age = count(line.years, "year") if line.years else ""
    made = label_of(line.material) if line.material else ""
    return _filled(
        {
            "name": line.name,
            "number": number,
            "brittle": brittle,
            "made": made,
            "old": ", ".join(filter(None, (made, age))),
            "from": inside(line.from_name),
            "to": inside(line.to_name),
            "hot": "yes" if line.near_turbo else None,
        }
    )


def _joint(joint: CarJoint) -> dict[str, Value]:
    ask = ask_of(joint)
    held = [label_of(joint.hold) if joint.hold else "", ask.figure if ask else ""]
    words = ", ".join(filter(None, held))
    return _filled(
        {
            "line": joint.line,
            "end": joint.end,
            "held": words[:1].upper() + words[1:] or "Nothing known of what holds it",
            "hard": "yes" if joint.hard_to_reach else None,
            "settles": "yes" if joint.hold in SETTLES else None,
            "torque_unit": joint.torque_unit,
            "below": ask.below if ask else None,
            "above": ask.above if ask else None,
            "limits": ask.limits if ask else None,
        }
    )


def _filled(fields: dict[str, Value]) -> dict[str, Value]:
    return {name: value for name, value in fields.items() if value}
