"""A photo: what it is of, and when it was taken. The picture itself lies beside the record (records.photos)."""

from typing import Self

from pydantic import model_validator

from app.records.fields import LONG, Fields, Moment, Points, Recorded, key, moment, words
from app.records.kinds.job import one_of


class PhotoFields(Fields):
    """A photo of one thing on one car. The picture is kept under the photo's id, and gets there before it.

    `before`: the photo that shows the same before the work. `rings` and `arrows` are what a finger drew on it: points
    in shares of the picture's width and height, a ring's centre, an arrow's tail and head in turn.
    """

    car: str = key("car")
    job: str | None = key("job", default=None)
    ticket: str | None = key("ticket", default=None)
    line: str | None = key("line", default=None)
    component: str | None = key("component", default=None)
    part: str | None = key("part", default=None)
    before: str | None = key("photo", default=None)
    rings: Points | None = words(LONG, default=None)
    arrows: Points | None = words(LONG, default=None)
    taken_at: Moment = moment()
    note: str | None = words(LONG, default=None)

    @model_validator(mode="after")
    def _about_one_thing(self) -> Self:
        one_of(self, "job", "ticket", "line", "component", "part")
        return self


class Photo(PhotoFields, Recorded, table=True):
    """Table `photo`."""

    __tablename__ = "photo"
