"""A job and what it does to the car: touches, loose ends, checks, parts on and off, findings."""

from typing import Literal, Self

from pydantic import model_validator
from sqlalchemy import Index, text

from app.airpath.words import TouchKind
from app.records.fields import LONG, Count, Fields, Flag, Moment, Number, Recorded, key, moment, number, whole, words
from app.workings.units import TorqueUnit

#: What a record can be about, as it is said where the field's own name is no word of the trade.
_ABOUT = {
    "own_suspect": "a suspect of your own",
    "position": "another place",
    "needs_part": "a part",
    "needs_here": "what has to be here",
    "fastener": "a group of fasteners",
    "branch": "a set of lines",
    "what": "something in your own words",
}


def one_of(record: Fields, *names: str) -> None:
    """Refuse a record that names none, or several, of the things it can be about."""
    named = [name for name in names if getattr(record, name) is not None]
    if len(named) != 1:
        *most, last = (_ABOUT.get(name, f"a {name}") for name in names)
        raise ValueError(f"Say which one thing this is about: {', '.join(most)} or {last}.")


class JobFields(Fields):
    """One piece of work on one car. Closed only once no joint it took off still hangs loose, or the reason is given."""

    car: str = key("car")
    title: str = words()
    opened_at: Moment = moment()
    odometer: Number | None = number(default=None, ge=0, le=5_000_000)
    air_temp_c: Number | None = number(default=None, ge=-50, le=60)
    engine_cold: Flag | None = whole(default=None)
    note: str | None = words(LONG, default=None)
    closed_at: Moment | None = moment(default=None)
    carried_reason: str | None = words(LONG, default=None)


class Job(JobFields, Recorded, table=True):
    """Table `job`. The counts of what it touched and of its joints follow from its touches (records.follow)."""

    __tablename__ = "job"
    __table_args__ = (
        Index("ix_job_opened", "car", "opened_at"),
        Index("ix_job_unfinished", "car", sqlite_where=text("ends_left > 0 OR closed_at IS NULL")),
        {"sqlite_strict": True},
    )

    touched: int = whole(default=0, sa_column_kwargs={"server_default": "0"})
    ends_off: int = whole(default=0, sa_column_kwargs={"server_default": "0"})
    ends_on: int = whole(default=0, sa_column_kwargs={"server_default": "0"})
    ends_left: int = whole(default=0, sa_column_kwargs={"server_default": "0"})


class TouchFields(Fields):
    """One line or component disturbed in one job: its id is the job's, a dot, and the line's or component's.

    So two phones that tap the same line in the same job speak of one touch. `ends` says which joints came off.
    """

    job: str = key("job")
    line: str | None = key("line", default=None)
    component: str | None = key("component", default=None)
    how: TouchKind = key()
    ends: Literal["both", "from", "to"] = key(default="both")
    at: Moment = moment()
    note: str | None = words(LONG, default=None)

    @model_validator(mode="after")
    def _about_one_thing(self) -> Self:
        one_of(self, "line", "component")
        return self


class Touch(TouchFields, Recorded, table=True):
    """Table `touch`. Its car follows from its job (records.follow), so that one car's last touches are looked up."""

    __tablename__ = "touch"
    __table_args__ = (
        Index("ix_touch_past", "car", "at", "id", sqlite_where=text("void_reason IS NULL")),
        Index("ix_touch_last", "line", "at", "id", sqlite_where=text("void_reason IS NULL")),
        {"sqlite_strict": True},
    )

    car: str | None = key(default=None)


class LooseEndFields(Fields):
    """What became of a joint a job took off. Its id is the job's, a dot, and the joint's.

    That the joint is off follows from the touch alone; this record says when it went back on. So a touch that
    arrives late, from another phone, can never leave a joint off that nobody lists.
    """

    job: str = key("job")
    joint: str = key("joint")
    back_on_at: Moment | None = moment(default=None)
    note: str | None = words(LONG, default=None)


class LooseEnd(LooseEndFields, Recorded, table=True):
    """Table `loose_end`."""

    __tablename__ = "loose_end"


class CheckFields(Fields):
    """A joint or fastener looked at. A check of a joint a job took off has that loose end's id."""

    car: str = key("car")
    job: str | None = key("job", default=None)
    joint: str | None = key("joint", default=None)
    line: str | None = key("line", default=None)
    component: str | None = key("component", default=None)
    recheck: str | None = key("recheck", default=None)
    fastener: str | None = key("fastener", default=None)
    what: str | None = words(default=None)
    done_at: Moment = moment()
    odometer: Number | None = number(default=None, ge=0, le=5_000_000)
    torque_value: Number | None = number(default=None, gt=0, le=2000)
    torque_unit: TorqueUnit | None = key(default=None)
    wrench: str | None = key("wrench", default=None)
    seated: Flag | None = whole(default=None)
    mark: Literal["drawn", "in_line", "moved"] | None = key(default=None)
    good: Flag = whole(default=True)
    note: str | None = words(LONG, default=None)

    @model_validator(mode="after")
    def _about_one_thing(self) -> Self:
        one_of(self, "joint", "line", "component", "fastener", "what")
        return self


class Check(CheckFields, Recorded, table=True):
    """Table `joint_check` (CHECK is a word of SQL's own)."""

    __tablename__ = "joint_check"
    # Few checks are of a whole line or component; an index over all would be taken for one that tells nothing apart.
    __table_args__ = (
        Index("ix_joint_check_done", "car", "done_at"),
        Index("ix_joint_check_last", "joint", "done_at", sqlite_where=text("void_reason IS NULL")),
        Index("ix_joint_check_of_line", "line", "done_at", sqlite_where=text("line IS NOT NULL")),
        Index("ix_joint_check_of_component", "component", "done_at", sqlite_where=text("component IS NOT NULL")),
        {"sqlite_strict": True},
    )


class PartChangeFields(Fields):
    """A part taken off, put on, or both, at one position."""

    job: str = key("job")
    line: str | None = key("line", default=None)
    component: str | None = key("component", default=None)
    position: str | None = words(default=None)
    off_part: str | None = words(default=None)
    on_part: str | None = words(default=None)
    at: Moment = moment()
    note: str | None = words(LONG, default=None)

    @model_validator(mode="after")
    def _about_one_thing(self) -> Self:
        one_of(self, "line", "component", "position")
        if self.off_part is None and self.on_part is None:
            raise ValueError("Say what came off, what went on, or both.")
        return self


class PartChange(PartChangeFields, Recorded, table=True):
    """Table `part_change`."""

    __tablename__ = "part_change"


class FindingFields(Fields):
    """Something seen while in there: shaft play, oil mist, a rubbed hose."""

    car: str = key("car")
    job: str | None = key("job", default=None)
    line: str | None = key("line", default=None)
    component: str | None = key("component", default=None)
    what: str = words(LONG)
    weight: Literal["note", "watch", "act"] = key(default="note")
    seen_at: Moment = moment()
    settled_at: Moment | None = moment(default=None)
    settled_how: str | None = words(LONG, default=None)


class Finding(FindingFields, Recorded, table=True):
    """Table `finding`."""

    __tablename__ = "finding"


class RecheckFields(Fields):
    """A check due again after heat cycles, distance or days, counted from `since_at`; after the first event since, or
    the first job since that moved what it is about."""

    car: str = key("car")
    joint: str | None = key("joint", default=None)
    line: str | None = key("line", default=None)
    component: str | None = key("component", default=None)
    fastener: str | None = key("fastener", default=None)
    what: str = words()
    since_at: Moment = moment()
    since_odometer: Number | None = number(default=None, ge=0, le=5_000_000)
    after_heat_cycles: Count | None = whole(default=None, ge=1, le=10_000)
    after_distance: Number | None = number(default=None, gt=0, le=1_000_000)
    after_days: Count | None = whole(default=None, ge=1, le=10_000)
    after_event: Flag | None = whole(default=None)
    after_job: Flag | None = whole(default=None)
    done_at: Moment | None = moment(default=None)
    note: str | None = words(LONG, default=None)

    @model_validator(mode="after")
    def _has_a_limit(self) -> Self:
        counted = (self.after_heat_cycles, self.after_distance, self.after_days)
        if all(limit is None for limit in counted) and not (self.after_event or self.after_job):
            raise ValueError("Say when it is due: after heat cycles, a distance, days, an event or a job.")
        return self


class Recheck(RecheckFields, Recorded, table=True):
    """Table `recheck`."""

    __tablename__ = "recheck"
