import sqlite3
from collections.abc import Iterator
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

import pytest

from app.records.backup import back_up, restore
from app.records.cars import cars
from app.records.garage import Garage
from app.records.migrate import NewerThanProgramError
from app.records.not_done import NotDoneError
from app.settings import Settings
from tests.conftest import Enter

AT = datetime(2026, 4, 18, 10, 40, tzinfo=UTC)


@pytest.fixture
def backup(garage: Garage, tern: str, tmp_path: Path) -> Path:
    """A backup of a garage with one car in it, made while that garage was open."""
    made = tmp_path / "backup.sqlite3"
    back_up(garage.settings.database, made)
    return made


@pytest.fixture
def elsewhere(tmp_path: Path) -> Settings:
    return Settings(tmp_path / "else # where?")


@pytest.fixture
def occupied(elsewhere: Settings) -> Iterator[Garage]:
    opened = Garage.open(elsewhere)
    yield opened
    opened.close()


def names(settings: Settings) -> list[str]:
    garage = Garage.open(settings)
    try:
        with garage.read() as db:
            return [car.name for car in cars(db)]
    finally:
        garage.close()


def test_a_backup_of_a_garage_in_use_comes_back_whole(backup: Path, elsewhere: Settings) -> None:
    assert restore(backup, elsewhere, at=AT) is None
    assert names(elsewhere) == ["Tern"]


def test_a_backup_is_one_file_and_nothing_is_left_beside_it(backup: Path) -> None:
    assert [path.name for path in backup.parent.glob("*backup*")] == ["backup.sqlite3"]


def test_a_backup_never_replaces_a_file_untold(garage: Garage, tmp_path: Path) -> None:
    there = tmp_path / "there"
    there.write_text("mine")
    with pytest.raises(NotDoneError, match="is there already"):
        back_up(garage.settings.database, there)
    assert there.read_text() == "mine"
    back_up(garage.settings.database, there, overwrite=True)
    assert there.read_bytes().startswith(b"SQLite format 3")


def test_a_garage_is_never_backed_up_over_itself(garage: Garage) -> None:
    with pytest.raises(NotDoneError, match="the garage itself"):
        back_up(garage.settings.database, garage.settings.database, overwrite=True)


def test_no_garage_is_made_by_backing_one_up(elsewhere: Settings, tmp_path: Path) -> None:
    with pytest.raises(NotDoneError, match="no garage"):
        back_up(elsewhere.database, tmp_path / "backup")
    assert not elsewhere.data.exists()


def test_a_garage_that_is_there_is_kept(backup: Path, occupied: Garage) -> None:
    occupied.close()
    with pytest.raises(NotDoneError, match="There is a garage"):
        restore(backup, occupied.settings, at=AT)
    assert names(occupied.settings) == []


def test_a_garage_that_is_replaced_is_kept_under_a_dated_name(backup: Path, occupied: Garage) -> None:
    occupied.close()
    kept = restore(backup, occupied.settings, at=AT, overwrite=True)
    assert kept is not None
    assert kept.name == "garage.replaced-2026-04-18-104000.sqlite3"
    assert names(occupied.settings) == ["Tern"]
    kept.replace(occupied.settings.database)
    assert names(occupied.settings) == []


def test_a_garage_in_use_is_not_replaced(backup: Path, occupied: Garage) -> None:
    with pytest.raises(NotDoneError, match="in use"):
        restore(backup, occupied.settings, at=AT, overwrite=True)
    assert len(list(occupied.settings.data.glob("*.sqlite3"))) == 1


def test_a_damaged_garage_can_be_replaced(backup: Path, elsewhere: Settings) -> None:
    elsewhere.data.mkdir()
    elsewhere.database.write_bytes(b"rubbish" * 1000)
    kept = restore(backup, elsewhere, at=AT, overwrite=True)
    assert kept is not None
    assert kept.read_bytes() == b"rubbish" * 1000
    assert names(elsewhere) == ["Tern"]


@pytest.mark.parametrize("damage", ["cut", "scribbled", "empty", "text"])
def test_a_damaged_backup_is_refused_and_changes_nothing(backup: Path, elsewhere: Settings, damage: str) -> None:
    whole = backup.read_bytes()
    page = whole.index(b"Throttle coupler") // 4096 * 4096
    backup.write_bytes(
        {
            "cut": whole[: len(whole) // 2],
            "scribbled": whole[:page] + b"\x7f" * 4096 + whole[page + 4096 :],
            "empty": b"",
            "text": b"not a database at all\n" * 500,
        }[damage]
    )
    with pytest.raises(NotDoneError):
        restore(backup, elsewhere, at=AT)
    assert not elsewhere.data.exists()


def test_another_programs_database_is_refused(tmp_path: Path, elsewhere: Settings) -> None:
    other = tmp_path / "other.sqlite3"
    with closing(sqlite3.connect(other)) as connection:
        connection.execute("CREATE TABLE thing (id)")
    with pytest.raises(NotDoneError, match="not a garage"):
        restore(other, elsewhere, at=AT)


def test_a_backup_that_points_to_a_missing_record_is_refused(backup: Path, elsewhere: Settings) -> None:
    with closing(sqlite3.connect(backup)) as connection:
        connection.execute("UPDATE line SET from_component = 'nothing' WHERE id = 'tern.coupler'")
        connection.commit()
    with pytest.raises(NotDoneError, match="points to one that is not there"):
        restore(backup, elsewhere, at=AT)


def test_a_newer_programs_backup_is_refused_and_changes_nothing(backup: Path, occupied: Garage) -> None:
    with closing(sqlite3.connect(backup)) as connection:
        connection.execute("UPDATE alembic_version SET version_num = '9999'")
        connection.commit()
    occupied.close()
    with pytest.raises(NewerThanProgramError):
        restore(backup, occupied.settings, at=AT, overwrite=True)
    assert [path.name for path in occupied.settings.data.iterdir()] == ["garage.sqlite3"]
    assert names(occupied.settings) == []


def test_what_was_entered_after_the_backup_is_in_the_garage_kept_aside(
    backup: Path, garage: Garage, enter: Enter
) -> None:
    enter("car", "dunlin", name="Dunlin", layout="electric-diverter")
    garage.close()
    kept = restore(backup, garage.settings, at=AT, overwrite=True)
    assert kept is not None
    assert names(garage.settings) == ["Tern"]
    kept.replace(garage.settings.database)
    assert names(garage.settings) == ["Dunlin", "Tern"]
