"""Whether a car is fit to run, as far as its record knows."""

from collections.abc import Sequence
from dataclasses import dataclass

from app.records.findings import FindingRow
from app.records.loose_ends import LooseEnd
from app.records.open_tickets import TicketLine
from app.records.rechecks import RecheckRow
from app.records.stopgaps import StopgapLine


@dataclass(frozen=True, slots=True)
class Pieces:
    """What a car's fitness is judged by: what is loose, held for now, due, in doubt, and to be acted on."""

    loose_ends: Sequence[LooseEnd]
    stopgaps: Sequence[StopgapLine]
    rechecks: Sequence[RecheckRow]
    tickets: Sequence[TicketLine]
    findings: Sequence[FindingRow]

    @property
    def fit(self) -> bool:
        """Whether nothing the record knows of stands in the way.

        Not fit: a ticket that says do not drive, a joint off or unchecked, a stopgap past its limit or where none may
        be driven on, a finding to act on, a re-check that is due. (Common practice, no source: anything taken apart
        is looked at before it is trusted.)
        """
        return not (
            self.loose_ends
            or self.findings
            or any(ticket.do_not_drive for ticket in self.tickets)
            or any(gap.past_limit or gap.not_to_be_driven_on for gap in self.stopgaps)
            or any(one.state == "due" for one in self.rechecks)
        )
