"""Private files are whole or not there, and nobody else's even for an instant."""

import itertools
import os
import stat
import threading
from pathlib import Path

import pytest

from app.phone.private_files import private_folder, put, put_once


def test_a_folder_open_to_others_is_closed_to_them(tmp_path: Path) -> None:
    folder = tmp_path / "lan"
    folder.mkdir(mode=0o755)
    folder.chmod(0o755)
    assert stat.S_IMODE(private_folder(folder).stat().st_mode) == 0o700


def test_a_file_is_never_readable_by_others_even_while_it_is_written(tmp_path: Path) -> None:
    seen: set[int] = set()
    over = threading.Event()

    def watch() -> None:
        while not over.is_set():
            for one in os.scandir(tmp_path):
                try:
                    seen.add(stat.S_IMODE(one.stat().st_mode))
                except FileNotFoundError:
                    continue

    watcher = threading.Thread(target=watch)
    before = os.umask(0)
    watcher.start()
    try:
        for n in itertools.count():
            if n >= 50 and seen:  # on a busy machine the watcher may be long in coming
                break
            put(tmp_path / "key.pem", b"x" * 200_000)
            put_once(tmp_path / f"once{n}.pem", b"x" * 1000)
    finally:
        over.set()
        watcher.join()
        os.umask(before)
    assert seen == {0o600}


def test_put_replaces_and_leaves_nothing_beside(tmp_path: Path) -> None:
    put(tmp_path / "a", b"one")
    put(tmp_path / "a", b"two")
    assert [(one.name, one.read_bytes()) for one in tmp_path.iterdir()] == [("a", b"two")]


def test_put_once_leaves_what_is_there(tmp_path: Path) -> None:
    assert put_once(tmp_path / "a", b"one")
    assert not put_once(tmp_path / "a", b"two")
    assert [(one.name, one.read_bytes()) for one in tmp_path.iterdir()] == [("a", b"one")]


def test_a_write_that_fails_leaves_nothing_behind(tmp_path: Path) -> None:
    put(tmp_path / "a", b"one")
    with pytest.raises(TypeError):
        put(tmp_path / "a", "no bytes")  # type: ignore[arg-type]  # wrong on purpose
    assert [(one.name, one.read_bytes()) for one in tmp_path.iterdir()] == [("a", b"one")]
