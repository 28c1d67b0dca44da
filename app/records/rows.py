"""Rows of a query as plain objects: SELECT the columns in the order of the class's fields."""

from typing import Any, TypeVar

from sqlalchemy import Connection

Row = TypeVar("Row")


def rows(connection: Connection, into: type[Row], sql: str, *parameters: Any) -> list[Row]:
    """Every row of `sql` (its `?` filled from `parameters`), each made into an `into`, column by column."""
    return [into(*row) for row in connection.exec_driver_sql(sql, parameters).cursor.fetchall()]


def row(connection: Connection, into: type[Row], sql: str, *parameters: Any) -> Row | None:
    """The first row of `sql`, or None."""
    found = connection.exec_driver_sql(sql, parameters).cursor.fetchone()
    return None if found is None else into(*found)
