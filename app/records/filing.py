"""Files that appear whole or not at all."""

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from app.records.not_done import NotDoneError


@contextmanager
def put_in_place(target: Path, *, overwrite: bool) -> Iterator[Path]:
    """A name beside `target` to write to. What was written there takes the target's name when the block ends.

    It is on the disk before it does, so that a power cut leaves the old file or the new one. A block that fails leaves
    nothing. Raises NotDoneError if `target` is there already and may not be replaced.
    """
    if target.is_dir():
        raise NotDoneError(f"{target} is a folder. Give the name of a file.")
    if target.exists() and not overwrite:
        raise NotDoneError(f"{target} is there already. Give another name, or add --overwrite to replace it.")
    if not target.parent.is_dir():
        raise NotDoneError(f"There is no folder {target.parent}.")
    written = target.with_name(f".{target.name}.{os.getpid()}.part")
    try:
        yield written
        _settle_file(written)
        written.replace(target)
        settle_folder(target.parent)
    finally:
        for leftover in beside(written):
            leftover.unlink(missing_ok=True)


def beside(database: Path) -> list[Path]:
    """The database and the files SQLite may keep next to it."""
    return [database, *(database.with_name(database.name + tail) for tail in ("-wal", "-shm", "-journal"))]


def _settle_file(path: Path) -> None:
    with path.open("r+b") as opened:
        os.fsync(opened.fileno())


def settle_folder(folder: Path) -> None:
    """Have the disk keep the folder's list of names; only a POSIX system needs and allows it."""
    if os.name != "posix":
        return
    descriptor = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)
