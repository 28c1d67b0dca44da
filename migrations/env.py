"""Run by Alembic: migrate the database whose connection the program hands over, or the garage `-x data=` names."""

from pathlib import Path

from alembic import context
from sqlalchemy import Connection
from sqlmodel import SQLModel

import app.records.entry  # importing the tables fills the metadata
import app.records.kinds  # noqa: F401
from app.records.engine import open_engine
from app.records.findable import is_compared
from app.settings import Settings


def migrate(connection: Connection) -> None:
    context.configure(
        connection=connection,
        target_metadata=SQLModel.metadata,
        include_name=is_compared,
        render_as_batch=True,
        transaction_per_migration=True,
    )
    with context.begin_transaction():
        context.run_migrations()


if (given := context.config.attributes.get("connection")) is not None:
    migrate(given)
elif (folder := context.get_x_argument(as_dictionary=True).get("data")) is not None:
    with open_engine(Settings(Path(folder)).database).connect() as opened:
        migrate(opened)
else:  # a developer's own call never falls on a real garage by accident
    raise SystemExit("Say which garage's form to compare with: alembic -x data=DIR ...")
