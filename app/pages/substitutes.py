"""What could stand in for the part a stopgap waits for, the best first, and what about each does not meet it."""

from dataclasses import dataclass
from typing import Any

from fastapi import APIRouter, Request
from sqlalchemy import Connection
from starlette.responses import Response

from app.airpath.substitutes import Demand, Finding, Match, ranked
from app.airpath.words import MATERIAL_LABEL
from app.pages.shell import garage_of, page
from app.pages.stopgaps import the_stopgap
from app.pages.words import day, number
from app.records.kept import kept_today
from app.records.substitutes import Candidate, candidates, demand_of

router = APIRouter()

#: As many as a person looks at; what comes after fits worse.
_SHOWN = 8
VERDICTS = {
    "fits": "Meets all that is asked",
    "unknown": "Not all of it is known",
    "unfit": "Does not meet what is asked",
}


@dataclass(frozen=True, slots=True)
class Found:
    """One candidate, as the page shows it: where it is in words, and how it meets the demand."""

    what: Candidate
    match: Match
    where: str

    @property
    def findings(self) -> list[Finding]:
        """What is to be said of it; what has to be compared by hand is the same for all, and said once above them."""
        return [one for one in self.match.findings if not one.by_hand]

    @property
    def address(self) -> str:
        """Its own page."""
        return f"/{self.what.kind}s/{self.what.id}"


@router.get("/stopgaps/{stopgap_id}/substitutes")
def show(request: Request, stopgap_id: str) -> Response:
    """Parts at hand and lines of the garage's cars, held against what is missing."""
    with garage_of(request).read() as db:
        gap, held = the_stopgap(db, stopgap_id), _held(db, stopgap_id)
    return page(request, "stopgaps/substitutes.html", gap=gap, known={}, verdicts=VERDICTS, **held)


@kept_today
def _held(db: Connection, stopgap_id: str) -> dict[str, Any]:
    """What could stand in, held against what is asked."""
    gap = the_stopgap(db, stopgap_id)
    demand = demand_of(db, gap)
    offered = [] if gap.not_to_be_driven_on else candidates(db, gap)
    order = [] if demand.says_nothing else ranked(demand, [one.offer for one in offered])
    found = [Found(offered[at], match, _where(offered[at], gap.car)) for at, match in order[:_SHOWN]]
    return {"asked": _asked(demand), "found": found, "left": len(order) - len(found)}


def _asked(demand: Demand) -> list[tuple[str, str]]:
    said = (
        ("Bore", demand.bore_mm and f"{number(demand.bore_mm)} mm"),
        ("Length", demand.length_mm and f"{number(demand.length_mm)} mm"),
        ("Material", demand.material and MATERIAL_LABEL[demand.material]),
        ("Stands", f"{number(demand.stands_c)} °C" if demand.stands_c is not None else None),
        ("Compare by hand", demand.words),
    )
    return [(name, value) for name, value in said if value]


def _where(one: Candidate, car: str) -> str:
    on = "this car" if one.car == car else one.car_name
    if one.state == "shelf":
        return f"On the shelf, kept for {on}"
    if one.state == "here":
        return f"Here, meant for {on}{f': {one.place}' if one.place else ''}"
    if one.state == "retired":
        return f"Off {on} for good since {day(one.since)}, if it is still about" if one.since else f"Off {on}"
    return f"Fitted on {on}, which then stands without it"
