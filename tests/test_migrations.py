import sqlite3
from contextlib import closing

import pytest
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from sqlalchemy.exc import IntegrityError
from sqlmodel import SQLModel

from app.records.findable import is_compared
from app.records.garage import Garage
from app.records.migrate import NewerThanProgramError
from app.records.touches import touches_of
from app.settings import Settings
from tests.conftest import Enter


def test_the_migrations_make_the_very_tables_the_kinds_describe(garage: Garage) -> None:
    with garage.read() as db:
        opts = {"compare_type": True, "compare_server_default": True, "include_name": is_compared}
        context = MigrationContext.configure(db, opts=opts)
        assert compare_metadata(context, SQLModel.metadata) == []


def test_every_table_keeps_to_its_types(garage: Garage) -> None:
    with garage.read() as db:
        ours = set(SQLModel.metadata.tables)
        strict = {row.name: row.strict for row in db.exec_driver_sql("PRAGMA table_list") if row.name in ours}
    assert strict == dict.fromkeys(ours, 1)


def test_a_garage_opened_again_is_left_as_it_is(garage: Garage) -> None:
    before = garage.settings.database.read_bytes()
    Garage.open(garage.settings).close()
    assert garage.settings.database.read_bytes() == before


def test_a_newer_programs_garage_is_refused_and_left_as_it_is(garage: Garage) -> None:
    settings: Settings = garage.settings
    garage.close()
    with closing(sqlite3.connect(settings.database)) as connection:
        connection.execute("UPDATE alembic_version SET version_num = '9999'")
        connection.commit()
    before = settings.database.read_bytes()
    with pytest.raises(NewerThanProgramError, match="newer Witnessmark"):
        Garage.open(settings)
    assert settings.database.read_bytes() == before


@pytest.mark.parametrize("statement", ["UPDATE entry SET fields = '{}'", "DELETE FROM entry"])
def test_the_database_itself_keeps_every_entry(garage: Garage, tern: str, statement: str) -> None:
    with garage.engine.connect() as connection, pytest.raises(IntegrityError, match="entries are never"):
        connection.exec_driver_sql(statement)


def test_an_entry_is_not_replaced_by_writing_over_it(garage: Garage, tern: str) -> None:
    # SQLite's REPLACE deletes without asking the delete trigger, unless recursive triggers are on.
    with garage.engine.connect() as connection, pytest.raises(IntegrityError):
        connection.exec_driver_sql("INSERT OR REPLACE INTO entry SELECT * FROM entry LIMIT 1")


#: What the migrations made after the one that the next test goes back to.
MADE_SINCE = (
    "TABLE car_figures",
    "TABLE hold_test",
    "TABLE boost_target",
    "TABLE overboost",
    "TABLE trace",
    "TABLE logger",
    "TABLE log_piece",
    "TABLE log_file",
    "INDEX ix_joint_check_last",
    "INDEX ix_joint_check_of_component",
    "INDEX ix_joint_check_of_line",
    "INDEX ix_touch_past",
)


def test_touches_made_before_each_knew_its_car_are_found_again(garage: Garage, enter: Enter, tern: str) -> None:
    at = "2026-04-18T10:40:00.000Z"
    enter("job", "j", car=tern, title="Coupler", opened_at=at)
    enter("touch", "j.tern.coupler", job="j", line="tern.coupler", how="disconnected", at=at)
    garage.close()
    with closing(sqlite3.connect(garage.settings.database)) as db:
        for made in MADE_SINCE:
            db.execute(f"DROP {made}")
        db.execute("ALTER TABLE touch DROP COLUMN car")
        db.execute("ALTER TABLE reading DROP COLUMN engine_speed")
        db.execute("CREATE INDEX ix_touch_at ON touch (at)")
        db.execute("UPDATE alembic_version SET version_num = '0006'")
        db.commit()
    opened = Garage.open(garage.settings)
    with opened.read() as db:
        assert [one.line for one in touches_of(db, tern)] == ["tern.coupler"]
    opened.close()
