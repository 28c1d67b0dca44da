from sqlalchemy import Connection

from app.records.garage import Garage
from app.records.kept import kept
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
