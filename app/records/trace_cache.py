"""The figures of logs, kept at hand as arrays: made again from the file where they are not there, and never the truth.

A name follows from the file, from how it is read and from the form of the arrays, so that what is found under it is
what reading the file would give.
"""

import hashlib
import json
import os
from contextlib import suppress
from pathlib import Path

import numpy as np

from app.settings import Settings
from app.traces.file_form import FileForm
from app.traces.trace import Trace

#: Raise it when reading a file gives other figures than before.
_FORM = 1


def key_of(trace: str, sha256: str, form: FileForm, ambient_kpa: float | None) -> str:
    """The name of a log's arrays: the log's own, and a mark of all they follow from."""
    told = f"{_FORM} {sha256} {form.as_text()} {ambient_kpa!r}"
    own = hashlib.sha256(trace.encode()).hexdigest()[:16]
    return f"{own}.{hashlib.sha256(told.encode()).hexdigest()[:32]}"


def kept(settings: Settings, key: str) -> Trace | None:
    """The trace of that name; None where it is not there, or can't be read."""
    try:
        with (settings.cache / f"{key}.log").open("rb") as file:
            names = json.loads(file.readline())
            at = np.load(file, allow_pickle=False)
            return Trace(at, {str(name): np.load(file, allow_pickle=False) for name in names})
    except (OSError, ValueError, EOFError, TypeError, AttributeError):
        return None


def keep(settings: Settings, key: str, trace: Trace) -> None:
    """Keep a trace under that name, and let go of what the log was before. On a full disk nothing is kept."""
    target = settings.cache / f"{key}.log"
    written = target.with_name(f".{target.name}.{os.getpid()}")
    try:
        settings.cache.mkdir(parents=True, exist_ok=True, mode=0o700)
        with written.open("wb") as file:
            file.write(json.dumps(list(trace.channels)).encode() + b"\n")
            for one in (trace.at, *trace.channels.values()):
                np.save(file, one, allow_pickle=False)
        written.replace(target)
        _forget_others(settings.cache, target)
    except OSError:
        with suppress(OSError):
            written.unlink(missing_ok=True)


def _forget_others(folder: Path, target: Path) -> None:
    own = target.name.partition(".")[0]
    for other in folder.glob(f"{own}.*.log"):
        if other.name != target.name:
            other.unlink(missing_ok=True)
