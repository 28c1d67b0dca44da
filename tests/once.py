"""What is made once in a run, however many workers run it: the first to ask makes it, the others wait for it."""

import os
import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest

#: A lock that nobody lets go of within this is a worker that hangs, s.
_PATIENCE_S = 600


def once_in_a_run(factory: pytest.TempPathFactory, name: str, make: Callable[[Path], object]) -> Path:
    """The file or folder `name` that `make` has made. It is everyone's: copy it, change nothing in it."""
    made = _of_the_run(factory) / name
    half_made = made.with_suffix(".half-made")
    # SQLite's own lock: every operating system lets go of it when a worker dies. Nothing is written.
    with closing(sqlite3.connect(made.with_suffix(".lock"), timeout=_PATIENCE_S, isolation_level=None)) as lock:
        lock.execute("BEGIN EXCLUSIVE")
        if not made.exists():
            make(half_made)
            half_made.rename(made)
    return made


def _of_the_run(factory: pytest.TempPathFactory) -> Path:
    """The temporary folder that all workers of this run have in common."""
    own = factory.getbasetemp()
    return own.parent if "PYTEST_XDIST_WORKER" in os.environ else own
