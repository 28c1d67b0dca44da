"""Files only their owner may read: whole or not there at all, and never readable by others even for an instant."""

import os
import secrets
from contextlib import suppress
from pathlib import Path


def private_folder(folder: Path) -> Path:
    """Make the folder for its owner alone, and take back what others were once allowed."""
    folder.mkdir(parents=True, exist_ok=True, mode=0o700)
    folder.chmod(0o700)
    return folder


def put(path: Path, content: bytes) -> None:
    """Write or replace `path` in one step: a reader, or a power cut, finds the old content or the new."""
    fresh = _written_beside(path, content)
    fresh.replace(path)
    _settle(path.parent)


def put_once(path: Path, content: bytes) -> bool:
    """Write `path` only if it is not there. False if it was, even if another program made it this very moment."""
    fresh = _written_beside(path, content)
    try:
        os.link(fresh, path)  # unlike a rename, fails when the name is taken
    except FileExistsError:
        return False
    finally:
        fresh.unlink()
    _settle(path.parent)
    return True


def _written_beside(path: Path, content: bytes) -> Path:
    fresh = path.with_name(f".{path.name}.{secrets.token_hex(8)}")
    # The mode is given to open(2) itself: a file made first and closed off after could be read in between.
    handle = os.open(fresh, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
    except BaseException:
        with suppress(FileNotFoundError):
            fresh.unlink()
        raise
    return fresh


def _settle(folder: Path) -> None:
    # The name in the folder is written out too. Windows can't open a folder, and does not need it.
    if os.name != "nt":
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
