"""One garage: a data folder, opened. Pages and commands hold this and nothing deeper."""

from collections.abc import Iterable
from contextlib import AbstractContextManager
from dataclasses import dataclass
from pathlib import Path

from sqlalchemy import Connection, Engine

from app.records import logbook
from app.records.engine import open_engine, reading
from app.records.entry import Entry, Outcome
from app.records.migrate import bring_up_to_date
from app.settings import Settings


@dataclass(frozen=True, slots=True)
class Garage:
    """An open garage. Close it before its files are moved."""

    settings: Settings
    engine: Engine

    @classmethod
    def open(cls, settings: Settings) -> "Garage":
        """Open the garage in `settings.data`, making or migrating it as needed.

        Raises NewerThanProgramError for a record this program is too old for.
        """
        make_folder(settings.data)
        engine = open_engine(settings.database)
        try:
            bring_up_to_date(engine)
        except BaseException:
            engine.dispose()
            raise
        return cls(settings, engine)

    def close(self) -> None:
        """Let go of the files."""
        self.engine.dispose()

    def read(self) -> AbstractContextManager[Connection]:
        """One consistent view of the record."""
        return reading(self.engine)

    def take(self, entry: Entry) -> Outcome:
        """Hand one entry in at the door."""
        return logbook.take(self.engine, entry)

    def take_all(self, entries: Iterable[Entry]) -> list[Outcome]:
        """Hand in the entries of one act: all or none. Raises RefusedError."""
        return logbook.take_all(self.engine, entries)

    def take_each(self, entries: Iterable[Entry], *, received_at: str) -> list[Outcome]:
        """Hand in a phone's entries, each by itself."""
        return logbook.take_each(self.engine, entries, received_at=received_at)


def make_folder(folder: Path) -> None:
    """Make the data folder, readable by its owner alone."""
    folder.mkdir(parents=True, exist_ok=True, mode=0o700)
