"""A garage copied to one file, and brought back from one."""

import os
import sqlite3
from contextlib import closing
from datetime import datetime
from pathlib import Path

from app.records.engine import open_engine, sound
from app.records.filing import beside, put_in_place, settle_folder
from app.records.garage import make_folder
from app.records.migrate import bring_up_to_date
from app.records.not_done import NotDoneError
from app.settings import Settings

#: Every garage has these tables, whatever program wrote it.
_OURS = {"entry", "alembic_version"}


def back_up(database: Path, to: Path, *, overwrite: bool = False) -> None:
    """Copy a garage, in use or not, to the single file `to`, and look whether the copy is whole.

    Raises NotDoneError if there is no garage, `to` is there already, or the record itself is damaged.
    """
    if not database.is_file():
        raise NotDoneError(f"There is no garage in {database.parent}.")
    if to.exists() and to.samefile(database):
        raise NotDoneError(f"{to} is the garage itself. Give another name.")
    with put_in_place(to, overwrite=overwrite) as written:
        _copy(database, written)
        if trouble := sound(written):
            raise NotDoneError(f"The record is damaged, so there is no good backup of it: {trouble}.")


def restore(backup: Path, settings: Settings, *, at: datetime, overwrite: bool = False) -> Path | None:
    """Bring the garage in `settings.data` back from `backup`; what it replaces is kept, and its new name returned.

    Raises NotDoneError, with nothing changed, if the backup is damaged or no garage, a garage is there already and may
    not be replaced, or that one is in use; NewerThanProgramError if a newer program wrote the backup.
    """
    database = settings.database
    if not backup.is_file():
        raise NotDoneError(f"There is no file {backup}.")
    if database.exists() and backup.samefile(database):
        raise NotDoneError(f"{backup} is the garage itself. Give a backup of it.")
    _look_over(backup)
    if database.exists() and not overwrite:
        raise NotDoneError(
            f"There is a garage in {settings.data} already. Add --overwrite to replace it; it will be kept beside."
        )
    make_folder(settings.data)
    if database.exists() and in_use(database):
        raise NotDoneError("The garage is in use. Stop the program that serves it (Ctrl-C), then restore again.")
    with put_in_place(database, overwrite=True) as written:
        _copy(backup, written)
        _make_current(written)
        return _set_aside(database, at)


def in_use(database: Path) -> bool:
    """Whether another program has this garage open. If not, what its log still holds is folded into its one file."""
    with closing(sqlite3.connect(database, timeout=0)) as connection:
        try:
            # Leaving the log needs the file to itself, which no other open connection allows.
            connection.execute("PRAGMA journal_mode=DELETE")
        except sqlite3.DatabaseError as error:
            # A file too damaged to open is in nobody's use, and is the very one to be replaced.
            return getattr(error, "sqlite_errorcode", 0) & 0xFF in {sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED}
    return False


def _look_over(backup: Path) -> None:
    if trouble := sound(backup):
        raise NotDoneError(f"{backup} is damaged or no garage, and was not restored: {trouble}.")
    with closing(sqlite3.connect(f"{backup.absolute().as_uri()}?mode=ro", uri=True)) as connection:
        tables = {name for (name,) in connection.execute("SELECT name FROM sqlite_master WHERE type = 'table'")}
    if not tables >= _OURS:
        raise NotDoneError(f"{backup} is a database, but not a garage of this program.")


def _copy(source: Path, to: Path) -> None:
    with (
        closing(sqlite3.connect(f"{source.absolute().as_uri()}?mode=ro", uri=True)) as read,
        closing(sqlite3.connect(to)) as written,
    ):
        read.backup(written)
        # Out of the log's mode, so that the copy is one file that can be read anywhere, a read-only disk included.
        written.execute("PRAGMA journal_mode=DELETE")


def _make_current(database: Path) -> None:
    # Before it takes its place: a backup that can't be brought up to date leaves the garage as it was.
    engine = open_engine(database)
    try:
        bring_up_to_date(engine)
    finally:
        engine.dispose()
    in_use(database)


def _set_aside(database: Path, at: datetime) -> Path | None:
    if not database.exists():
        return None
    stem = f"{database.stem}.replaced-{at:%Y-%m-%d-%H%M%S}"
    kept = database.with_name(stem + database.suffix)
    if kept.exists():
        raise NotDoneError(f"{kept} is there already. Try again in a moment.")
    for old, new in zip(beside(database), beside(kept), strict=True):
        if old.exists():
            os.rename(old, new)  # noqa: PTH104
    settle_folder(database.parent)
    return kept
