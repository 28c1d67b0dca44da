"""What a label says of the line, component or part it is stuck to."""

import json
from dataclasses import dataclass

from sqlalchemy import Connection

from app.records.kept import kept
from app.records.rows import rows

#: What can bear a label.
LABELLED = ("line", "component", "part")


@dataclass(frozen=True, slots=True)
class Label:
    """One label. `number` is a line's place in the list; `what` the component's kind or where the part is."""

    kind: str
    id: str
    name: str
    car: str
    car_name: str
    number: int | None
    what: str | None
    material: str | None
    bore_mm: float | None
    length_mm: float | None

    @property
    def ref(self) -> str:
        """What stands for it in an address."""
        return f"{self.kind}/{self.id}"


_SELECT = {
    "line": "'line', r.id, r.name, c.id, c.name, r.number, NULL, r.material, r.bore_mm, r.length_mm FROM line r",
    "component": "'component', r.id, r.name, c.id, c.name, NULL, r.kind, NULL, NULL, NULL FROM component r",
    "part": "'part', r.id, r.name, c.id, c.name, NULL, r.state, r.material, r.bore_mm, r.length_mm FROM part r",
}
_LIES = {
    "line": "r.retired_on IS NULL ORDER BY r.number, r.name",
    "component": "r.retired_on IS NULL ORDER BY r.name",
    "part": "r.state IN ('shelf', 'here') ORDER BY r.name",
}


@kept
def labels(db: Connection, wanted: tuple[tuple[str, str], ...]) -> list[Label]:
    """The labels asked for (kind of LABELLED, id), in that order; those of which there is no record are left out."""
    found: dict[tuple[str, str], Label] = {}
    for kind in LABELLED:
        ids = json.dumps([of for one, of in wanted if one == kind])
        sql = f"""SELECT {_SELECT[kind]} JOIN car c ON c.id = r.car
WHERE r.id IN (SELECT value FROM json_each(?)) AND r.void_reason IS NULL"""
        found |= {(kind, one.id): one for one in rows(db, Label, sql, ids)}
    return [found[one] for one in dict.fromkeys(wanted) if one in found]


def to_label(db: Connection, car: str) -> dict[str, list[Label]]:
    """What of a car can bear a label, by kind: its lines, its components, and the parts that lie on the shelf."""
    return {
        kind: rows(
            db,
            Label,
            f"SELECT {_SELECT[kind]} JOIN car c ON c.id = r.car WHERE r.car = ? AND r.void_reason IS NULL "
            f"AND {_LIES[kind]}",
            car,
        )
        for kind in LABELLED
    }
