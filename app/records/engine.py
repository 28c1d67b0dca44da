"""The SQLite file: how it is opened, read and written."""

import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from typing import cast

from sqlalchemy import URL, Connection, Engine, create_engine, event
from sqlalchemy.engine.interfaces import DBAPIConnection
from sqlalchemy.pool import ConnectionPoolEntry, QueuePool

_PRAGMAS = (
    "PRAGMA journal_mode=WAL",
    "PRAGMA synchronous=FULL",  # an acknowledged entry survives a power cut
    "PRAGMA foreign_keys=ON",
    "PRAGMA busy_timeout=10000",
    "PRAGMA recursive_triggers=ON",  # or REPLACE erases an entry without asking the trigger that forbids it
    "PRAGMA trusted_schema=OFF",
    "PRAGMA mmap_size=268435456",
)


def open_engine(database: Path) -> Engine:
    """An engine on `database`, made if it is not there. Transactions begin only where this module says so."""
    engine = create_engine(
        URL.create("sqlite", database=str(database)),
        poolclass=QueuePool,
        pool_size=8,
        max_overflow=72,  # enough for the threads of pages/hands.py and the framework's, should all be at work
        pool_reset_on_return=None,  # reads open no transaction, and a write always ends its own
        connect_args={"check_same_thread": False, "isolation_level": None},
    )
    event.listen(engine, "connect", _prepare)
    return engine


def _prepare(connection: DBAPIConnection, _: ConnectionPoolEntry) -> None:
    cursor = connection.cursor()
    for pragma in _PRAGMAS:
        cursor.execute(pragma)
    cursor.close()


@contextmanager
def reading(engine: Engine) -> Iterator[Connection]:
    """One consistent view of the record for as long as a page needs it."""
    with engine.connect() as connection:
        driver = driver_of(connection)
        driver.execute("BEGIN")
        try:
            yield connection
        finally:
            driver.execute("ROLLBACK")


def driver_of(connection: Connection) -> sqlite3.Connection:
    """SQLite's own connection: what SQLAlchemy adds to a plain statement costs more than most of ours take."""
    return cast(sqlite3.Connection, connection.connection.dbapi_connection)


@contextmanager
def writing(engine: Engine) -> Iterator[Connection]:
    """One transaction, committed when the block ends and rolled back if it fails.

    IMMEDIATE takes the write lock at once: a transaction that reads first and writes later could otherwise fail half
    way because another wrote in between.
    """
    with engine.connect() as connection:
        connection.exec_driver_sql("BEGIN IMMEDIATE")
        try:
            yield connection
        except BaseException:
            connection.exec_driver_sql("ROLLBACK")
            raise
        connection.exec_driver_sql("COMMIT")


def sound(database: Path) -> str | None:
    """None if SQLite finds the file whole, else what it says is wrong."""
    try:
        with closing(sqlite3.connect(f"{database.absolute().as_uri()}?mode=ro", uri=True)) as connection:
            found = [row[0] for row in connection.execute("PRAGMA integrity_check")]
            loose = connection.execute("PRAGMA foreign_key_check").fetchone()
    except sqlite3.DatabaseError as error:
        return str(error)
    if found != ["ok"]:
        return "; ".join(found[:3])
    return "a record points to one that is not there" if loose else None
