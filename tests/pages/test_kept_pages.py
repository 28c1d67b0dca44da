"""A page whose read model is kept shows, after every sort of entry it depends on, what one read anew would show.

Read anew means here: by the same program out of a copy of the garage, of which nothing was ever kept.
"""

import re
import shutil
from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass, replace
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from app.main import create_app
from app.phone.cookie import PLAIN_COOKIE
from app.records.entry import Value
from app.records.garage import Garage
from app.records.log_answers import _ANSWERS, MOST
from app.records.logbook import now
from app.records.traces import trace_row
from app.settings import Settings
from tests.conftest import _enter_in, held_clock, paired

LINE, TICKET, LOG = "tern.throttle_coupler", "tern.boost-wanders", "tern.drive-2"
PLAN, MONEY, SHEET = "/cars/tern/plan", "/cars/tern/money", "/cars/tern/build-sheet"
READINGS, DRIFT = "/cars/tern/readings", "/cars/tern/readings/fuel_trim_idle/drift?condition=warm"
GAP = "/stopgaps/tern.breather-tee-stopgap/substitutes"
COMPARE, INLET = (f"/cars/tern/compare?at=tern.{line}" for line in ("throttle_coupler", "compressor_inlet"))
HOSES = "/cars/tern/hoses/list"
LABELS = f"/labels?for=line/{LINE}&for=part/tern.old-coupler"
SUSPECT, CASE = f"/tickets/{TICKET}/suspects/{LINE}", f"/tickets/{TICKET}"
SHOWS, CHART, COLUMNS = f"/logs/{LOG}/shows", f"/logs/{LOG}", f"/logs/{LOG}/columns"
OVER, AROUND = f"/logs/compare?a={LOG}&b=tern.drive-1", "/cars/tern/before-after?job=tern.breather-tee"
#: Stands for the moment at which it is entered.
MOMENT = "now"

TRIM: dict[str, Value] = {
    "car": "tern",
    "what": "fuel_trim_idle",
    "condition": "warm",
    "value": 9.0,
    "unit": "%",
    "taken_at": MOMENT,
}

BOOST: dict[str, Value] = {
    "car": "tern",
    "what": "peak_boost",
    "condition": "full_throttle",
    "spread": 0.04,
    "unit": "bar",
    "basis": "gauge",
    "altitude_m": 140.0,
}
TARGET: dict[str, Value] = {
    "car": "tern",
    "curve": "[[1800.0,0.2],[6000.0,0.3]]",
    "tolerance": 0.02,
    "boost_limit": 0.4,
    "unit": "bar",
    "basis": "gauge",
    "altitude_m": 140.0,
}

#: A page, and what is entered: kind, record and fields.
CASES: list[tuple[str, str, str, dict[str, Value]]] = [
    (PLAN, "part", "tern.cooler", {"state": "here", "arrived_on": "2026-01-02"}),
    (PLAN, "stage", "tern.track", {"name": "For the track, and back home"}),
    (PLAN, "need", "tern.tune.actuator-hose", {"void_reason": "Not needed after all"}),
    (PLAN, "tool", "code_reader", {"tool": "code_reader", "owned": False}),
    (MONEY, "part", "tern.cooler", {"price": 77.5, "currency": "EUR"}),
    (MONEY, "stage", "tern.cooled", {"name": "Cooler than before"}),
    (SHEET, "line", LINE, {"part": "Coupler of five plies"}),
    (SHEET, "stopgap", "tern.breather-tee-stopgap", {"void_reason": "Never was"}),
    (SHEET, "part", "tern.cooler", {"name": "A larger cooler"}),
    (READINGS, "reading", "new-trim", TRIM),
    (READINGS, "baseline", "tern.fuel_trim_idle.warm", {
        "car": "tern", "what": "fuel_trim_idle", "condition": "warm", "centre": 1.0, "spread": 0.2, "unit": "%",
    }),
    (DRIFT, "reading", "new-trim", TRIM),
    (DRIFT, "job", "tern.expansion-hose", {"title": "Another title"}),
    (GAP, "stopgap", "tern.breather-tee-stopgap", {"part_bore_mm": 63.0}),
    (GAP, "part", "tern.old-coupler", {"bore_mm": 12.0, "length_mm": 180.0}),
    (GAP, "line", "tern.can_to_elbow", {"bore_mm": 12.0, "length_mm": 181.0}),
    (COMPARE, "part", "tern.coupler-63", {"bore_mm": 61.0}),
    (COMPARE, "stage", "tern.stage.inlet", {"power_kw": 301.0}),
    (INLET, "car", "tern", {"altitude_m": 2500.0}),
    (COMPARE, "line", LINE, {"length_mm": 333.0}),
    (COMPARE, "baseline", "tern.peak_boost.full_throttle", BOOST | {"centre": 0.55}),
    (HOSES, "finding", "new-crack", {
        "car": "tern", "line": LINE, "what": "Cracked through", "seen_at": MOMENT, "weight": "act",
    }),
    (LABELS, "line", LINE, {"name": "Another coupler"}),
    (LABELS, "part", "tern.old-coupler", {"name": "An older coupler"}),
    (SUSPECT, "sign", "tern.boost-wanders.hiss", {"outcome": "under_boost"}),
    (CASE, "sign", "tern.boost-wanders.hiss", {"outcome": "under_boost"}),
    (CASE, "direct_check", "new-look", {
        "ticket": TICKET, "line": LINE, "method": "look_and_feel", "result": "sound", "done_at": MOMENT,
    }),
    (SHOWS, "ticket", TICKET, {"what": "It wanders"}),
    (SHOWS, "baseline", "tern.peak_boost.full_throttle", BOOST | {"centre": 0.55}),
    (SHOWS, "trace", LOG, {"ambient_kpa": 90.0}),
    (CHART, "boost_target", "tern.boost", TARGET),
    (CHART, "trace", LOG, {"note": "Two aboard"}),
    (COLUMNS, "trace", LOG, {"name": "another.csv"}),
    (AROUND, "trace", LOG, {"note": "Two aboard"}),
    (AROUND, "trace", LOG, {"void_reason": "Not this car"}),
]  # fmt: skip


@dataclass
class Kept:
    """The demo's garage as one program serves it, and a copy of it served by another."""

    garage: Garage
    cookie: str
    client: TestClient
    folder: Path

    def page(self, address: str) -> str:
        return _text(self.client, address)

    def anew(self, address: str) -> str:
        shutil.copytree(self.garage.settings.data, self.folder)
        with closing(Garage.open(Settings(self.folder))) as copy, _client(copy, self.cookie) as client:
            return _text(client, address)


def _client(garage: Garage, cookie: str) -> TestClient:
    client = TestClient(create_app(garage), "http://localhost", client=("127.0.0.1", 5))
    client.cookies.set(PLAIN_COOKIE, cookie)
    return client


def _text(client: TestClient, address: str) -> str:
    """A page but for what is new with every look: ids not yet used, and the moment."""
    answer = client.get(address)
    assert answer.status_code == 200, answer.text
    ids = re.sub(r"[0-9a-f]{8}-[0-9a-f]{4}-4[0-9a-f]{3}-a[0-9a-f]{3}-[0-9a-f]{12}", "<id>", answer.text)
    return re.sub(r'(name="as-of" content=)"[^"]*"', r"\1", ids)


@pytest.fixture
def kept(told_demo: Path, tmp_path: Path) -> Iterator[Kept]:
    shutil.copytree(told_demo, tmp_path / "data")
    with (
        held_clock(),
        closing(Garage.open(Settings(tmp_path / "data"))) as garage,
    ):  # some say the minute they were made
        cookie = paired(garage, "bench laptop")
        with _client(garage, cookie) as client:
            yield Kept(garage, cookie, client, tmp_path / "copy")


@pytest.mark.parametrize(("address", "kind", "record", "fields"), CASES)
def test_a_kept_page_follows_every_entry_it_depends_on(
    kept: Kept, address: str, kind: str, record: str, fields: dict[str, Value]
) -> None:
    before = [kept.page(address), kept.page(address)]
    assert before[0] == before[1]
    fields = {name: now() if value == MOMENT else value for name, value in fields.items()}
    _enter_in(kept.garage)(kind, record, **fields)
    after = kept.page(address)
    assert after != before[0], "this entry does not matter here, and shows nothing"
    assert after == kept.anew(address)


@pytest.mark.parametrize("address", [SHOWS, CHART, OVER, AROUND])
def test_a_log_read_with_other_columns_shows_something_else(kept: Kept, address: str) -> None:
    before = kept.page(address)
    with kept.garage.read() as db:
        log = trace_row(db, LOG)
    assert log is not None
    assert log.form is not None
    columns = tuple(
        replace(one, channel="", unit="") if one.channel in {"manifold_pressure", "road_speed"} else one
        for one in log.form.columns
    )
    _enter_in(kept.garage)("trace", LOG, columns=replace(log.form, columns=columns).as_text())
    after = kept.page(address)
    assert after != before
    assert after == kept.anew(address)


def test_what_is_kept_of_logs_stays_small_however_much_is_asked(kept: Kept) -> None:
    for n in range(MOST + 5):
        kept.page(f"{CHART}?from={n / 10}&to={n / 10 + 5}")
    assert len(_ANSWERS) <= MOST


def test_a_log_whose_file_comes_in_later_is_read_then(kept: Kept) -> None:
    with kept.garage.engine.connect() as db:
        taken = db.exec_driver_sql("SELECT * FROM log_file WHERE id = ?", (LOG,)).one()
        db.exec_driver_sql("DELETE FROM log_file WHERE id = ?", (LOG,))
    assert "not in this garage" in kept.page(SHOWS)
    assert "not in this garage" in kept.page(AROUND)
    with kept.garage.engine.connect() as db:
        db.exec_driver_sql("INSERT INTO log_file VALUES (?, ?, ?, ?, ?)", tuple(taken))
    assert "not in this garage" not in kept.page(SHOWS)
    assert "not in this garage" not in kept.page(AROUND)
