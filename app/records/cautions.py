"""When a ticket says to leave the car standing, or to leave full throttle alone."""

from app.airpath.words import Role
from app.records.suspects import Case, ranked
from app.records.tickets import TicketRow

#: Above this probability a suspect that can cost the brakes or leak fuel keeps the car off the road.
LEADING = 0.10

_DANGER: dict[str, tuple[str, str]] = {
    Role.BRAKE_SERVO: ("brake servo line", "no brake assistance"),
    Role.FUEL_REGULATOR: ("fuel pressure regulator line", "fuel near a hot engine"),
}


def do_not_drive(ticket: TicketRow, case: Case | None) -> str | None:
    """Why not to drive the car while this ticket stands so; None if nothing speaks against it.

    `case` is what an open ticket rests on; a found one is judged by what was found.
    """
    if ticket.stands == "found" and ticket.found_role in _DANGER:
        name, cost = _DANGER[ticket.found_role]
        return f"The {name} is at fault ({cost}): do not drive until it is repaired."
    if case is None or ticket.stands != "open":
        return None
    if case.outcome("brake_pedal") == "hard":
        return "A hard pedal means no brake assistance: do not drive until it is found."
    for share in ranked(case).roles:
        if share.role in _DANGER and share.probability >= LEADING:
            name, cost = _DANGER[share.role]
            return f"The {name} is suspected ({cost}): do not drive until it is ruled out."
    return None


def off_full_throttle(ticket: TicketRow, case: Case) -> str | None:
    """The reason to stay off full throttle, if boost was seen over target on a ticket not yet repaired."""
    if ticket.stands in {"open", "found"} and case.outcome("boost_level") == "over_target":
        return "Boost goes over target: stay off full throttle until this is found and repaired."
    return None
