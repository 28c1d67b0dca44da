import io
import json
from collections.abc import Iterator
from pathlib import Path

import pytest

from app.records.garage import Garage
from app.records.logbook import now
from app.records.not_done import NotDoneError
from app.records.transfer import Brought, bring_in, export, lines_of
from app.settings import Settings
from tests.conftest import Enter


@pytest.fixture
def other(tmp_path: Path) -> Iterator[Garage]:
    opened = Garage.open(Settings(tmp_path / "other"))
    yield opened
    opened.close()


@pytest.fixture
def worked_on(garage: Garage, enter: Enter, tern: str) -> Garage:
    """A garage in which something was opened, corrected, put back on and checked."""
    enter("job", "job1", car=tern, title="Coupler – “loose”, 5 °C", opened_at=now(), note="one\ntwo\u2028three")
    enter("touch", "job1.tern.coupler", job="job1", line="tern.coupler", how="disconnected", at=now())
    enter("loose_end", "job1.tern.coupler.to", job="job1", joint="tern.coupler.to", back_on_at=now())
    enter("job", "job1", odometer="184 210,5")
    enter("reading", "r1", car=tern, what="idle_vacuum", condition="warm", value="19,5", unit="inHg", basis="vacuum",
          taken_at=now())  # fmt: skip
    return garage


def written(garage: Garage) -> str:
    out = io.StringIO()
    export(garage, out)
    return out.getvalue()


def brought(garage: Garage, text: str) -> Brought:
    return bring_in(garage, lines_of(text.encode().splitlines(keepends=True)))


def tables(garage: Garage) -> dict[str, list[object]]:
    with garage.read() as db:
        # How the search index lies in its own tables hangs on when it was written; what it holds is in `findable`.
        named = "SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'findable_words%'"
        names = db.exec_driver_sql(named).scalars().all()
        every = {name: db.exec_driver_sql(f'SELECT * FROM "{name}" ORDER BY 1').all() for name in names}  # noqa: S608
        return {name: [tuple(row) for row in found] for name, found in every.items()}


def test_an_export_taken_into_an_empty_garage_gives_the_same_record(worked_on: Garage, other: Garage) -> None:
    brought(other, written(worked_on))
    assert tables(other) == tables(worked_on)


def test_an_export_of_an_import_is_the_same_byte_for_byte(worked_on: Garage, other: Garage) -> None:
    text = written(worked_on)
    brought(other, text)
    assert written(other) == text


def test_taking_an_export_in_twice_changes_nothing(worked_on: Garage, other: Garage) -> None:
    text = written(worked_on)
    first = brought(other, text)
    before = tables(other)
    second = brought(other, text)
    assert tables(other) == before
    assert (second.taken, second.had, second.refused) == (0, first.taken, [])


def test_taking_an_export_into_the_garage_it_came_from_changes_nothing(worked_on: Garage) -> None:
    before = tables(worked_on)
    assert brought(worked_on, written(worked_on)).taken == 0
    assert tables(worked_on) == before


def test_every_line_says_what_the_documentation_says_it_does(worked_on: Garage) -> None:
    first, *entries = written(worked_on).split("\n")[:-1]
    assert json.loads(first) == {"witnessmark": "entries", "form": 1}
    keys = ["id", "kind", "record", "version", "fields", "happened_at", "entered_at", "entered_by", "received_at"]
    assert [list(json.loads(line)) for line in entries] == [keys] * len(entries)


def test_a_refused_line_is_named_and_holds_up_no_other(worked_on: Garage, other: Garage) -> None:
    lines = written(worked_on).split("\n")
    broken = lines.index(next(line for line in lines if '"kind":"touch"' in line))
    lines[broken] = lines[broken].replace("tern.coupler", "tern.nothing")
    result = brought(other, "\n".join(lines))
    assert [number for number, _ in result.refused] == [broken + 1]
    assert "This line is not in the record." in result.refused[0][1]
    assert result.taken == len(lines) - 3


@pytest.mark.parametrize(
    ("line", "reason"),
    [
        ("{", "can't be read as JSON"),
        ("\udcff", "can't be read as JSON"),
        ("[" * 100_000, "can't be read as JSON"),
        ("[]", "An entry has"),
        ('{"id": "x"}', "An entry has"),
    ],
)
def test_a_line_that_is_no_entry_is_refused_in_words(other: Garage, line: str, reason: str) -> None:
    lines = [b'{"witnessmark":"entries","form":1}\n', line.encode(errors="surrogateescape")]
    ((number, why),) = bring_in(other, lines_of(lines)).refused
    assert (number, reason in why) == (2, True)


@pytest.mark.parametrize(
    ("change", "reason"),
    [
        ({"received_at": "yesterday"}, "received_at: A moment is written in UTC"),
        ({"received_at": 5}, "received_at: Write this as text."),
        ({"version": True}, "version: Write a whole number."),
        ({"version": 99}, "version: This entry was written by a newer program."),
        ({"fields": {"name": ["Tern"]}}, "fields: Give each field"),
        ({"fields": []}, "fields: Give each field"),
        ({"kind": "boat"}, "kind: There is no such kind of record."),
    ],
)
def test_an_entry_that_makes_no_sense_is_refused_in_words(
    other: Garage, change: dict[str, object], reason: str
) -> None:
    at = "2026-04-18T10:40:00.000Z"
    entry: dict[str, object] = {
        "id": "b8b1c3a0-7c2b-4f0e-8f41-5d6f6ad3b001",
        "kind": "car",
        "record": "tern",
        "version": 1,
        "fields": {"name": "Tern", "layout": "direct-signal"},
        "happened_at": at,
        "entered_at": at,
        "entered_by": "bay phone",
        "received_at": at,
    }
    header = '{"witnessmark":"entries","form":1}\n'
    ((_, why),) = brought(other, header + json.dumps(entry | change)).refused
    assert reason in why
    assert brought(other, header + json.dumps(entry)).taken == 1


@pytest.mark.parametrize("first", ["", "{}", '{"id": "x"}', "PNG", '{"witnessmark": "entries", "form": 2}'])
def test_what_is_no_export_is_refused_whole(other: Garage, first: str) -> None:
    with pytest.raises(NotDoneError):
        brought(other, first)
