"""Who could be at fault on a car at some moment: its lines and the components that can fail, as triage weighs them."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy import Connection

from app.airpath.words import SUSPECT_OF_COMPONENT, ComponentKind, Material, Role, Suspect
from app.records.rows import rows
from app.triage.inputs import Candidate

_DAYS_A_YEAR = 365.25


@dataclass(frozen=True, slots=True)
class Thing:
    """A line (with a role) or a component (with a kind) that is on the car."""

    id: str
    role: str | None
    kind: str | None
    name: str
    material: str | None
    bore_mm: float | None
    fitted_on: str | None
    state: str | None


@dataclass(frozen=True, slots=True)
class Stopgap:
    """A temporary repair of a line or component, and while it was in force."""

    thing: str
    fitted_at: str
    ended_at: str | None


_THINGS = """
SELECT id, role, NULL, name, material, bore_mm, fitted_on, state
FROM line WHERE car = ? AND retired_on IS NULL AND void_reason IS NULL
UNION ALL
SELECT id, NULL, kind, name, NULL, NULL, fitted_on, NULL
FROM component WHERE car = ? AND retired_on IS NULL AND void_reason IS NULL
"""
_STOPGAPS = """
SELECT coalesce(line, component), fitted_at, ended_at FROM stopgap
WHERE car = ? AND coalesce(line, component) IS NOT NULL AND void_reason IS NULL
"""


def things_of(connection: Connection, car: str) -> list[Thing]:
    """Every line and component on the car."""
    return rows(connection, Thing, _THINGS, car, car)


def stopgaps_of(connection: Connection, car: str) -> list[Stopgap]:
    """Every stopgap ever made of a line or component of the car."""
    return rows(connection, Stopgap, _STOPGAPS, car)


def candidates_at(things: Sequence[Thing], stopgaps: Sequence[Stopgap], at: str) -> tuple[Candidate, ...]:
    """The candidates as they were at the moment `at`: what was fitted or patched later was not so yet."""
    known = {stopgap.thing for stopgap in stopgaps}
    patched = {one.thing for one in stopgaps if one.fitted_at <= at and (one.ended_at is None or one.ended_at > at)}
    # A line may be marked as a stopgap with no record of the stopgap itself.
    patched |= {thing.id for thing in things if thing.state == "stopgap" and thing.id not in known}
    return tuple(
        Candidate(
            thing.id,
            role,
            f"{thing.name}, gasket" if role is Suspect.MANIFOLD_GASKET else thing.name,
            Material(thing.material) if thing.material else None,
            _age_years(thing.fitted_on, at),
            thing.bore_mm,
            stopgap=thing.id in patched,
        )
        for thing in things
        if (role := _role(thing))
    )


def _role(thing: Thing) -> Role | Suspect | None:
    if thing.role is not None:
        return Role(thing.role)
    return SUSPECT_OF_COMPONENT.get(ComponentKind(thing.kind)) if thing.kind else None


def _age_years(fitted_on: str | None, at: str) -> float | None:
    if fitted_on is None or fitted_on > at[:10]:
        return None
    return round((datetime.fromisoformat(at).date() - date.fromisoformat(fitted_on)).days / _DAYS_A_YEAR, 1)
