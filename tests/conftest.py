"""Fixtures for every test: a fresh garage on a real SQLite file, and a browserless client on it."""

import gc
import os
import shutil
import sqlite3
import uuid
from collections.abc import Callable, Generator, Iterator
from contextlib import AbstractContextManager, closing, contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

import pytest
import time_machine
from hypothesis import HealthCheck, settings
from sqlalchemy import event
from starlette.testclient import TestClient

from app.main import create_app
from app.phone.cookie import PLAIN_COOKIE
from app.records import demo, devices
from app.records.devices import Credential
from app.records.entry import Entry, Outcome, Value
from app.records.garage import Garage
from app.records.logbook import now
from app.settings import Settings
from tests.once import once_in_a_run

# A timing is a benchmark, never a test: a busy machine fails none. Where CI is set the examples of a property are the
# same in each run, so that red means the change; anywhere else every run tries new ones.
settings.register_profile(
    "untimed", deadline=None, derandomize="CI" in os.environ, suppress_health_check=[HealthCheck.too_slow]
)
settings.load_profile("untimed")

Enter = Callable[..., Outcome]

#: Where single tests take longest. They begin first: none is left to one worker when the others have nothing to do.
_LONGEST = tuple(
    Path(__file__).parent / name
    for name in (
        *("browser/test_accessible.py", "browser/test_story.py", "torture/test_short.py"),
        *("browser/test_reading_away.py", "browser/test_worker.py", "browser/test_hold_test.py"),
        *("browser/test_overlay.py", "browser/test_workings.py", "browser/test_same_without_scripts.py"),
        *("browser/test_fit_to_run.py", "browser/test_accessible_away.py", "browser/test_rank.py"),
    )
)


@pytest.hookimpl(wrapper=True)
def pytest_collection() -> Generator[None, object, object]:
    """What is imported and collected stays to the end: it is not looked through for garbage again and again."""
    gc.disable()
    try:
        return (yield)
    finally:
        gc.freeze()
        gc.enable()


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    items.sort(key=lambda item: _LONGEST.index(item.path) if item.path in _LONGEST else len(_LONGEST))


def pytest_xdist_auto_num_workers() -> int:
    """One more than there are cores: browser tests wait now and then, and each further worker imports it all anew."""
    return (os.cpu_count() or 1) + 1


@pytest.fixture(scope="session")
def never_used(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The data folder of a garage that was opened once, and nothing entered: migrating takes longer than most tests."""
    return once_in_a_run(tmp_path_factory, "never-used", lambda folder: Garage.open(Settings(folder)).close())


@pytest.fixture(scope="session")
def told_tern(tmp_path_factory: pytest.TempPathFactory, never_used: Path) -> Path:
    """The data folder of a garage that holds the car `tern` and no more: hundreds of tests ask for it."""

    def tell(folder: Path) -> None:
        shutil.copytree(never_used, folder)
        with closing(Garage.open(Settings(folder))) as garage:
            _tell_tern(garage)

    return once_in_a_run(tmp_path_factory, "told-tern", tell)


@pytest.fixture
def garage(tmp_path: Path, request: pytest.FixtureRequest) -> Iterator[Garage]:
    """A garage of the test's own: empty, or with the car that it asks for."""
    held: Path = request.getfixturevalue("told_tern" if "tern" in request.fixturenames else "never_used")
    shutil.copytree(held, tmp_path / "data")
    opened = Garage.open(Settings(tmp_path / "data"))
    yield opened
    opened.close()


@pytest.fixture(scope="session")
def told_demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The data folder of a demo garage, told once and not open; take a copy."""
    at = datetime.now().astimezone()
    return once_in_a_run(tmp_path_factory, "told-demo", lambda folder: demo.fresh(folder, at).close())


@contextmanager
def held_clock() -> Iterator[datetime]:
    """The clock stands still: for whoever compares two pages, or a page with what is worked out beside it."""
    at = datetime.now().astimezone()
    with time_machine.travel(at, tick=False):
        yield at


@pytest.fixture
def enter(garage: Garage) -> Enter:
    """Hand in one entry: enter("job", "job-1", car="tern", title="Clutch")."""
    return _enter_in(garage)


def _enter_in(garage: Garage) -> Enter:
    def entered(
        kind_: str, record_: str, at_: str | None = None, device_: str = "bay phone", **fields: Value
    ) -> Outcome:
        when = at_ or now()
        outcome = garage.take(Entry(str(uuid.uuid4()), kind_, record_, fields, when, when, device_))
        assert outcome.outcome == "taken", outcome
        return outcome

    return entered


@pytest.fixture
def client(garage: Garage) -> Iterator[TestClient]:
    here = ("127.0.0.1", 50_000)
    with TestClient(create_app(garage), "http://localhost", client=here, follow_redirects=False) as opened:
        opened.cookies.set(PLAIN_COOKIE, paired(garage, "bench laptop"))
        opened.get("/pair")  # the gate knows it from now on, and a page is counted by its own questions alone
        yield opened


def paired(garage: Garage, name: str) -> str:
    """Pair a device without a browser; what its cookie holds."""
    at = datetime.now(UTC)
    credential = devices.swap(garage.engine, devices.make_link(garage.engine, at), name, at)
    assert isinstance(credential, Credential)
    return f"{credential.id}.{credential.secret}"


@pytest.fixture
def tern(garage: Garage) -> str:
    """A small car with three components, three lines and their joints, as `garage` found it; the car's id."""
    with garage.read() as db:
        assert db.exec_driver_sql("SELECT name FROM car").scalar_one() == "Tern"
    return "tern"


def _tell_tern(garage: Garage) -> None:
    enter = _enter_in(garage)
    enter("car", "tern", name="Tern", about="1.9 turbo estate", layout="direct-signal")
    for key, kind in (("compressor", "turbocharger"), ("throttle", "throttle"), ("manifold", "manifold")):
        enter("component", f"tern.{key}", car="tern", kind=kind, name=key.title(), x=20, y=20, w=90, h=40)
    enter("component", "tern.gauge", car="tern", kind="gauge", name="Boost gauge", x=20, y=120, w=90, h=40)
    lines = (
        ("coupler", "Throttle coupler", "charge", "silicone", 63.0, "compressor", "throttle", "t_bolt"),
        ("gauge_hose", "Gauge hose, manifold to gauge", "gauge", "hard_plastic", 4.0, "manifold", "gauge", "push_on"),
        ("inlet", "Throttle to manifold", "charge", "rubber", 60.0, "throttle", "manifold", "worm_drive"),
    )
    for n, (key, name, role, material, bore, start, end, hold) in enumerate(lines, 1):
        enter(
            "line",
            f"tern.{key}",
            car="tern",
            name=name,
            role=role,
            material=material,
            bore_mm=bore,
            number=n,
            from_component=f"tern.{start}",
            to_component=f"tern.{end}",
        )
        for which in ("from", "to"):
            enter("joint", f"tern.{key}.{which}", line=f"tern.{key}", end=which, hold=hold)


@dataclass
class Count:
    """How many statements were run."""

    total: int = 0


@pytest.fixture
def count_queries() -> Callable[[Garage], AbstractContextManager[Count]]:
    @contextmanager
    def counting(garage: Garage) -> Iterator[Count]:
        count = Count()

        def one(_: str) -> None:
            count.total += 1

        def watch(driver: sqlite3.Connection, *_: object) -> None:
            driver.set_trace_callback(one)

        event.listen(garage.engine, "checkout", watch)
        try:
            yield count
        finally:
            event.remove(garage.engine, "checkout", watch)
            garage.engine.dispose()  # so that no pooled connection goes on counting

    return counting
