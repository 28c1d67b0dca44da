"""Rows of a query as plain objects: SELECT the columns in the order of the class's fields."""

from collections.abc import Callable
from typing import Any, TypeVar

from sqlalchemy import Connection

from app.records.engine import driver_of

Row = TypeVar("Row")


def rows(connection: Connection, into: Callable[..., Row], sql: str, *parameters: Any) -> list[Row]:
    """Every row of `sql` (its `?` filled from `parameters`), each made into an `into`, column by column."""
    return [into(*row) for row in driver_of(connection).execute(sql, parameters).fetchall()]


def row(connection: Connection, into: Callable[..., Row], sql: str, *parameters: Any) -> Row | None:
    """The first row of `sql`, or None."""
    found = driver_of(connection).execute(sql, parameters).fetchone()
    return None if found is None else into(*found)
