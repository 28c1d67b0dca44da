"""The command itself: what it says, what it leaves, and how it ends."""

import io
import json
import os
import re
import resource
import shutil
import signal
import sqlite3
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from pathlib import Path

import httpx2
import pytest

from app import __version__
from app.cli import main
from app.settings import Settings

Run = Callable[..., subprocess.CompletedProcess[str]]

CASE = {
    "layout": "stored-vacuum",
    "touched": [{"role": "boost_control", "how": "reached_past", "days_ago": 2, "km_ago": 85}],
    "signs": {"boost_stability": "erratic"},
}


@pytest.fixture
def home(tmp_path: Path) -> dict[str, str]:
    """An environment whose user has never run the program."""
    return {**os.environ, "HOME": str(tmp_path), "XDG_DATA_HOME": str(tmp_path / "share"), "PYTHONUTF8": "1"}


@pytest.fixture
def run(home: dict[str, str], capfd: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Run:
    """Run the command; whatever happens, nobody is ever shown a traceback.

    What only reads and writes files runs here, in this process, since to start one takes longer than most commands do.
    """
    for name in ("HOME", "XDG_DATA_HOME"):
        monkeypatch.setenv(name, home[name])

    def ran(
        *arguments: object, stdin: str | None = None, largest_file: int | None = None
    ) -> subprocess.CompletedProcess[str]:
        asked = [*map(str, arguments)]
        if largest_file is not None or {"serve", "demo"} & {*asked}:
            return _as_a_process(home, asked, largest_file)
        monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO((stdin or "").encode()), encoding="utf-8"))
        capfd.readouterr()
        try:
            status = main(asked)
        except SystemExit as left:  # argparse's own way
            status = int(left.code or 0)
        return subprocess.CompletedProcess(asked, status, *capfd.readouterr())

    return ran


def _as_a_process(home: dict[str, str], asked: list[str], largest_file: int | None) -> subprocess.CompletedProcess[str]:
    def limit() -> None:
        if largest_file is not None:
            resource.setrlimit(resource.RLIMIT_FSIZE, (largest_file, largest_file))

    command = [sys.executable, "-W", "error", "-m", "app", *asked]
    done = subprocess.run(command, capture_output=True, text=True, env=home, check=False, preexec_fn=limit)
    assert "Traceback" not in done.stderr, done.stderr
    return done


@contextmanager
def started(home: dict[str, str], *arguments: object) -> Iterator[tuple[subprocess.Popen[str], str]]:
    """The command while it serves, and all it said up to and with its address."""
    command = [sys.executable, "-W", "error", "-m", "app", *map(str, arguments)]
    process = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, env=home)
    assert process.stdout
    said = ""
    while "http" not in said and (line := process.stdout.readline()):
        said += line
    try:
        yield process, said
    finally:
        process.kill()
        process.communicate()


def address(said: str) -> str:
    (found,) = re.findall(r"http://127\.0\.0\.1:\d+/", said)
    return str(found)


@pytest.fixture
def told(told_demo: Path, tmp_path: Path) -> Path:
    """The data folder of a demo garage that is not being served."""
    return shutil.copytree(told_demo, tmp_path / "told")


@pytest.mark.parametrize("stop", [signal.SIGINT, signal.SIGTERM])
def test_serve_says_one_address_answers_there_and_stops_cleanly(
    home: dict[str, str], tmp_path: Path, stop: signal.Signals
) -> None:
    with started(home, "serve", "--port", 0) as (process, said):
        answer = httpx2.get(address(said))
        assert answer.status_code == 401
        assert "server" not in answer.headers
        process.send_signal(stop)
        # Read, not communicate(): that one leaves out what came along with the line read before.
        assert process.stdout
        assert process.stderr
        out, err = process.stdout.read(), process.stderr.read()
        assert (process.wait(), err) == (0, "")
        assert re.fullmatch(rf"To pair a browser .*\n{address(said)}pair/\S{{43}}\n", out)
    assert f"record lies in {tmp_path / 'share' / 'witnessmark' / 'garage.sqlite3'}" in said
    assert [path.name for path in (tmp_path / "share" / "witnessmark").iterdir()] == ["garage.sqlite3"]


def test_only_the_first_run_says_where_a_new_record_lies(home: dict[str, str]) -> None:
    for lines in (2, 1):
        with started(home, "serve", "--port", 0) as (_, said):
            assert said.count("\n") == lines


def test_the_demo_is_made_anew_each_time_apart_from_the_real_record(home: dict[str, str], tmp_path: Path) -> None:
    for _ in range(2):
        with started(home, "demo", "--port", 0) as (_, said):
            assert "Tern" in httpx2.get(address(said)).text
    assert [path.name for path in (tmp_path / "share").iterdir()] == ["witnessmark-demo"]


def test_a_second_demo_takes_a_port_and_a_folder_of_its_own(home: dict[str, str]) -> None:
    with started(home, "demo") as (_, first), started(home, "demo") as (_, second):
        assert address(first) != address(second)
        assert httpx2.get(address(first)).status_code == 200


def test_the_demo_never_takes_the_place_of_a_real_record(run: Run, home: dict[str, str], tmp_path: Path) -> None:
    with started(home, "serve", "--port", 0, "--data", tmp_path / "real"):
        pass
    refused = run("demo", "--data", tmp_path / "real")
    assert refused.returncode == 2
    assert "holds a record that is no demo" in refused.stderr


def test_a_port_that_is_taken_is_said_plainly(run: Run, home: dict[str, str]) -> None:
    with started(home, "serve", "--port", 0) as (_, said):
        port = address(said).rstrip("/").rpartition(":")[2]
        refused = run("serve", "--port", port)
    assert refused.returncode == 2
    assert "choose another with --port" in refused.stderr


def test_the_data_folder_may_stand_before_the_command_or_after_it(run: Run, told: Path) -> None:
    before, after = run("--data", told, "export", "-"), run("export", "-", "--data", told)
    assert before.stdout == after.stdout != ""


def test_what_was_exported_comes_back_byte_for_byte(run: Run, told: Path, tmp_path: Path) -> None:
    assert run("--data", told, "export", tmp_path / "one").returncode == 0
    taken = run("--data", tmp_path / "two", "import", tmp_path / "one")
    assert taken.returncode == 0
    assert re.search(r"^\d+ taken, 0 had before, 0 refused$", taken.stdout, re.MULTILINE)
    assert run("--data", tmp_path / "two", "export", "-").stdout == (tmp_path / "one").read_text()
    again = run("--data", tmp_path / "two", "import", "-", stdin=(tmp_path / "one").read_text())
    assert re.search(r"^0 taken, \d+ had before, 0 refused$", again.stdout, re.MULTILINE)


def test_an_import_names_each_refused_line_and_says_it_is_not_whole(run: Run, tmp_path: Path) -> None:
    done = run("--data", tmp_path / "two", "import", "-", stdin='{"witnessmark":"entries","form":1}\n{}\n')
    assert done.returncode == 1
    assert done.stderr.startswith("line 2: An entry has ")


def test_what_is_no_export_makes_no_garage(run: Run, tmp_path: Path) -> None:
    assert run("--data", tmp_path / "two", "import", "-", stdin="hello").returncode == 2
    assert not (tmp_path / "two").exists()


def test_a_backup_comes_back(run: Run, told: Path, tmp_path: Path) -> None:
    assert run("--data", told, "backup", tmp_path / "kept").returncode == 0
    assert run("--data", told, "backup", tmp_path / "kept").returncode == 2
    assert run("--data", tmp_path / "two", "restore", tmp_path / "kept").returncode == 0
    assert run("--data", tmp_path / "two", "restore", tmp_path / "kept").returncode == 2
    replaced = run("--data", tmp_path / "two", "restore", tmp_path / "kept", "--overwrite")
    assert "is kept as" in replaced.stdout
    assert run("--data", told, "export", "-").stdout == run("--data", tmp_path / "two", "export", "-").stdout


def test_a_garage_being_served_is_not_replaced(run: Run, home: dict[str, str], told: Path, tmp_path: Path) -> None:
    run("--data", told, "backup", tmp_path / "kept")
    with started(home, "--data", told, "serve", "--port", 0):
        refused = run("--data", told, "restore", tmp_path / "kept", "--overwrite")
    assert refused.returncode == 2
    assert "Stop the program" in refused.stderr


@pytest.mark.parametrize("command", [["backup", "kept"], ["export", "-"], ["export", "out"]])
def test_no_garage_is_made_by_asking_for_a_copy_of_one(run: Run, tmp_path: Path, command: list[str]) -> None:
    refused = run("--data", tmp_path / "none", *command)
    assert (refused.returncode, refused.stderr) == (2, f"There is no garage in {tmp_path / 'none'}.\n")
    assert not (tmp_path / "none").exists()


def test_a_record_of_a_newer_program_is_refused_in_words(run: Run, told: Path) -> None:
    with closing(sqlite3.connect(Settings(told).database)) as connection:
        connection.execute("UPDATE alembic_version SET version_num = '9999'")
        connection.commit()
    for command in (["serve", "--port", "0"], ["export", "-"], ["import", "-"]):
        refused = run("--data", told, *command, stdin='{"witnessmark":"entries","form":1}\n')
        assert refused.returncode == 2
        assert refused.stderr.startswith("This garage was last opened by a newer Witnessmark.")


@pytest.mark.parametrize("content", [b"no database" * 1000, b"SQLite format 3\x00" + b"\x00" * 5000])
def test_a_record_that_can_not_be_read_is_said_plainly(run: Run, tmp_path: Path, content: bytes) -> None:
    (tmp_path / "bad").mkdir()
    (tmp_path / "bad" / "garage.sqlite3").write_bytes(content)
    refused = run("--data", tmp_path / "bad", "serve", "--port", 0)
    assert refused.returncode == 2
    assert refused.stderr.count("\n") == 1


def test_a_disk_with_no_room_is_said_plainly_and_leaves_nothing(run: Run, told: Path, tmp_path: Path) -> None:
    run("--data", told, "export", tmp_path / "one")
    for command in (["export", tmp_path / "full"], ["backup", tmp_path / "full"]):
        refused = run("--data", told, *command, largest_file=100_000)
        assert refused.returncode == 2
        assert refused.stderr.count("\n") == 1
    assert list(tmp_path.glob("*full*")) == []
    assert run("--data", tmp_path / "two", "import", tmp_path / "one", largest_file=100_000).returncode == 2


def test_a_file_where_the_data_folder_should_be_is_said_plainly(run: Run, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    refused = run("--data", tmp_path / "file", "serve", "--port", 0)
    assert (refused.returncode, refused.stderr.count("\n")) == (2, 1)


def test_a_missing_file_is_said_plainly(run: Run, tmp_path: Path) -> None:
    for command in ("triage", "import", "restore"):
        refused = run(command, tmp_path / "missing")
        assert refused.returncode == 2
        assert str(tmp_path / "missing") in refused.stderr


def test_triage_reads_a_file_or_standard_input_and_answers_in_json_or_a_table(run: Run, tmp_path: Path) -> None:
    (tmp_path / "case.json").write_text(json.dumps(CASE))
    answer = json.loads(run("triage", tmp_path / "case.json", "--json").stdout)
    assert answer["roles"][0]["role"] == "boost_control"
    assert json.loads(run("triage", "--json", "-", stdin=json.dumps(CASE)).stdout) == answer
    assert "boost control" in run("triage", "-", stdin=json.dumps(CASE)).stdout.lower()


def test_triage_refuses_an_unknown_key_by_name_with_the_nearest_known_one(run: Run) -> None:
    refused = run("triage", "-", stdin=json.dumps({**CASE, "sings": {}}))
    assert refused.returncode == 2
    assert "sings" in refused.stderr
    assert "signs" in refused.stderr


@pytest.mark.parametrize(
    "arguments", [[], ["dance"], ["serve", "--port", "x"], ["serve", "--port", "65536"], ["--dat"]]
)
def test_what_is_not_understood_is_answered_with_the_way_to_say_it(run: Run, arguments: list[str]) -> None:
    refused = run(*arguments)
    assert refused.returncode == 2
    assert refused.stderr.startswith("usage: witnessmark")


@pytest.mark.parametrize(("command", "status"), [("export", 0), ("restore", 2)])
def test_how_a_command_ended_is_the_status_of_its_process(
    home: dict[str, str], told: Path, tmp_path: Path, command: str, status: int
) -> None:
    done = _as_a_process(home, ["--data", str(told), command, str(tmp_path / "one")], None)
    assert (done.returncode, done.stderr == "") == (status, status == 0)
    assert (tmp_path / "one").exists() == (status == 0)


def test_triage_reads_what_is_piped_into_it(home: dict[str, str]) -> None:
    command = [sys.executable, "-W", "error", "-m", "app", "triage", "--json", "-"]
    done = subprocess.run(command, capture_output=True, text=True, input=json.dumps(CASE), env=home, check=True)
    assert json.loads(done.stdout)["roles"][0]["role"] == "boost_control"


def test_the_installed_command_is_the_same_program() -> None:
    command = shutil.which("witnessmark", path=str(Path(sys.executable).parent))
    assert command
    said = subprocess.run([command, "--version"], capture_output=True, text=True, check=True)
    assert said.stdout == f"witnessmark {__version__}\n"


def test_an_export_whose_reader_has_had_enough_ends_quietly(told: Path, home: dict[str, str]) -> None:
    command = f'{sys.executable} -m app --data "{told}" export - | head -n 1'
    done = subprocess.run(["sh", "-c", command], capture_output=True, text=True, env=home, check=True)
    assert (done.stdout, done.stderr) == ('{"witnessmark":"entries","form":1}\n', "")
