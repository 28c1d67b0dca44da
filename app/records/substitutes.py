"""What the garage has that could stand in for the part a stopgap waits for: parts at hand, and lines of its cars."""

import re
from dataclasses import dataclass

from sqlalchemy import Connection

from app.airpath.substitutes import Demand, Offer
from app.airpath.words import Material, Role
from app.records.rows import row, rows
from app.records.stopgaps import NOT_TO_BE_DRIVEN_ON, StopgapLine

#: Lines never taken off a car to help another: brakes, fuel, and the one whose loss lets boost run over target.
CRITICAL = NOT_TO_BE_DRIVEN_ON | {Role.BOOST_CONTROL}
_CELSIUS = re.compile(r"(-?\d+(?:[.,]\d+)?)\s*°\s*C")


@dataclass(frozen=True, slots=True)
class Candidate:
    """A part on the shelf or here, or a line that was taken off for good or is fitted.

    `state`: `shelf` or `here` of a part, `retired` or `fitted` of a line. `place`: what a part is meant for.
    """

    kind: str
    id: str
    name: str
    car: str
    car_name: str
    state: str
    since: str | None
    place: str | None
    bore_mm: float | None
    length_mm: float | None
    material: str | None
    stands_c: float | None
    stands_kpa: float | None

    @property
    def offer(self) -> Offer:
        """Its figures."""
        material = Material(self.material) if self.material else None
        return Offer(self.bore_mm, self.length_mm, material, self.stands_c, self.stands_kpa)


_PARTS = """
SELECT 'part', p.id, p.name, car.id, car.name, p.state, p.arrived_on, coalesce(l.name, c.name, p.position),
       p.bore_mm, p.length_mm, p.material, p.stands_c, p.stands_kpa
FROM part p JOIN car ON car.id = p.car AND car.void_reason IS NULL
LEFT JOIN line l ON l.id = p.line LEFT JOIN component c ON c.id = p.component
WHERE p.state IN ('shelf', 'here') AND p.kind IN ('hose', 'other') AND p.void_reason IS NULL
ORDER BY p.state DESC, p.name, p.id
"""
_LINES = f"""
SELECT 'line', l.id, l.name, car.id, car.name, CASE WHEN l.retired_on IS NULL THEN 'fitted' ELSE 'retired' END,
       l.retired_on, NULL, l.bore_mm, l.length_mm, l.material, NULL, NULL
FROM line l JOIN car ON car.id = l.car AND car.void_reason IS NULL
WHERE l.void_reason IS NULL AND l.state <> 'stopgap' AND l.id <> ?
AND (l.retired_on IS NOT NULL OR l.role NOT IN ({", ".join(f"'{role}'" for role in sorted(CRITICAL))}))
ORDER BY l.retired_on IS NULL, l.retired_on DESC, car.name, l.number, l.id
"""
_OWN = "SELECT bore_mm, length_mm, material FROM line WHERE id = ?"


def candidates(db: Connection, gap: StopgapLine) -> list[Candidate]:
    """What there is, parts first, then lines that are off a car, then those that are fitted: two queries."""
    return [*rows(db, Candidate, _PARTS), *rows(db, Candidate, _LINES, gap.line or "")]


def demand_of(db: Connection, gap: StopgapLine) -> Demand:
    """What the missing part has to be: what the stopgap says of it, and where that is silent what its line is."""
    own = row(db, lambda *found: found, _OWN, gap.line) if gap.line else None
    bore, length, material = own or (None, None, None)
    heat, words = _read(gap.part_stands)
    named = gap.part_material or material
    return Demand(
        gap.part_bore_mm if gap.part_bore_mm is not None else bore,
        gap.part_length_mm if gap.part_length_mm is not None else length,
        Material(named) if named else None,
        stands_c=heat,
        words=words,
    )


def _read(stands: str | None) -> tuple[float | None, str | None]:
    """The heat that was written down, and the words as they are where they say more than that."""
    if not stands:
        return None, None
    heats = [float(found.replace(",", ".")) for found in _CELSIUS.findall(stands)]
    left = _CELSIUS.sub("", stands).strip(" ,;.")
    return max(heats, default=None), stands if left else None
