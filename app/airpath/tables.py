"""Taking values out of a layout file one by one, so that every complaint names the file, the record and the key."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from enum import StrEnum
from typing import TypeVar, cast

from app.airpath.geometry import Point

_Word = TypeVar("_Word", bound=StrEnum)


class LayoutError(ValueError):
    """A layout file that cannot be used; the message names the file and the key."""


@dataclass(slots=True)
class Table:
    """One table of the file. `where` is what a reader would call it, such as `line gauge_hose`."""

    file: str
    where: str
    content: dict[str, object]
    _taken: set[str] = field(default_factory=set)

    def wrong(self, key: str, problem: str) -> LayoutError:
        """The complaint about one key, to be raised."""
        return LayoutError(": ".join(part for part in (self.file, self.where, key, problem) if part))

    def has(self, key: str) -> bool:
        """Whether the table has the key at all."""
        return key in self.content

    def key(self) -> str:
        """The record's own key, lower case with underscores; the table is called by it from here on."""
        key = self.text("key")
        if not key.isidentifier() or key != key.lower():
            raise self.wrong("key", f"not in lower case with underscores: {key}")
        self.where = f"{self.where.split()[0]} {key}"
        return key

    def text(self, key: str) -> str:
        """A text that is not blank."""
        value = self._take(key)
        if not isinstance(value, str) or not value.strip():
            raise self.wrong(key, "must be a text")
        return value.strip()

    def number(self, key: str) -> float:
        """A number above zero."""
        value = self._take(key)
        if isinstance(value, bool) or not isinstance(value, (int, float)) or not value > 0:
            raise self.wrong(key, "must be a number above zero")
        return float(value)

    def flag(self, key: str, *, default: bool | None = None) -> bool:
        """A true or false; `default` stands in for a key that is not there."""
        if default is not None and key not in self.content:
            return default
        value = self._take(key)
        if not isinstance(value, bool):
            raise self.wrong(key, "must be true or false")
        return value

    def one_of(self, key: str, words: type[_Word]) -> _Word:
        """A word of a fixed vocabulary."""
        value = self.text(key)
        try:
            return words(value)
        except ValueError:
            raise self.wrong(key, f"{value} is not one of {', '.join(words)}") from None

    def table(self, key: str) -> "Table":
        """A table inside this one."""
        value = self._take(key)
        if not isinstance(value, dict):
            raise self.wrong(key, "must be a table")
        return Table(self.file, f"{self.where} {key}".strip(), cast("dict[str, object]", value))

    def tables(self, key: str) -> Iterator["Table"]:
        """The tables of a list, each called by its place in the list until its key is read."""
        value = self._take(key)
        if not isinstance(value, list) or not all(isinstance(item, dict) for item in value):
            raise self.wrong(key, f"must be a list of [[{key}]]")
        for number, item in enumerate(value, start=1):
            yield Table(self.file, f"{key} {number}", cast("dict[str, object]", item))

    def points(self, key: str) -> tuple[Point, ...]:
        """Two or more points, each a pair of numbers that are not negative."""
        value = self._take(key)
        if not isinstance(value, list) or len(value) < 2:
            raise self.wrong(key, "must be a list of two or more points")
        return tuple(self._point(key, item) for item in value)

    def nothing_else(self) -> None:
        """Refuse any key nobody asked for: most likely one misspelt."""
        for key in self.content:
            if key not in self._taken:
                raise self.wrong(key, "is not a key known here")

    def _take(self, key: str) -> object:
        self._taken.add(key)
        if key not in self.content:
            raise self.wrong(key, "is missing")
        return self.content[key]

    def _point(self, key: str, item: object) -> Point:
        numbers = [n for n in item if isinstance(n, (int, float)) and n >= 0] if isinstance(item, list) else []
        if not isinstance(item, list) or len(item) != 2 or len(numbers) != 2:
            raise self.wrong(key, f"{item} is not a point")
        return Point(float(numbers[0]), float(numbers[1]))
