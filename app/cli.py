"""The command line: what is asked for is read here, done elsewhere, and answered in plain words.

What a command needs is imported by that command: `triage` answers in a tenth of a second, the web takes a whole one.
"""

import argparse
import os
import sys
from collections.abc import Callable, Sequence
from contextlib import closing
from datetime import datetime
from pathlib import Path
from typing import TextIO

from app import __version__
from app.cli_serving import add_servers
from app.cli_shared import Command, opened, settings_of
from app.records.not_done import NotDoneError
from app.settings import default_data, shipped

#: The status of a command that changed nothing, and says why.
NOT_DONE = 2
_STREAM = "-"


def main(arguments: Sequence[str] | None = None) -> int:
    """Do what the arguments ask. The exit status: 0 done, 1 done in part, 2 not done."""
    asked = _parser().parse_args(arguments)
    try:
        status: int = asked.do(asked)
        sys.stdout.flush()
    except BrokenPipeError:  # whoever was reading, such as `head`, has had enough
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
    except KeyboardInterrupt:
        return _not_done("Stopped.")
    except NotDoneError as error:
        return _not_done(str(error))
    except _troubles() as error:
        return _not_done(_plainly(error))
    return status


def _troubles() -> tuple[type[Exception], ...]:
    from app.records.trouble import TROUBLE

    return TROUBLE


def _plainly(error: Exception) -> str:
    from app.records.trouble import plainly

    return plainly(error)


def _not_done(sentence: str) -> int:
    print(sentence, file=sys.stderr)
    return NOT_DONE


def _triage(asked: argparse.Namespace) -> int:
    from app.triage.case import CaseError, run_case

    raw = sys.stdin.buffer.read() if asked.file == _STREAM else Path(asked.file).read_bytes()
    try:
        print(run_case(raw.decode("utf-8-sig"), as_json=asked.json, layouts_folder=shipped("seed_data") / "layouts"))
    except UnicodeDecodeError:
        raise NotDoneError(f"{asked.file} is no text file.") from None
    except CaseError as error:
        raise NotDoneError(str(error)) from error
    return 0


def _backup(asked: argparse.Namespace) -> int:
    from app.records.backup import back_up

    back_up(settings_of(asked).database, asked.file, overwrite=asked.overwrite)
    print(f"Backed up to {asked.file}")
    return 0


def _restore(asked: argparse.Namespace) -> int:
    from app.records.backup import restore

    settings = settings_of(asked)
    kept = restore(asked.file, settings, at=datetime.now().astimezone(), overwrite=asked.overwrite)
    print(f"Restored to {settings.database}")
    if kept:
        print(f"The garage it replaced is kept as {kept}")
    return 0


def _export(asked: argparse.Namespace) -> int:
    from app.records import transfer
    from app.records.filing import put_in_place
    from app.records.garage import Garage

    settings = settings_of(asked)
    if not settings.database.is_file():
        raise NotDoneError(f"There is no garage in {settings.data}.")
    if asked.without_prices and asked.car is None:
        raise NotDoneError("Prices are left out of one car's archive. Say which car with --car.")

    def write(garage: Garage, out: TextIO) -> int:
        if asked.car is None:
            return transfer.export(garage, out)
        return transfer.export_car(garage, asked.car, out, without_prices=asked.without_prices)

    with closing(Garage.open(settings)) as garage:
        if asked.file == _STREAM:
            with open(sys.stdout.fileno(), "w", encoding="utf-8", newline="\n", closefd=False) as out:
                write(garage, out)
            return 0
        with (
            put_in_place(Path(asked.file), overwrite=asked.overwrite) as written,
            written.open("w", encoding="utf-8", newline="\n") as out,
        ):
            count = write(garage, out)
    print(f"Wrote {count} entries to {asked.file}")
    return 0


def _import(asked: argparse.Namespace) -> int:
    from app.records import transfer

    with sys.stdin.buffer if asked.file == _STREAM else Path(asked.file).open("rb") as stream:
        given = transfer.lines_of(stream)  # before a garage is made for what may be no export at all
        with closing(opened(settings_of(asked))) as garage:
            brought = transfer.bring_in(garage, given)
    for number, why in brought.refused:
        print(f"line {number}: {why}", file=sys.stderr)
    print(f"{brought.taken} taken, {brought.had} had before, {len(brought.refused)} refused")
    return 1 if brought.refused else 0


def _parser() -> argparse.ArgumentParser:
    anywhere = argparse.ArgumentParser(add_help=False)
    anywhere.add_argument(
        "--data",
        type=Path,
        metavar="DIR",
        default=argparse.SUPPRESS,  # it may stand before the command or after; a default would undo the first
        help=f"the folder the record lies in (usual: {default_data()})".replace("%", "%%"),
    )
    parser = argparse.ArgumentParser(
        prog="witnessmark",
        description="The record of a turbocharged car, and the way from a few gauge readings to the hose at fault.",
        parents=[anywhere],
        allow_abbrev=False,
    )
    parser.add_argument("--version", action="version", version=f"witnessmark {__version__}")
    commands = parser.add_subparsers(title="commands", metavar="COMMAND", required=True)

    def command(name: str, do: Callable[[argparse.Namespace], int], what: str) -> argparse.ArgumentParser:
        added = commands.add_parser(name, help=what, description=what, parents=[anywhere], allow_abbrev=False)
        added.set_defaults(do=do)
        return added

    add_servers(command)
    _add_files(command)
    return parser


def _add_files(command: Command) -> None:
    triage = command("triage", _triage, "Rank the suspects of one case, written as JSON.")
    triage.add_argument("file", metavar="FILE", help="the case; - reads it from standard input")
    triage.add_argument("--json", action="store_true", help="answer in JSON instead of a table")
    backup = command("backup", _backup, "Copy the garage, in use or not, to one file.")
    backup.add_argument("file", metavar="FILE", type=Path)
    back = command("restore", _restore, "Bring the garage back from a backup, once it is found whole.")
    back.add_argument("file", metavar="FILE", type=Path)
    export = command("export", _export, "Write every entry, or one car's, as JSON Lines.")
    export.add_argument("file", metavar="FILE", help="where to; - writes to standard output")
    export.add_argument("--car", metavar="ID", help="this car alone, with its photos: it stands in its page's address")
    export.add_argument(
        "--without-prices", action="store_true", help="leave out what its parts cost and where they came from"
    )
    for one in (backup, back, export):
        one.add_argument("--overwrite", action="store_true", help="replace what is there already")
    bring = command("import", _import, "Take the entries of an export in; those had before change nothing.")
    bring.add_argument("file", metavar="FILE", help="the export; - reads it from standard input")
