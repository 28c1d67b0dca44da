"""Logs: taken in by a form, their columns confirmed, shown, remembered by their logger, refused where they are none."""

import hashlib
import io
import re
import zlib
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from starlette.testclient import TestClient

from app.records import demo_log, trace_cache, traces
from app.records.garage import Garage
from app.records.log_files import MOST_BYTES, PIECE, NoFileError, inflated, parts_of, pieces_of
from app.records.traces import NoTraceError, trace_of
from app.records.transfer import bring_in, export, export_car, lines_of
from app.settings import Settings
from app.traces.file_form import MOST_COLUMNS
from app.traces.read import read
from app.traces.sniff import sniff
from tests.conftest import Count, Enter

LOG = "time;Engine speed (rpm);MAP (kPa);Baro (kPa);Note\n" + "".join(
    f"{n / 10:.1f};{800 + n};{35 + n % 5};98;\n".replace(".", ",") for n in range(100)
)
BOX = re.compile(r'<select id="(column_\d+|clock|clock_column|date_column)".*?</select>', re.DOTALL)
CHOSEN = re.compile(r'<option value="([^"]*)" selected>')


def send(client: TestClient, text: str | bytes, name: str = "drive.csv", car: str = "tern", **fields: str) -> Any:
    raw = text.encode() if isinstance(text, str) else text
    return client.post(f"/cars/{car}/logs", files={"file": (name, raw, "text/csv")}, data=fields)


def boxes(client: TestClient, address: str) -> dict[str, str]:
    """What stands in the form that asks for the columns."""
    text = client.get(address).text
    found = {}
    for box in BOX.finditer(text):
        chosen = CHOSEN.search(box[0])
        found[box[1]] = chosen[1] if chosen else ""
    for name in ("entry", "name", "begun_at", "logger_name", "ambient_kpa"):
        value = re.search(rf'name="{name}"[^>]*? value="([^"]*)"', text)
        assert value is not None
        found[name] = value[1]
    hidden = r'<input type="hidden" name="(column_\d+|delimiter|decimal|encoding)" value="([^"]*)">'
    return found | dict(re.findall(hidden, text))


@pytest.fixture
def taken(client: TestClient, tern: str) -> str:
    """The id of a log whose columns were confirmed as recognised."""
    to = send(client, LOG).headers["location"]
    answer = client.post(to, data=boxes(client, to))
    assert answer.status_code == 303, answer.text
    return str(answer.headers["location"]).removeprefix("/logs/")


def test_a_file_is_kept_its_columns_are_asked_for_and_then_it_is_shown(
    client: TestClient, garage: Garage, tern: str
) -> None:
    to = send(client, LOG).headers["location"]
    assert re.fullmatch(r"/logs/[\w-]+/columns", to)
    asked = client.get(to).text
    for said in ("apart by semicolons, decimal comma, figures from line 2 on", "<td>0,0</td>", "drive.csv"):
        assert said in asked
    found = boxes(client, to)
    assert [found[f"column_{n}"] for n in range(1, 5)] == [
        *("engine_speed|rpm", "manifold_pressure|kPa", "barometer|kPa", ""),
    ]
    log = to.split("/")[2]
    assert client.get(f"/logs/{log}").headers["location"] == to
    with pytest.raises(NoTraceError, match="Nobody said yet"):
        trace_of(garage, log)
    assert client.post(to, data=found).headers["location"] == f"/logs/{log}"
    shown = client.get(f"/logs/{log}").text
    for said in ("Engine speed", "800 to 899 rpm", "In every row", "drive.csv", "0.2 min", ">100<"):
        assert said in shown
    assert "98.0 kPa. No barometer was read, so the log’s own counts." in shown.replace("&#39;", "’")
    made = trace_of(garage, log)
    assert made.channels["engine_speed"].tolist() == [800.0 + n for n in range(100)]
    assert "drive.csv" in client.get("/cars/tern/logs").text


def test_the_next_file_of_a_known_logger_is_read_without_asking(client: TestClient, garage: Garage, taken: str) -> None:
    again = send(client, LOG.replace(";98;", ";97;"), "next.csv")
    assert re.fullmatch(r"/logs/[\w-]+", again.headers["location"])
    with garage.read() as db:
        (logger,) = traces.loggers(db)
    assert (logger.logs, logger.name) == (2, "Logger of Tern")
    assert "Logger of Tern" in client.get("/loggers").text


def test_of_a_known_logger_it_is_asked_again_where_the_file_can_not_be_read_so(client: TestClient, taken: str) -> None:
    odd = LOG.splitlines()[0] + "\nx;1;2;3;\n" + "0,0;1;2;3;\n"
    assert send(client, odd).status_code == 303
    worse = LOG.splitlines()[0] + "\n" + "2026-04-18 10:00:00;1;2;3;\n2026-04-18 10:00:01;1;2;3;\n"
    assert send(client, worse).headers["location"].endswith("/columns")


def test_a_struck_out_logger_is_asked_about_again(client: TestClient, garage: Garage, taken: str) -> None:
    with garage.read() as db:
        (logger,) = traces.loggers(db)
    client.post(f"/records/logger/{logger.id}/void", data={"void_reason": "Sold"})
    assert send(client, LOG.replace(";98;", ";97;")).headers["location"].endswith("/columns")


def test_what_is_odd_in_a_file_is_counted_and_named(client: TestClient, tern: str) -> None:
    lines = LOG.splitlines()
    lines[5] = "0,4;=1+1;35;98;"
    lines[7] = "0,6;800"
    to = send(client, "\n".join(lines)).headers["location"]
    log = client.post(to, data=boxes(client, to)).headers["location"]
    shown = client.get(log).text
    for said in ("1 row left out, 1 cell without a figure", "“=1+1” is no figure.", "it has 2 columns and not 5."):
        assert said in shown
    assert "1 row and 1 cell could not be read" in client.get("/cars/tern/logs").text


def test_the_most_columns_that_are_read_can_all_be_confirmed(client: TestClient, tern: str) -> None:
    names = ["time", *(f"own {n}" for n in range(MOST_COLUMNS - 1))]
    rows = [",".join([str(n)] * MOST_COLUMNS) for n in range(5)]
    to = send(client, "\n".join([",".join(names), *rows])).headers["location"]
    assert client.post(to, data=boxes(client, to)).status_code == 303


#: Thousands apart by commas, which look like fractions.
THOUSANDS = "time;Engine speed (rpm);Load\n" + "".join(f"{n};{n + 1},200;5\n" for n in range(9))


def test_a_guess_that_is_wrong_is_overruled_and_so_remembered(client: TestClient, garage: Garage, tern: str) -> None:
    to = send(client, THOUSANDS.replace("Load", "Нагрузка").encode("cp1251")).headers["location"]
    assert "Windows, Western (1252), apart by semicolons, decimal comma" in client.get(to).text
    said = f"{to}?delimiter=%3B&decimal=.&encoding=cp1251"
    asked = client.get(said).text
    assert "Windows, Cyrillic (1251), apart by semicolons, decimal point" in asked
    assert '<th scope="col">Нагрузка</th>' in asked
    answer = client.post(to, data=boxes(client, said))
    assert answer.status_code == 303
    log = answer.headers["location"]
    assert "9 cells without a figure" in client.get(log).text  # 1,200 is no figure, and said to be none
    assert "decimal point" in client.get(f"{log}/columns").text  # asked again, it is as it was read
    again = send(client, THOUSANDS.replace("Load", "Нагрузка").replace(";5", ";6").encode("cp1251"))
    assert re.fullmatch(r"/logs/[\w-]+", again.headers["location"])
    made = trace_of(garage, again.headers["location"].removeprefix("/logs/"))
    assert np.isnan(made.channels["engine_speed"]).all()
    assert made.channels["Нагрузка"].tolist() == [6.0] * 9


@pytest.mark.parametrize(
    ("said", "why"), [("delimiter=%7C", "one column only"), ("encoding=utf-7", "not known"), ("decimal=x", "not known")]
)
def test_what_a_file_can_not_be_read_by_is_said_and_the_guess_stands(
    client: TestClient, tern: str, said: str, why: str
) -> None:
    to = send(client, LOG).headers["location"]
    answer = client.get(f"{to}?{said}")
    assert answer.status_code == 422
    assert why in answer.text
    assert "apart by semicolons, decimal comma" in answer.text
    name, _, value = said.partition("=")
    answer = client.post(to, data=boxes(client, to) | {name: value.replace("%7C", "|")})
    assert answer.status_code == 422
    assert why in answer.text


def test_a_day_beside_the_time_is_part_of_the_clock_and_can_be_taken_from_it(client: TestClient, tern: str) -> None:
    text = "Date,Time,rpm\n" + "".join(f"2026-04-18,10:40:{n:02},{800 + n}\n" for n in range(9))
    to = send(client, text).headers["location"]
    found = boxes(client, to)
    assert (found["date_column"], found["clock_column"], found["clock"]) == ("0", "1", "iso")
    assert found["begun_at"].startswith("2026-04-18T10:40")
    assert "not the one that tells the time" in client.post(to, data=found | {"date_column": "1"}).text
    assert "how it is written" in client.post(to, data=found | {"clock": "hms"}).text
    log = client.post(to, data=found | {"date_column": "", "clock": "hms"}).headers["location"]
    assert "1 cell" not in client.get(log).text
    found = boxes(client, to)
    assert (found["date_column"], found["clock"]) == ("", "hms")


@pytest.mark.parametrize(
    ("body", "why"),
    [
        (b"", "This file is empty."),
        (b"time,rpm\n", "no row of figures"),
        (b"rpm\n1\n2\n", "one column only"),
        (b"PK\x03\x04aaaa", "Save the table as CSV"),
        (bytes(range(256)) * 30, "no text file"),
        (b"a,b\nx,y\n", "no row of figures"),
    ],
)
def test_what_is_no_log_is_refused_at_its_box_and_leaves_nothing(
    client: TestClient, garage: Garage, tern: str, body: bytes, why: str
) -> None:
    answer = send(client, body)
    assert answer.status_code == 422
    assert why in answer.text
    script = client.post("/cars/tern/logs", files={"file": ("x", body)}, headers={"accept": "application/json"})
    assert (script.status_code, why in script.json()["why"]) == (422, True)
    with garage.read() as db:
        assert traces.traces_of(db, tern) == []
        assert db.exec_driver_sql("SELECT count(*) FROM log_file").scalar() == 0


def test_a_file_beyond_the_limit_is_refused_before_it_is_read(client: TestClient, tern: str) -> None:
    # Two hundred megabytes are said to come; not one of them is sent.
    headers = {"content-length": "200000000", "content-type": "multipart/form-data; boundary=x"}
    answer = client.post("/cars/tern/logs", content=b"--x\r\n", headers=headers)
    assert answer.status_code == 413
    assert f"larger than {MOST_BYTES // 1_000_000} MB" in answer.text


def test_a_sender_that_says_no_length_is_told_to(client: TestClient, tern: str) -> None:
    def body() -> Iterator[bytes]:
        yield b"--x\r\n"

    answer = client.post("/cars/tern/logs", content=body(), headers={"content-type": "multipart/form-data; boundary=x"})
    assert answer.status_code == 411


def test_no_file_and_the_same_file_again_are_said(client: TestClient, taken: str) -> None:
    empty = client.post("/cars/tern/logs", files={"file": ("", b"")})
    assert (empty.status_code, "Choose a file." in empty.text) == (422, True)
    again = send(client, LOG, "again.csv")
    assert (again.status_code, "This file is here already, as “drive.csv”." in again.text) == (422, True)


def test_a_form_sent_twice_makes_one_log(client: TestClient, garage: Garage, tern: str) -> None:
    form = {"entry": "0a8cf5d6-4f3c-4a58-a9f4-6b1b4d3d9a10", "record": "log1"}
    assert send(client, LOG, **form).status_code == send(client, LOG, **form).status_code == 303
    with garage.read() as db:
        assert len(traces.traces_of(db, tern)) == 1
    other = send(client, LOG.replace(";98;", ";97;"), **form)
    assert (other.status_code, "Another file was sent under this form" in other.text) == (422, True)


@pytest.mark.parametrize(
    ("change", "why"),
    [
        ({"column_2": "engine_speed|rpm"}, "both be the channel engine speed"),
        ({"column_1": "manifold_pressure|bar gauge", "column_2": "", "column_3": ""}, "above the air around"),
        ({"column_1": "knock|1"}, "no such channel"),
        ({"clock": "iso"}, "No row of figures could be read"),
        ({"clock": "sundial"}, "This clock is not known"),
        ({"name": ""}, "This is needed"),
        ({"begun_at": "2190-01-01T10:00"}, "still to come"),
        ({"begun_at": "soon"}, "Write a date and a time"),
        ({"ambient_kpa": "high", "column_2": "manifold_pressure|bar gauge"}, "98.5"),
    ],
)
def test_what_can_not_be_said_of_the_columns_is_refused_and_kept_in_the_form(
    client: TestClient, garage: Garage, tern: str, change: dict[str, str], why: str
) -> None:
    to = send(client, LOG).headers["location"]
    answer = client.post(to, data=boxes(client, to) | {"ambient_kpa": "", "note": "Up the hill"} | change)
    assert answer.status_code == 422
    assert re.search(why, answer.text)
    assert "Up the hill" in answer.text
    with garage.read() as db:
        (log,) = traces.traces_of(db, tern)
        assert (log.columns, traces.loggers(db)) == (None, [])


def test_a_gauge_s_pressure_takes_the_air_that_was_said(client: TestClient, garage: Garage, tern: str) -> None:
    to = send(client, LOG).headers["location"]
    gauge = {"column_2": "manifold_pressure|kPa gauge", "column_3": "", "ambient_kpa": "95,5"}
    log = client.post(to, data=boxes(client, to) | gauge).headers["location"].removeprefix("/logs/")
    assert trace_of(garage, log).channels["manifold_pressure"][0] == 35 + 95.5


def test_the_day_a_log_tells_is_when_it_began(client: TestClient, garage: Garage, tern: str) -> None:
    text = "time,rpm\n2024-04-18T10:40:05.000Z,800\n2024-04-18T10:40:06.000Z,801\n"
    to = send(client, text).headers["location"]
    with garage.read() as db:
        (log,) = traces.traces_of(db, tern)
    assert log.begun_at == "2024-04-18T10:40:05.000Z"
    client.post(to, data=boxes(client, to))
    assert send(client, "time,rpm\n1980-01-06 00:00:00,800\n1980-01-06 00:00:01,801\n").status_code == 303
    with garage.read() as db:
        newest = traces.traces_of(db, tern)[0]
    assert newest.begun_at > "2024"  # a clock that was never set tells no day


def test_the_file_comes_back_as_it_was_sent(client: TestClient, taken: str) -> None:
    answer = client.get(f"/logs/{taken}/file")
    assert answer.content == LOG.encode()
    assert "attachment" in answer.headers["content-disposition"]


def test_a_pressure_at_the_ceiling_of_one_byte_is_said_to_be(client: TestClient, tern: str) -> None:
    to = send(client, "time,MAP (kPa)\n0,100\n1,255\n2,255\n").headers["location"]
    assert (
        "the most this car’s data can say"
        in client.get(client.post(to, data=boxes(client, to)).headers["location"]).text
    )


def test_figures_are_kept_at_hand_and_made_again_when_they_are_gone_or_broken(
    garage: Garage, client: TestClient, taken: str
) -> None:
    first = trace_of(garage, taken)
    (kept,) = garage.settings.cache.iterdir()
    for spoil in (kept.unlink, lambda: kept.write_bytes(kept.read_bytes()[:200]), lambda: kept.write_bytes(b"")):
        spoil()
        again = trace_of(garage, taken)
        assert again.channels.keys() == first.channels.keys()
        assert all(np.array_equal(again.channels[name], first.channels[name]) for name in first.channels)
        assert kept.exists()


def test_what_a_log_was_read_as_before_is_not_kept_at_hand(client: TestClient, garage: Garage, taken: str) -> None:
    client.post(f"/logs/{taken}/columns", data=boxes(client, f"/logs/{taken}/columns") | {"column_3": ""})
    assert len(list(garage.settings.cache.iterdir())) == 1
    assert "barometer" not in trace_of(garage, taken).channels


def test_a_log_is_exported_with_its_file_and_taken_in_again_byte_for_byte(
    client: TestClient, garage: Garage, taken: str, tmp_path: Path
) -> None:
    out = io.StringIO()
    export(garage, out)
    other = Garage.open(Settings(tmp_path / "other"))
    lines = [line.encode() for line in out.getvalue().splitlines(keepends=True)]
    assert bring_in(other, lines_of(lines)).refused == []
    again = io.StringIO()
    export(other, again)
    assert again.getvalue() == out.getvalue()
    assert bring_in(other, lines_of(lines)).taken == 0
    assert trace_of(other, taken).channels["engine_speed"][99] == 899
    other.close()


def test_a_car_s_archive_holds_its_logs_their_logger_and_no_other_car_s(
    client: TestClient, garage: Garage, enter: Enter, taken: str, tmp_path: Path
) -> None:
    enter("car", "heron", name="Heron", layout="direct-signal")
    send(client, LOG.replace(";98;", ";90;"), car="heron")
    out = io.StringIO()
    export_car(garage, "tern", out, without_prices=False)
    other = Garage.open(Settings(tmp_path / "other"))
    assert bring_in(other, lines_of([line.encode() for line in out.getvalue().splitlines(keepends=True)])).refused == []
    with other.read() as db:
        assert db.exec_driver_sql("SELECT count(*) FROM log_file").scalar() == 1
        assert len(traces.loggers(db)) == 1
    assert trace_of(other, taken).seconds == pytest.approx(9.9)
    other.close()


@pytest.mark.parametrize(
    "line",
    [
        '{"log_file":"x","sha256":"y","size":-1,"pieces":1,"received_at":"2026-04-18T10:40:00.000Z"}',
        '{"log_file":"x","sha256":"y","size":10,"pieces":9,"received_at":"2026-04-18T10:40:00.000Z"}',
        '{"log_file":"x","sha256":"y","size":"10","pieces":1,"received_at":"2026-04-18T10:40:00.000Z"}',
        '{"log_file":"x","sha256":"y","size":true,"pieces":1,"received_at":"2026-04-18T10:40:00.000Z"}',
        '{"log_file":"/x","sha256":"y","size":1,"pieces":1,"received_at":"2026-04-18T10:40:00.000Z"}',
        '{"log_file":"x","sha256":"y","size":1,"pieces":1,"received_at":"today"}',
        '{"log_piece":"nowhere","number":0,"deflated":"eJwDAAAAAAE="}',
        '{"log_piece":"nowhere","number":0,"deflated":"AAAA"}',
        '{"log_piece":"nowhere","number":0}',
    ],
)
def test_a_line_that_is_no_file_is_refused_with_its_number(garage: Garage, line: str) -> None:
    found = bring_in(garage, lines_of([b'{"witnessmark":"entries","form":1}\n', line.encode() + b"\n"]))
    assert [number for number, _ in found.refused] == [2]


def test_a_piece_never_grows_beyond_what_a_piece_can_be() -> None:
    bomb = zlib.compress(b"0" * (PIECE * 50))
    with pytest.raises(NoFileError):
        inflated(bomb)
    with pytest.raises(NoFileError):
        inflated(zlib.compress(b"1") + b"more")


def test_a_file_that_is_not_whole_or_not_as_sent_is_said_to_be(client: TestClient, garage: Garage, taken: str) -> None:
    with garage.read() as db:
        assert hashlib.sha256(b"".join(parts_of(db, taken))).hexdigest() == traces.trace_row(db, taken).sha256  # type: ignore[union-attr]
        assert next(iter(pieces_of(db, taken))).number == 0
    with garage.engine.connect() as connection:
        connection.exec_driver_sql("UPDATE log_file SET sha256 = 'x'")
        connection.commit()
    with pytest.raises(NoTraceError, match="not as it was sent"):
        trace_of(garage, taken)
    with garage.engine.connect() as connection:
        connection.exec_driver_sql("DELETE FROM log_piece")
        connection.commit()
    with pytest.raises(NoTraceError, match="not come in whole"):
        trace_of(garage, taken)
    with pytest.raises(NoTraceError, match="no such log"):
        trace_of(garage, "nothing")


def test_a_list_of_logs_takes_as_many_questions_as_a_short_one(
    client: TestClient, garage: Garage, taken: str, count_queries: Callable[[Garage], AbstractContextManager[Count]]
) -> None:
    with count_queries(garage) as few:
        client.get("/cars/tern/logs")
    for n in range(4):
        send(client, LOG.replace(";98;", f";9{n};"))
    with count_queries(garage) as many:
        client.get("/cars/tern/logs")
    assert many.total == few.total


@pytest.mark.parametrize("path", ["/logs/none", "/logs/none/columns", "/logs/none/file", "/cars/none/logs"])
def test_what_is_not_there_is_said_not_to_be(client: TestClient, path: str) -> None:
    assert client.get(path).status_code == 404


def test_the_demo_s_logs_read_as_they_were_meant() -> None:
    text = demo_log._drive(0.16).encode()
    assert len(text) < 200_000
    assert sniff(text).form == demo_log.FORM
    made = read([text], demo_log.FORM)
    assert (made.bad_rows, made.bad_cells, list(made.notes)) == (0, 0, [])
    healthy = read([demo_log._drive(0).encode()], demo_log.FORM).trace.channels["manifold_pressure"]
    assert healthy.max() > made.trace.channels["manifold_pressure"].max() + 5


def test_a_kept_trace_is_named_after_all_it_follows_from(garage: Garage) -> None:
    names = {
        trace_cache.key_of(log, sha, demo_log.FORM, air)
        for log, sha, air in (("a", "1", None), ("a", "2", None), ("b", "1", None), ("a", "1", 98.0))
    }
    assert len(names) == 4
