"""Run by Alembic: migrate the database whose connection the program hands over, or the file named on Alembic's line."""

from alembic import context
from sqlalchemy import Connection
from sqlmodel import SQLModel

import app.records.entry  # importing the tables fills the metadata
import app.records.kinds  # noqa: F401
from app.records.engine import open_engine
from app.settings import Settings, default_data


def migrate(connection: Connection) -> None:
    context.configure(
        connection=connection,
        target_metadata=SQLModel.metadata,
        render_as_batch=True,
        transaction_per_migration=True,
    )
    with context.begin_transaction():
        context.run_migrations()


if (given := context.config.attributes.get("connection")) is not None:
    migrate(given)
else:  # a developer's own call of `alembic revision --autogenerate`
    with open_engine(Settings(default_data()).database).connect() as opened:
        migrate(opened)
