"""Whether a car is fit for an event: the list of its own that has to be true, and what was said to it."""

from typing import Literal

from app.records.fields import LONG, Fields, Flag, Moment, Recorded, key, moment, whole, words


class MustFields(Fields):
    """One thing that has to be true of a car before an event of one kind, or of any, which a hand ticks off."""

    car: str = key("car")
    before: Literal["any", "drive_home", "sprint", "track_day", "long_trip"] = key(default="any")
    what: str = words()


class Must(MustFields, Recorded, table=True):
    """Table `must`."""

    __tablename__ = "must"


class LookedAtFields(Fields):
    """What was seen of one such thing before one event. Its id is the event's, a dot, and the thing's."""

    event: str = key("event")
    must: str = key("must")
    good: Flag = whole()
    looked_at: Moment = moment()
    note: str | None = words(LONG, default=None)


class LookedAt(LookedAtFields, Recorded, table=True):
    """Table `looked_at`."""

    __tablename__ = "looked_at"
