"""The demo garage: a folder of its own, made anew each time."""

from collections.abc import Iterator
from datetime import datetime
from itertools import chain
from pathlib import Path

from app.records.backup import in_use
from app.records.demo_log import demo_logs
from app.records.demo_story import entries
from app.records.engine import writing
from app.records.filing import beside
from app.records.garage import Garage, make_folder
from app.records.logbook import RefusedError, take_one
from app.records.not_done import NotDoneError
from app.settings import Settings, demo_data

#: Lies in a folder whose garage is a demo, so that no real record is ever taken for one and made anew.
MARK = "this-is-a-demo"


def fresh(folder: Path | None, at: datetime) -> Garage:
    """A new demo garage in `folder`, or in the usual place, as it would stand at `at` (with its time zone).

    Raises NotDoneError if `folder` holds a record that is no demo, or a demo that is still being served.
    """
    settings = Settings(_free_folder() if folder is None else _cleared(folder.expanduser()))
    make_folder(settings.data)
    (settings.data / MARK).touch()
    for old in beside(settings.database):
        old.unlink(missing_ok=True)
    garage = Garage.open(settings)
    try:
        _tell(garage, at)
    except BaseException:
        garage.close()
        raise
    return garage


def is_demo(garage: Garage) -> bool:
    """Whether this garage is an invented one, made anew each time."""
    return (garage.settings.data / MARK).exists()


def _tell(garage: Garage, at: datetime) -> None:
    # In one transaction: a thousand entries each waited on by the disk would take too long to look at.
    with writing(garage.engine) as connection:
        for entry in chain(entries(at), demo_logs(connection, at)):
            outcome = take_one(connection, entry, entry.entered_at)
            if outcome.outcome != "taken":
                raise RefusedError([outcome])


def _cleared(folder: Path) -> Path:
    database = Settings(folder).database
    if database.exists() and not (folder / MARK).exists():
        raise NotDoneError(f"{folder} holds a record that is no demo. Give the demo another folder.")
    if database.exists() and in_use(database):
        raise NotDoneError(f"The demo in {folder} is still being served. Stop it first, or give another folder.")
    return folder


def _free_folder() -> Path:
    return next(folder for folder in _usual_folders() if _is_free(folder))


def _usual_folders() -> Iterator[Path]:
    usual = demo_data()
    yield usual
    for number in range(2, 1000):
        yield usual.with_name(f"{usual.name}-{number}")


def _is_free(folder: Path) -> bool:
    try:
        _cleared(folder)
    except NotDoneError:
        return False
    return True
