"""A ticket, its signs and direct checks, the stopgap that may end it, and the event it may stand in the way of."""

from typing import Literal, Self

from pydantic import model_validator

from app.airpath.words import Material, Suspect
from app.records.fields import (
    LONG,
    Count,
    Day,
    Fields,
    Flag,
    Moment,
    Number,
    Recorded,
    key,
    moment,
    number,
    whole,
    words,
)
from app.records.kinds.job import one_of
from app.triage.check_words import METHOD_LABEL
from app.triage.codes import NO_CODES, is_code
from app.triage.signs import CODES, SIGNS

TicketState = Literal["open", "found", "repaired", "proved"]


class TicketFields(Fields):
    """One fault, from first noticed to proved fixed. Once proved it teaches the next ones, unless it shall not."""

    car: str = key("car")
    what: str = words()
    noticed_at: Moment = moment()
    noticed_odometer: Number | None = number(default=None, ge=0, le=5_000_000)
    note: str | None = words(LONG, default=None)
    found_at: Moment | None = moment(default=None)
    found_line: str | None = key("line", default=None)
    found_component: str | None = key("component", default=None)
    found_suspect: Suspect | None = key(default=None)
    found_own_suspect: str | None = key("own_suspect", default=None)
    found_wrong: str | None = words(LONG, default=None)
    repaired_at: Moment | None = moment(default=None)
    repaired_how: Literal["for_good", "stopgap"] | None = key(default=None)
    repaired_note: str | None = words(LONG, default=None)
    proved_at: Moment | None = moment(default=None)
    proof_reading: str | None = key("reading", default=None)
    proof_reason: str | None = words(LONG, default=None)
    reopened_at: Moment | None = moment(default=None)
    reopened_reason: str | None = words(LONG, default=None)
    teaches: Flag = whole(default=True, sa_column_kwargs={"server_default": "1"})

    @model_validator(mode="after")
    def _proof_has_grounds(self) -> Self:
        if self.proved_at is not None and self.proof_reading is None and self.proof_reason is None:
            raise ValueError("proof_reason: Prove it with a reading back in its baseline, or say why not.")
        return self

    def state(self) -> TicketState:
        """Where the ticket stands: the furthest step taken since it was last reopened."""
        since = self.reopened_at or ""
        steps: tuple[tuple[TicketState, str | None], ...] = (
            ("proved", self.proved_at),
            ("repaired", self.repaired_at),
            ("found", self.found_at),
        )
        return next((state for state, at in steps if at is not None and at > since), "open")


class Ticket(TicketFields, Recorded, table=True):
    """Table `ticket`."""

    __tablename__ = "ticket"

    stands: str = key(index=True, default="open")


class SignFields(Fields):
    """One observation on a ticket; its id is the ticket's, a dot and the sign's. `codes` holds them apart by spaces."""

    ticket: str = key("ticket")
    sign: str = key()
    outcome: str | None = words(LONG, default=None)
    reading: str | None = key("reading", default=None)
    noted_at: Moment = moment()

    @model_validator(mode="after")
    def _is_in_the_vocabulary(self) -> Self:
        if self.sign == CODES:
            self.outcome = _codes(self.outcome) if self.outcome else None
        elif self.sign not in SIGNS:
            raise ValueError("sign: There is no such sign.")
        elif self.outcome is not None and self.outcome not in SIGNS[self.sign].outcome_keys:
            raise ValueError("outcome: Choose one of this sign's answers.")
        return self


def _codes(text: str) -> str:
    codes = text.upper().replace(",", " ").replace(";", " ").split()
    if codes == [NO_CODES.upper()]:
        return NO_CODES
    if wrong := [code for code in codes if not is_code(code)]:
        raise ValueError(f"outcome: {wrong[0][:20]} is no trouble code. One looks like P0171.")
    return " ".join(dict.fromkeys(codes))


class Sign(SignFields, Recorded, table=True):
    """Table `sign`."""

    __tablename__ = "sign"


class DirectCheckFields(Fields):
    """One line or component looked at, pumped, pinched or smoked in the hunt for a fault."""

    ticket: str = key("ticket")
    line: str | None = key("line", default=None)
    component: str | None = key("component", default=None)
    suspect: Suspect | None = key(default=None)
    own_suspect: str | None = key("own_suspect", default=None)
    method: str = key()
    result: Literal["fault", "sound", "unclear"] = key()
    done_at: Moment = moment()
    note: str | None = words(LONG, default=None)

    @model_validator(mode="after")
    def _about_one_thing(self) -> Self:
        one_of(self, "line", "component", "suspect", "own_suspect")
        if self.method not in METHOD_LABEL:
            raise ValueError("method: There is no such check.")
        return self


class DirectCheck(DirectCheckFields, Recorded, table=True):
    """Table `direct_check`."""

    __tablename__ = "direct_check"


class StopgapFields(Fields):
    """A temporary repair, with a limit and the permanent part it waits for."""

    car: str = key("car")
    line: str | None = key("line", default=None)
    component: str | None = key("component", default=None)
    what: str | None = words(default=None)
    ticket: str | None = key("ticket", default=None)
    job: str | None = key("job", default=None)
    used: str = words(LONG)
    fitted_at: Moment = moment()
    fitted_odometer: Number | None = number(default=None, ge=0, le=5_000_000)
    limit_distance: Number | None = number(default=None, gt=0, le=1_000_000)
    limit_days: Count | None = whole(default=None, ge=1, le=10_000)
    limit_heat_cycles: Count | None = whole(default=None, ge=1, le=10_000)
    part_name: str | None = words(default=None)
    part_bore_mm: Number | None = number(default=None, gt=0, le=300)
    part_length_mm: Number | None = number(default=None, gt=0, le=10_000)
    part_material: Material | None = key(default=None)
    part_stands: str | None = words(default=None)
    ordered_on: Day | None = key(default=None)
    expected_on: Day | None = key(default=None)
    ended_at: Moment | None = moment(default=None)
    ended_how: str | None = words(LONG, default=None)

    @model_validator(mode="after")
    def _about_one_thing_with_a_limit(self) -> Self:
        one_of(self, "line", "component", "what")
        if self.limit_distance is None and self.limit_days is None and self.limit_heat_cycles is None:
            raise ValueError("limit_distance: Give it a limit: a distance, days or heat cycles.")
        return self


class Stopgap(StopgapFields, Recorded, table=True):
    """Table `stopgap`."""

    __tablename__ = "stopgap"


class EventFields(Fields):
    """A day the car has to be fit for."""

    car: str = key("car")
    name: str = words()
    kind: Literal["drive_home", "sprint", "track_day", "long_trip"] = key()
    on_day: Day = key()
    signed_at: Moment | None = moment(default=None)
    signed_by: str | None = words(default=None)
    signed_despite: str | None = words(LONG, default=None)
    note: str | None = words(LONG, default=None)


class Event(EventFields, Recorded, table=True):
    """Table `event`."""

    __tablename__ = "event"
