import gc
import time
import weakref

import pytest
from sqlalchemy import Connection

from app.records.garage import Garage
from app.records.kept import kept, kept_today
from tests.conftest import Enter


def test_an_answer_is_kept_until_the_next_entry_and_no_longer(garage: Garage, enter: Enter, tern: str) -> None:
    asked = []

    @kept
    def name(db: Connection, car: str) -> str:
        asked.append(car)
        return str(db.exec_driver_sql("SELECT name FROM car WHERE id = ?", (car,)).scalar())

    with garage.read() as db:
        assert [name(db, tern), name(db, tern)] == ["Tern", "Tern"]
    enter("car", tern, name="Arctic tern")
    with garage.read() as db:
        assert name(db, tern) == "Arctic tern"
    assert asked == [tern, tern]


def test_each_garage_keeps_its_own_answers(garage: Garage, enter: Enter, tern: str) -> None:
    @kept
    def file(db: Connection) -> str:
        return str(db.exec_driver_sql("SELECT file FROM pragma_database_list").scalar())

    with garage.read() as db:
        assert file(db) == str(garage.settings.database)


def test_what_hangs_on_the_day_is_kept_until_the_day_is_another(
    garage: Garage, enter: Enter, tern: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked = []

    @kept_today
    def name(db: Connection, car: str) -> str:
        asked.append(car)
        return str(db.exec_driver_sql("SELECT name FROM car WHERE id = ?", (car,)).scalar())

    try:
        # Between these two it is never the same day.
        for zone in ("Etc/GMT+12", "Etc/GMT-14"):
            monkeypatch.setenv("TZ", zone)
            time.tzset()
            with garage.read() as db:
                assert [name(db, tern), name(db, tern)] == ["Tern", "Tern"]
        assert asked == [tern, tern]
        enter("car", tern, name="Arctic tern")
        with garage.read() as db:
            assert name(db, tern) == "Arctic tern"
    finally:
        monkeypatch.undo()
        time.tzset()


def test_only_the_last_answers_are_kept(garage: Garage) -> None:
    asked = []

    @kept
    def twice(_: Connection, number: int) -> int:
        asked.append(number)
        return 2 * number

    with garage.read() as db:
        assert [twice(db, number) for number in (*range(200), 0, 199)] == [
            2 * number for number in (*range(200), 0, 199)
        ]
    assert asked == [*range(200), 0]


def test_what_was_true_before_an_entry_is_let_go_of(garage: Garage, enter: Enter, tern: str) -> None:
    class Answer:
        pass

    @kept
    def answer(_: Connection) -> Answer:
        return Answer()

    with garage.read() as db:
        before = weakref.ref(answer(db))
        gc.collect()
        assert before() is answer(db)
    enter("car", tern, name="Arctic tern")
    with garage.read() as db:
        assert answer(db) is answer(db)
    gc.collect()
    assert before() is None
