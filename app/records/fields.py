"""The types a record's fields are made of, each with its SQLite column, and how typed text becomes a value.

Every form field is named after the record field it fills, and arrives as text; the phone sends the same text. So the
same reading of it ("5,5" is a number, an empty box is nothing) happens here, once, for both.
"""

import json
import math
import re
from datetime import UTC, date, datetime
from typing import Annotated, Any, ClassVar

from pydantic import AfterValidator, BeforeValidator, ConfigDict, field_validator, model_validator
from sqlalchemy import REAL, Integer, Text
from sqlmodel import Field, SQLModel

SHORT, LONG = 120, 4000
RECORD_ID = r"^[A-Za-z0-9][A-Za-z0-9._-]{0,199}$"


def is_record_id(text: str) -> bool:
    """Whether a record may have this id."""
    return re.fullmatch(RECORD_ID, text) is not None


def moment_text(when: datetime) -> str:
    """UTC with milliseconds, always as wide, so that text sorts as time does."""
    return when.astimezone(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")


def read_moment(text: object) -> str:
    """A moment as a form or a phone writes it; without an offset it is the time on the garage's own clock."""
    try:
        return _of_a_car_s_time(moment_text(datetime.fromisoformat(str(text))))
    except (ValueError, OverflowError):
        raise ValueError("Write a date and a time, such as 2026-04-18 10:40.") from None


def moment_wrong(text: str) -> str | None:
    """Why `text` is no moment as an entry carries it (see moment_text); None if it is one."""
    try:
        well = _of_a_car_s_time(moment_text(datetime.fromisoformat(text))) == text
    except (ValueError, OverflowError):
        well = False
    return None if well else "A moment is written in UTC, with milliseconds."


def _read_day(text: object) -> str:
    try:
        return _of_a_car_s_time(date.fromisoformat(str(text)[:10]).isoformat())
    except ValueError:
        raise ValueError("Write a date, such as 2026-04-18.") from None


def _of_a_car_s_time(text: str) -> str:
    # Far from this, a year is a slip of the finger, and reckoning with it can leave the calendar.
    if not "1900" <= text < "2200":
        raise ValueError
    return text


def _read_number(value: object) -> object:
    """A decimal comma is as good as a point; spaces between thousands are dropped."""
    if not isinstance(value, str):
        return value
    plain = value.replace(" ", "").replace("\N{NO-BREAK SPACE}", "").replace("\N{MINUS SIGN}", "-")
    return plain.replace(",", ".") if plain.count(",") == 1 and "." not in plain else plain


def _read_flag(value: object) -> object:
    return {"yes": True, "no": False, "on": True}.get(value, value) if isinstance(value, str) else value


def _finite(value: float) -> float:
    if not math.isfinite(value):
        raise ValueError("Write a number.")
    return value


def _read_points(value: object) -> str:
    try:
        points = json.loads(str(value))
        return json.dumps([[_finite(float(x)), _finite(float(y))] for x, y in points], separators=(",", ":"))
    except (ValueError, TypeError, OverflowError, RecursionError):
        raise ValueError("Write a list of points, such as [[10, 20], [10, 60]].") from None


Number = Annotated[float, BeforeValidator(_read_number), AfterValidator(_finite)]
Count = Annotated[int, BeforeValidator(_read_number)]
Flag = Annotated[bool, BeforeValidator(_read_flag)]
Moment = Annotated[str, BeforeValidator(read_moment)]
Day = Annotated[str, BeforeValidator(_read_day)]
Points = Annotated[str, BeforeValidator(_read_points)]


def key(of: str | None = None, *, index: bool = False, **more: Any) -> Any:
    """A column of text from a fixed list, or, with `of`, the id of a record of that table."""
    found = {"foreign_key": f"{of}.id", "index": True, "max_length": 200} if of else {"index": index}
    return Field(sa_type=Text, **found, **more)


def words(limit: int = SHORT, **more: Any) -> Any:
    """A line of text, or, with LONG, a note."""
    return Field(sa_type=Text, min_length=1, max_length=limit, **more)


def number(**more: Any) -> Any:
    """A figure; give the limits beyond which it can only be a slip of the finger."""
    return Field(sa_type=REAL, **more)


def whole(**more: Any) -> Any:
    """A count, or a yes or no."""
    return Field(sa_type=Integer, **more)


def moment(**more: Any) -> Any:
    """A point in time."""
    return Field(sa_type=Text, **more)


class Fields(SQLModel):
    """The fields of one kind of record. Subclasses validate; their `table=True` twins only name the columns."""

    model_config = ConfigDict(extra="forbid", validate_default=False)  # type: ignore[assignment]  # SQLModel's own dict

    void_reason: str | None = words(LONG, default=None)

    @model_validator(mode="before")
    @classmethod
    def _an_empty_box_is_nothing(cls, data: object) -> object:
        if not isinstance(data, dict):
            return data
        clean = {name: value.strip() if isinstance(value, str) else value for name, value in data.items()}
        return {name: None if value == "" else value for name, value in clean.items()}

    @field_validator("*", mode="after")
    @classmethod
    def _no_control_characters(cls, value: object) -> object:
        if isinstance(value, str) and any(ord(c) < 32 and c not in "\n\t\r" for c in value):
            raise ValueError("Leave out control characters.")
        return value


class Recorded(SQLModel):
    """What every record's row has besides its fields."""

    __table_args__: ClassVar[Any] = {"sqlite_strict": True}

    id: str = Field(primary_key=True, sa_type=Text)
    changed_at: str = Field(sa_type=Text)
