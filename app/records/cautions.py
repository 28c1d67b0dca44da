"""When a ticket says to leave the car standing, or to leave full throttle alone."""

from app.airpath.words import Role
from app.records.suspects import Case, ranked
from app.records.tickets import TicketRow

#: Above this probability a suspect that can cost the brakes or leak fuel keeps the car off the road.
LEADING = 0.10

DANGER: dict[str, tuple[str, str]] = {
    Role.BRAKE_SERVO: ("brake servo line", "no brake assistance"),
    Role.FUEL_REGULATOR: ("fuel pressure regulator line", "fuel near a hot engine"),
}

#: What one answer says at once, as long as the ticket is in one of these states: (sign, outcome, states).
HARD_PEDAL = ("brake_pedal", "hard", ("open",))
OVER_TARGET = ("boost_level", "over_target", ("open", "found"))
HARD_PEDAL_SAYS = "A hard pedal means no brake assistance: do not drive until it is found."
OVER_TARGET_SAYS = "Boost goes over target: stay off full throttle until this is found and repaired."
OVER_TARGET_READ = "Boost over target: stay off full throttle until the cause is found and repaired."


def at_fault(role: str) -> str:
    """Why not to drive with a line of this role, one of DANGER, found at fault."""
    name, cost = DANGER[role]
    return f"The {name} is at fault ({cost}): do not drive until it is repaired."


def suspected(role: str) -> str:
    """Why not to drive with a line of this role, one of DANGER, suspected."""
    name, cost = DANGER[role]
    return f"The {name} is suspected ({cost}): do not drive until it is ruled out."


def do_not_drive(ticket: TicketRow, case: Case | None) -> str | None:
    """Why not to drive the car while this ticket stands so; None if nothing speaks against it.

    `case` is what an open ticket rests on; a found one is judged by what was found.
    """
    if ticket.stands == "found" and ticket.found_role in DANGER:
        return at_fault(ticket.found_role)
    if case is None or ticket.stands != "open":
        return None
    if _seen(HARD_PEDAL, ticket, case):
        return HARD_PEDAL_SAYS
    for share in ranked(case).roles:
        if share.role in DANGER and share.probability >= LEADING:
            return suspected(share.role)
    return None


def off_full_throttle(ticket: TicketRow, case: Case) -> str | None:
    """The reason to stay off full throttle, if boost was seen over target on a ticket not yet repaired."""
    return OVER_TARGET_SAYS if _seen(OVER_TARGET, ticket, case) else None


def _seen(answer: tuple[str, str, tuple[str, ...]], ticket: TicketRow, case: Case) -> bool:
    sign, outcome, states = answer
    return ticket.stands in states and case.outcome(sign) == outcome
