"""Bring the database to the form this program knows, and refuse one it does not know."""

from functools import cache

from alembic import command
from alembic.config import Config
from alembic.script import ScriptDirectory
from sqlalchemy import Connection, Engine, inspect

from app.records.engine import writing
from app.records.findable import find_anew
from app.records.not_done import NotDoneError
from app.settings import shipped


class NewerThanProgramError(NotDoneError):
    """The database was last used by a newer program, which may keep things this one would lose."""


def bring_up_to_date(engine: Engine) -> None:
    """Run the migrations that are missing, in one transaction.

    Raises NewerThanProgramError when the database's form is one this program has never heard of.
    """
    newest, *_ = known = _known_forms()
    with writing(engine) as connection:
        stands_at = _stands_at(connection)
        if stands_at == newest:
            return
        if stands_at is not None and stands_at not in known:
            raise NewerThanProgramError(
                "This garage was last opened by a newer Witnessmark. Update the program, then open it again; "
                "nothing has been changed."
            )
        config = _config()
        config.attributes["connection"] = connection
        command.upgrade(config, "head")
        # Not in a migration: what is found is read from the tables as this program, and no older one, knows them.
        find_anew(connection)


def _config() -> Config:
    config = Config()
    config.set_main_option("script_location", str(shipped("migrations")).replace("%", "%%"))
    config.set_main_option("path_separator", "os")
    return config


@cache  # to be read, each migration is run as a module: longer than all else that opening a garage takes
def _known_forms() -> tuple[str, ...]:
    return tuple(one.revision for one in ScriptDirectory.from_config(_config()).walk_revisions())


def _stands_at(connection: Connection) -> str | None:
    if not inspect(connection).has_table("alembic_version"):
        return None
    return connection.exec_driver_sql("SELECT version_num FROM alembic_version").scalar()
