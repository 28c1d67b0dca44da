"""Rows of a query as plain objects: SELECT the columns in the order of the class's fields."""

import sqlite3
from typing import Any, TypeVar

from sqlalchemy import Connection

Row = TypeVar("Row")


def rows(connection: Connection, into: type[Row], sql: str, *parameters: Any) -> list[Row]:
    """Every row of `sql` (its `?` filled from `parameters`), each made into an `into`, column by column."""
    return [into(*row) for row in _run(connection, sql, parameters).fetchall()]


def row(connection: Connection, into: type[Row], sql: str, *parameters: Any) -> Row | None:
    """The first row of `sql`, or None."""
    found = _run(connection, sql, parameters).fetchone()
    return None if found is None else into(*found)


def _run(connection: Connection, sql: str, parameters: tuple[Any, ...]) -> sqlite3.Cursor:
    # Straight to the driver: what SQLAlchemy adds to a plain SELECT costs more than most of ours take.
    driver: sqlite3.Connection = connection.connection.dbapi_connection  # type: ignore[assignment]  # it is SQLite's
    return driver.execute(sql, parameters)
