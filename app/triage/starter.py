"""A car known only by its starter layout: who could be at fault on it, and which of them is meant by a role."""

from collections.abc import Mapping
from dataclasses import dataclass, replace

from app.airpath.layouts import StarterLayout
from app.airpath.words import (
    ROLE_LABEL,
    SUSPECT_LABEL,
    SUSPECT_OF_COMPONENT,
    Layout,
    Material,
    Role,
    Suspect,
    TouchKind,
)
from app.triage.facts import Facts
from app.triage.inputs import Candidate

#: Lines that some cars of a layout have and its starter file does not show, and how many have them (our judgement).
_UNLISTED: dict[Layout, tuple[Role, ...]] = {
    Layout.DIRECT_SIGNAL: (Role.VACUUM_STORE,),
    Layout.ELECTRIC_DIVERTER: (Role.VACUUM_STORE, Role.FUEL_REGULATOR),
}
_UNLISTED_FITTED = 0.3


@dataclass(frozen=True, slots=True)
class TouchedRole:
    """A touch as a case tells it: one line of a role, or a component, and not yet which."""

    role: Role | Suspect
    how: TouchKind
    days_ago: float | None
    km_ago: float | None
    material: Material | None
    temp_c: float | None
    checked: bool


def candidates_of(starter: StarterLayout) -> list[Candidate]:
    """Everything a starter layout has, or may well have, that can be at fault: lines, and components that can fail."""
    lines = [
        Candidate(line.key, line.role, line.name, material=line.material, bore_mm=line.bore_mm)
        for line in starter.lines
    ]
    parts = [
        Candidate(part.key, SUSPECT_OF_COMPONENT[part.kind], part.name)
        for part in starter.components
        if part.kind in SUSPECT_OF_COMPONENT
    ]
    listed = {candidate.role for candidate in lines}
    unlisted = [
        replace(_unlisted(role), fitted=_UNLISTED_FITTED)
        for role in _UNLISTED.get(starter.layout, ())
        if role not in listed
    ]
    return lines + parts + unlisted


def facts_of_starter(starter: StarterLayout) -> Facts:
    """The facts a starter layout's file states."""
    stated = starter.facts
    return Facts(
        layout=starter.layout,
        fuel="diesel" if stated.fuel.value == "diesel" else "petrol",
        has_airflow_meter=stated.has_airflow_meter,
        throttle_vacuum=stated.throttle_vacuum,
        turbocharged=stated.turbocharged,
    )


def line_meant(
    role: Role | Suspect, material: Material | None, candidates: list[Candidate], likeliest: Mapping[str, int]
) -> Candidate:
    """Which candidate is meant by its role: of those of the material named, else of all of that role, the likeliest.

    `likeliest` is each candidate's place in a ranking by the signs alone. The candidate takes on the material named,
    and what was spoken of is there: a role the layout lacks is added to `candidates`, which is changed in place.
    """
    of_role = [candidate for candidate in candidates if candidate.role == role]
    if not of_role:
        added = replace(_unlisted(role), material=material)
        candidates.append(added)
        return added
    of_material = [candidate for candidate in of_role if candidate.material is material]
    line = min(of_material or of_role, key=lambda candidate: likeliest.get(candidate.id, len(likeliest)))
    is_line = isinstance(line.role, Role)
    known = replace(line, fitted=1.0, material=(material or line.material) if is_line else None)
    candidates[candidates.index(line)] = known
    return known


def _unlisted(role: Role | Suspect) -> Candidate:
    label = SUSPECT_LABEL[role] if isinstance(role, Suspect) else ROLE_LABEL[role].capitalize()
    return Candidate(f"unlisted_{role.value}", role, f"{label}, not in the starter layout")
