"""Where phones hand in their entries: what is refused, what is answered, and what the answer is worth."""

import json
import sqlite3
import subprocess
import time
import urllib.request
import uuid
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from datetime import UTC, datetime
from pathlib import Path
from typing import Any
from urllib.error import URLError

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from starlette.testclient import TestClient

from app.pages.entries import MOST_ENTRIES
from app.phone.cookie import PLAIN_COOKIE
from app.records.fields import moment_text
from app.records.garage import Garage
from app.records.kinds import KINDS
from app.settings import Settings
from tests.conftest import Enter, paired
from tests.torture.server import free_port, served_by

AT = "2026-04-18T10:40:00.000Z"
Sent = dict[str, Any]


def entry(kind: str = "job", record: str = "job1", at: str = AT, **fields: object) -> Sent:
    return {
        "id": str(uuid.uuid4()),
        "kind": kind,
        "record": record,
        "version": 1,
        "fields": fields,
        "happened_at": at,
        "entered_at": at,
    }


def job(record: str = "job1", **fields: object) -> Sent:
    whole = {"car": "tern", "title": "Clutch", "opened_at": AT} | fields
    return {**entry("job", record), "fields": whole}


def hand_in(client: TestClient, *entries: Sent, headers: dict[str, str] | None = None) -> Any:
    body = json.dumps({"entries": entries})
    return client.post("/entries", content=body, headers={"Entry-Id": "first", **(headers or {})})


def outcomes(client: TestClient, *entries: Sent) -> list[str]:
    answer = hand_in(client, *entries)
    assert answer.status_code == 200
    told = answer.json()["outcomes"]
    assert [one["id"] for one in told] == [one["id"] for one in entries]
    return [one["outcome"] for one in told]


def kept(garage: Garage) -> list[str]:
    with garage.read() as db:
        return list(db.exec_driver_sql("SELECT id FROM entry WHERE kind <> 'car' ORDER BY seq").scalars())


@pytest.fixture(scope="session")
def told_tern(never_used: Path) -> Path:
    """Nothing yet: here the car is entered bare, since what is kept is counted."""
    return never_used


@pytest.fixture
def tern(enter: Enter) -> str:
    enter("car", "tern", name="Tern", layout="direct-signal")
    return "tern"


def test_each_entry_is_answered_by_its_id_and_taken_in_order(client: TestClient, garage: Garage, tern: str) -> None:
    sent = [job(), job(title="Clutch and flywheel"), entry(note="Bring gloves")]
    assert outcomes(client, *sent) == ["taken", "taken", "taken"]
    assert kept(garage) == [one["id"] for one in sent]


def test_a_retry_is_had_and_changes_nothing(client: TestClient, garage: Garage, tern: str) -> None:
    first, second = job(), job(title="Later")
    assert outcomes(client, first) == ["taken"]
    assert outcomes(client, first, second, first) == ["had", "taken", "had"]
    assert kept(garage) == [first["id"], second["id"]]


def test_a_refused_entry_holds_up_no_other(client: TestClient, garage: Garage, tern: str) -> None:
    wrong = entry("reading", "r1", car=tern, what="idle_vacuum", condition="warm", value="x", unit="inHg", taken_at=AT)
    sent = [job(), wrong, entry(note="Bring gloves")]
    answer = hand_in(client, *sent).json()["outcomes"]
    assert [one["outcome"] for one in answer] == ["taken", "refused", "taken"]
    assert answer[1]["reasons"]["value"] == "Write a number, such as 5 or 5.5."


def test_the_answer_says_from_when_pages_show_what_was_taken(client: TestClient, tern: str) -> None:
    before = client.get("/cars").text
    shown_from = hand_in(client, job()).json()["shown_from"]
    after = client.get("/cars").text
    as_of = [page.split('name="as-of" content="')[1].split('"')[0] for page in (before, after)]
    assert as_of[0] <= shown_from <= as_of[1]


@pytest.mark.parametrize(
    ("body", "status"),
    [
        (b"", 400),
        (b"{", 400),
        (b"\xff\xfe", 400),
        (b"[]", 400),
        (b'"entries"', 400),
        (b"null", 400),
        (b'{"entries": null}', 400),
        (b'{"entries": {}}', 400),
        (b'{"entries": [1]}', 400),
        (b'{"entries": [{}]}', 400),
        (b'{"entries": ' + b"[" * 100_000, 400),
        (b'{"entries": [{"id": ' + b"9" * 5000 + b"}]}", 400),
        (json.dumps({"entries": [job() for _ in range(MOST_ENTRIES + 1)]}).encode(), 413),
        (json.dumps({"entries": [job(note="n" * 1_000_000)]}).encode(), 413),
    ],
)
def test_what_is_no_list_of_entries_is_refused_as_a_whole(
    client: TestClient, garage: Garage, tern: str, body: bytes, status: int
) -> None:
    answer = client.post("/entries", content=body, headers={"Entry-Id": "first"})
    assert answer.status_code == status
    assert kept(garage) == []


@pytest.mark.parametrize(
    "change",
    [
        {"id": 5},
        {"id": "\ud800"},
        {"version": "1"},
        {"version": True},
        {"fields": []},
        {"fields": {"\udfff": 1}},
        {"record": None},
    ],
)
def test_one_misshapen_entry_leaves_none_of_them_taken(
    client: TestClient, garage: Garage, tern: str, change: Sent
) -> None:
    assert hand_in(client, job(), {**job("job2"), **change}).status_code == 400
    assert kept(garage) == []


def test_the_entry_id_header_is_needed(client: TestClient, garage: Garage, tern: str) -> None:
    assert client.post("/entries", json={"entries": [job()]}).status_code == 400
    assert kept(garage) == []


@pytest.mark.parametrize(
    "headers",
    [
        {"Sec-Fetch-Site": "cross-site"},
        {"Sec-Fetch-Site": "same-site"},
        {"Origin": "http://elsewhere.example"},
        {"Origin": "null"},
        {"Sec-Fetch-Site": "cross-site", "Origin": "http://localhost"},
    ],
)
def test_what_another_site_sends_is_not_taken(
    client: TestClient, garage: Garage, tern: str, headers: dict[str, str]
) -> None:
    assert hand_in(client, job(), headers=headers).status_code == 403
    assert kept(garage) == []


def test_our_own_pages_are_believed(client: TestClient, tern: str) -> None:
    assert hand_in(client, job(), headers={"Sec-Fetch-Site": "same-origin"}).status_code == 200
    assert hand_in(client, job("job2"), headers={"Origin": "http://localhost"}).status_code == 200


_ODD = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(),
    st.floats(),
    st.text(st.characters(), max_size=20),
    st.sampled_from(["tern", "job1", AT, "yes", "\ud800", "\x00", "9" * 400, 10**400, -0.0, float("inf")]),
)
_FIELD_NAMES = sorted({name for kind in KINDS.values() for name in kind.field_names})
_ODD_FIELDS = st.dictionaries(st.one_of(st.sampled_from(_FIELD_NAMES), st.text(st.characters(), max_size=5)), _ODD)
_KIND = st.sampled_from(sorted(KINDS))


@st.composite
def _odd_entry(draw: st.DrawFn) -> Sent:
    """An entry of which a part or two are odd: what is odd all over is turned away at the first of them."""
    one = {**entry(draw(_KIND), draw(st.sampled_from(["tern", "job1", "new"]))), "fields": draw(_ODD_FIELDS)}
    for name in draw(st.lists(st.sampled_from(sorted(one)), max_size=2)):
        one[name] = draw(_ODD)
    return one


_ODD_ENTRY = _odd_entry()
_ANY_JSON = st.recursive(_ODD, lambda inner: st.lists(inner) | st.dictionaries(st.text(), inner), max_leaves=8)


@settings(max_examples=100, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(body=st.one_of(st.fixed_dictionaries({"entries": st.lists(_ODD_ENTRY, max_size=3)}), _ANY_JSON))
def test_whatever_is_sent_is_answered_and_never_with_a_servers_error(
    client: TestClient, tern: str, body: object
) -> None:
    answer = client.post("/entries", content=json.dumps(body), headers={"Entry-Id": "first"})
    assert answer.status_code in {200, 400, 413}
    if answer.status_code == 200:
        assert isinstance(body, dict)
        assert [one["id"] for one in answer.json()["outcomes"]] == [one["id"] for one in body["entries"]]


def test_two_phones_fields_merge_the_later_entered_wins_and_the_loser_is_in_the_history(
    client: TestClient, garage: Garage, tern: str
) -> None:
    mine, theirs = ({"Cookie": f"{PLAIN_COOKIE}={paired(garage, name)}"} for name in ("my own phone", "their phone"))
    client.cookies.clear()
    hand_in(client, job(title="Clutch"), headers=mine)
    late, early = "2026-04-18T10:50:00.000Z", "2026-04-18T10:45:00.000Z"
    hand_in(client, entry(at=late, title="Clutch and flywheel"), headers=theirs)
    # This phone had no signal: what it entered earlier arrives later.
    assert hand_in(client, entry(at=early, title="Clutch only", note="Bring gloves"), headers=mine).status_code == 200
    with garage.read() as db:
        stands = db.exec_driver_sql("SELECT title, note FROM job WHERE id = 'job1'").one()
    assert tuple(stands) == ("Clutch and flywheel", "Bring gloves")
    told = client.get("/records/job/job1/history", headers=mine).text
    assert "Clutch only" in told
    assert "Clutch and flywheel" in told
    assert "this device" in told
    assert "their phone" in told


def test_on_a_phone_whose_clock_is_ahead_what_was_said_last_still_stands(
    client: TestClient, garage: Garage, tern: str
) -> None:
    # Six minutes ahead: what it entered just now is more than is believed, what it entered before that is not.
    now = time.time()

    def at(minutes: float) -> str:
        return moment_text(datetime.fromtimestamp(now + minutes * 60, UTC))

    hand_in(client, entry(at=at(-60), car=tern, title="Opened", opened_at=at(-60)))
    sent = [entry(at=at(4.5), title="Said first"), entry(at=at(6), title="Said last"), entry(at=at(6.1), title="Over")]
    assert outcomes(client, *sent) == ["taken"] * 3
    with garage.read() as db:
        assert db.exec_driver_sql("SELECT title FROM job WHERE id = 'job1'").scalar() == "Over"


@contextmanager
def _alive(data: Path) -> Iterator[tuple[str, subprocess.Popen[bytes]]]:
    port = free_port()
    process = subprocess.Popen(served_by(data, port), stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    address = f"http://127.0.0.1:{port}"
    try:
        while process.poll() is None:
            with suppress(URLError):
                urllib.request.urlopen(address + "/pair", timeout=5).close()  # noqa: S310  # our own
                break
        yield address, process
    finally:
        process.kill()
        process.wait()


def test_what_was_answered_is_on_the_disk_even_if_the_server_dies_that_moment(tmp_path: Path) -> None:
    data = tmp_path / "data"
    with _alive(data) as (address, process):
        sent = [entry("car", "tern", name="Tern", layout="direct-signal"), *(job(f"job{n}") for n in range(40))]
        with closing(Garage.open(Settings(data))) as beside:
            cookie = f"{PLAIN_COOKIE}={paired(beside, 'bay phone')}"
        headers = {"Entry-Id": "first", "Content-Type": "application/json", "Cookie": cookie}
        asked = urllib.request.Request(address + "/entries", json.dumps({"entries": sent}).encode(), headers)  # noqa: S310
        with urllib.request.urlopen(asked, timeout=30) as answer:  # noqa: S310
            answered = [one["id"] for one in json.load(answer)["outcomes"] if one["outcome"] == "taken"]
            process.kill()  # before the answer's connection is even closed
        process.wait()
    assert len(answered) == 41
    with closing(sqlite3.connect(data / "garage.sqlite3")) as record:
        assert [row[0] for row in record.execute("SELECT id FROM entry ORDER BY seq")] == answered
