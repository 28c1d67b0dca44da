"""Whether a car is fit to run, as far as its record knows, and what speaks against it."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby

from app.records.findings import FindingRow
from app.records.loose_ends import LooseEnd
from app.records.open_tickets import TicketLine
from app.records.rechecks import RecheckRow
from app.records.stopgaps import StopgapLine


@dataclass(frozen=True, slots=True)
class Reason:
    """One thing to know before the car runs. `stops`: until it is settled, the car is not fit; else it comes up soon.

    `ring` is the ring it is shown with: off, on, stopgap, or none where nothing is off. `figure` is how many, if
    several; `since` the moment to tell with it.
    """

    stops: bool
    ring: str
    title: str
    said: str
    address: str
    figure: int | None = None
    since: str | None = None


@dataclass(frozen=True, slots=True)
class Pieces:
    """What a car's fitness is judged by."""

    loose_ends: Sequence[LooseEnd]
    stopgaps: Sequence[StopgapLine]
    rechecks: Sequence[RecheckRow]
    tickets: Sequence[TicketLine]
    findings: Sequence[FindingRow]


@dataclass(frozen=True, slots=True)
class Fitness:
    """The verdict with its reasons: what stops the car first, then what comes up."""

    reasons: Sequence[Reason]

    @property
    def fit(self) -> bool:
        """Whether nothing the record knows of stands in the way."""
        return not any(reason.stops for reason in self.reasons)


def fitness(pieces: Pieces) -> Fitness:
    """Judge a car by its record: pure, so that the same pieces always give the same verdict.

    Not fit: a ticket that says do not drive, a joint off or unchecked, a stopgap past its limit or where none may
    be driven on, a finding to act on, a re-check that is due. (Common practice, no source: anything taken apart is
    looked at before it is trusted.) Every other stopgap, and a re-check due soon, is told of as well.
    """
    reasons = [
        *_tickets(pieces.tickets),
        *_loose_ends(pieces.loose_ends),
        *_stopgaps(pieces.stopgaps),
        *_findings(pieces.findings),
        *_rechecks(pieces.rechecks),
    ]
    return Fitness(sorted(reasons, key=lambda reason: not reason.stops))


def _tickets(tickets: Iterable[TicketLine]) -> Iterator[Reason]:
    for ticket in tickets:
        if ticket.do_not_drive:
            yield Reason(
                stops=True, ring="off", title=ticket.do_not_drive, said=ticket.what, address=f"/tickets/{ticket.id}"
            )


def _loose_ends(ends: Sequence[LooseEnd]) -> Iterator[Reason]:
    for job, of_job in groupby(sorted(ends, key=lambda end: end.job), key=lambda end: end.job):
        found = list(of_job)
        off = sum(end.state == "off" for end in found)
        # "Breather hose, crankcase to catch can": here the hose is enough.
        names = _in_words(list(dict.fromkeys(end.line_name.partition(", ")[0] for end in found)))
        carried = found[0].carried_reason
        yield Reason(
            stops=True,
            ring="off" if off else "on",
            title=_title(off, len(found)),
            said=f"{names}. Carried over: {carried}" if carried else names,
            address=f"/jobs/{job}",
            figure=len(found),
        )


def _title(off: int, ends: int) -> str:
    if off == ends:
        return "1 loose end, off" if ends == 1 else f"{ends} loose ends, all off"
    if not off:
        return "1 joint back on, not checked" if ends == 1 else f"{ends} joints back on, not checked"
    return f"{ends} loose ends, {off} still off"


def _stopgaps(stopgaps: Iterable[StopgapLine]) -> Iterator[Reason]:
    for gap in stopgaps:
        past = ", past its limit" if gap.past_limit else ""
        danger = " Not to be driven on: this line takes the brakes or spills fuel." if gap.not_to_be_driven_on else ""
        yield Reason(
            stops=gap.past_limit or gap.not_to_be_driven_on,
            ring="stopgap",
            title=f"{gap.name}, stopgap{past}",
            said=gap.sentence + ("." + danger if danger else ""),
            address=f"/stopgaps/{gap.id}",
        )


def _findings(findings: Iterable[FindingRow]) -> Iterator[Reason]:
    for finding in findings:
        said = f"Act on it: {finding.place}" if finding.place else "Act on it"
        address = f"/findings/{finding.id}"
        yield Reason(stops=True, ring="", title=finding.what, said=said, address=address, since=finding.seen_at)


def _rechecks(rechecks: Iterable[RecheckRow]) -> Iterator[Reason]:
    for one in rechecks:
        if one.state != "later":
            # A joint once back on and checked, whose check has run out.
            yield Reason(
                stops=one.state == "due",
                ring="on",
                title=f"{one.what}, re-check",
                said=one.sentence,
                address=f"/rechecks/{one.id}",
            )


def _in_words(names: Sequence[str]) -> str:
    shown = list(names[:3]) + ([f"{len(names) - 3} more"] if len(names) > 3 else [])
    if len(shown) == 1:
        return shown[0]
    return f"{', '.join(shown[:-1])} and {shown[-1]}"
