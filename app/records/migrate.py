"""Bring the database to the form this program knows, and refuse one it does not know."""

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
    config = Config()
    config.set_main_option("script_location", str(shipped("migrations")).replace("%", "%%"))
    config.set_main_option("path_separator", "os")
    scripts = ScriptDirectory.from_config(config)
    with writing(engine) as connection:
        stands_at = _stands_at(connection)
        if stands_at == scripts.get_current_head():
            return
        if stands_at is not None and stands_at not in {one.revision for one in scripts.walk_revisions()}:
            raise NewerThanProgramError(
                "This garage was last opened by a newer Witnessmark. Update the program, then open it again; "
                "nothing has been changed."
            )
        config.attributes["connection"] = connection
        command.upgrade(config, "head")
        # Not in a migration: what is found is read from the tables as this program, and no older one, knows them.
        find_anew(connection)


def _stands_at(connection: Connection) -> str | None:
    if not inspect(connection).has_table("alembic_version"):
        return None
    return connection.exec_driver_sql("SELECT version_num FROM alembic_version").scalar()
