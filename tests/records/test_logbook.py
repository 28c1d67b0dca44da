"""The door, held to its promise: whatever is sent, in whatever order and however often, the record comes out alike."""

import sqlite3
import uuid
from collections.abc import Iterator, Sequence
from contextlib import closing, contextmanager
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from itertools import combinations, permutations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from sqlalchemy import Connection

from app.records.entry import Entry, Fields, Outcome, Value, in_order_of_entry
from app.records.fields import moment_text
from app.records.garage import Garage
from app.records.kinds import KINDS
from app.records.logbook import RefusedError, entries_of, replay, take_one
from app.settings import Settings
from tests.conftest import Enter

START = datetime(2026, 4, 18, 8, 0, tzinfo=UTC)
LINES = ("coupler", "gauge_hose", "inlet")
JOINTS = tuple(f"tern.{line}.{end}" for line in LINES for end in ("from", "to"))
DEVICES = ("bay phone", "other phone", "laptop")


def at(minute: float) -> str:
    return moment_text(START + timedelta(minutes=minute))


RECEIVED = at(600)
Told = tuple[str, str, Fields]

#: What every device knows of already when the day begins.
GROUND: tuple[Told, ...] = (
    ("car", "tern", {"name": "Tern", "layout": "direct-signal"}),
    ("component", "tern.a", {"car": "tern", "kind": "throttle", "name": "Throttle"}),
    ("component", "tern.b", {"car": "tern", "kind": "manifold", "name": "Manifold"}),
    *(
        (
            "line",
            f"tern.{line}",
            {"car": "tern", "name": line, "role": "charge", "from_component": "tern.a", "to_component": "tern.b"},
        )
        for line in LINES
    ),
    *(("joint", joint, {"line": joint.rpartition(".")[0], "end": joint.rpartition(".")[2]}) for joint in JOINTS),
    ("job", "job1", {"car": "tern", "title": "Coupler", "opened_at": at(0)}),
    (
        "reading",
        "r1",
        {
            "car": "tern",
            "what": "idle_vacuum",
            "condition": "warm",
            "value": 19.5,
            "unit": "inHg",
            "basis": "vacuum",
            "taken_at": at(0),
        },
    ),
    (
        "stopgap",
        "s1",
        {"car": "tern", "line": "tern.gauge_hose", "used": "Tape", "fitted_at": at(0), "limit_distance": 300},
    ),
)


def entry(told: Told, number: int, entered_at: str, device: str = "laptop") -> Entry:
    kind, record, fields = told
    return Entry(str(uuid.UUID(int=number)), kind, record, fields, at(0), entered_at, device)


@pytest.fixture(scope="module")
def ground(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Garage]:
    garage = Garage.open(Settings(tmp_path_factory.mktemp("ground")))
    garage.take_all(entry(told, number, at(0)) for number, told in enumerate(GROUND, 1))
    yield garage
    garage.close()


@contextmanager
def undone(garage: Garage) -> Iterator[Connection]:
    """A transaction of which nothing is kept."""
    with garage.engine.connect() as connection:
        connection.exec_driver_sql("BEGIN IMMEDIATE")
        try:
            yield connection
        finally:
            connection.exec_driver_sql("ROLLBACK")


def tables(connection: Connection) -> dict[str, list[tuple[object, ...]]]:
    """Everything the tables hold but the order in which entries arrived."""
    # How the search index lies in its own tables hangs on when it was written; what it holds is in `findable`.
    named = "SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'findable_words%'"
    names = connection.exec_driver_sql(named).scalars().all()
    every = {}
    for name in sorted(set(names) - {"sqlite_sequence"}):
        found = connection.exec_driver_sql(f'SELECT * FROM "{name}"').all()  # noqa: S608
        every[name] = sorted((tuple(row)[1 if name == "entry" else 0 :] for row in found), key=repr)
    return every


def histories(connection: Connection) -> dict[tuple[str, str], list[Entry]]:
    """Each record's entries in the order in which they count."""
    records = connection.exec_driver_sql("SELECT DISTINCT kind, record FROM entry").all()
    return {
        (kind, record): [one.entry for one in in_order_of_entry(entries_of(connection, kind, record))]
        for kind, record in records
    }


def fields(**choices: Sequence[Value]) -> st.SearchStrategy[dict[str, Value]]:
    return st.fixed_dictionaries({name: st.sampled_from(values) for name, values in choices.items()})


def told() -> st.SearchStrategy[Told]:
    """One thing a person does, to records that are there and to ones that two devices may both begin."""
    times = [at(minute) for minute in (1, 5, 9)]
    job = st.one_of(
        fields(title=["Coupler", "Coupler and hose"]),
        fields(odometer=[184_210.0, "184 211,5", None]),
        fields(closed_at=[*times, None], carried_reason=["No clamp here.", ""]),
        fields(void_reason=["Opened by mistake.", None]),
    ).map(lambda given: ("job", "job1", given))
    touch = st.tuples(
        st.sampled_from(LINES),
        fields(how=["reached_past", "disconnected", "replaced"], ends=["both", "to"], void_reason=["Not that.", None]),
    ).map(
        lambda one: (
            "touch",
            f"job1.tern.{one[0]}",
            {"job": "job1", "line": f"tern.{one[0]}", "at": at(1)} | one[1],
        )
    )
    loose_end = st.tuples(st.sampled_from(JOINTS), fields(back_on_at=[*times, None])).map(
        lambda one: ("loose_end", f"job1.{one[0]}", {"job": "job1", "joint": one[0]} | one[1])
    )
    check = st.tuples(st.sampled_from(JOINTS), fields(done_at=times, good=["yes", "no"], mark=["drawn", "moved"])).map(
        lambda one: ("check", f"job1.{one[0]}", {"car": "tern", "job": "job1", "joint": one[0]} | one[1])
    )
    warm = {"what": "idle_vacuum", "condition": "warm", "basis": "vacuum"}
    reading = st.one_of(
        st.sampled_from([warm | {"value": 0.6, "unit": "bar"}, warm | {"value": 500, "unit": "mmHg"}]),
        fields(healthy=["yes", "no"], odometer=[184_209.0, None]),
    ).map(lambda given: ("reading", "r1", given))
    stopgap = st.one_of(
        fields(limit_days=[10, 20], limit_distance=[None, 200]),
        st.sampled_from([{"line": "tern.coupler"}, {"what": "a bracket"}]),
        fields(ended_at=[*times, None]),
    ).map(lambda given: ("stopgap", "s1", given))
    line = fields(retired_on=["2026-04-18", None], material=["rubber", "silicone"]).map(
        lambda given: ("line", "tern.coupler", given)
    )
    return st.one_of(job, touch, loose_end, check, reading, stopgap, line)


@st.composite
def days(draw: st.DrawFn) -> list[list[Entry]]:
    """What each device entered, in its own order. Clocks differ, and two may enter at the same moment."""
    numbers = iter(draw(st.permutations(range(1000, 1024))))
    return [
        [
            entry(one, next(numbers), at(10 + draw(st.integers(0, 12)) + place * 3), device)
            for place, one in enumerate(draw(st.lists(told(), max_size=8)))
        ]
        for device in DEVICES
    ]


@st.composite
def arrivals(draw: st.DrawFn, day: list[list[Entry]]) -> list[Entry]:
    """The same entries as they may arrive: devices interleaved, each in its own order, anything sent again at will."""
    turns = draw(st.permutations([device for device, mine in enumerate(day) for _ in mine]))
    waiting = [iter(mine) for mine in day]
    sent: list[Entry] = []
    for device in turns:
        sent.append(next(waiting[device]))
        sent += draw(st.lists(st.sampled_from(sent), max_size=2))
    return sent


@settings(max_examples=30, deadline=None)
@given(data=st.data())
def test_any_order_of_arrival_and_any_repetition_give_the_same_record(ground: Garage, data: st.DataObject) -> None:
    day = data.draw(days())
    sent = data.draw(arrivals(day))
    with undone(ground) as db:
        outcomes = [take_one(db, one, RECEIVED) for mine in day for one in mine]
        assert {one.outcome for one in outcomes} <= {"taken"}
        expected = tables(db), histories(db)
    with undone(ground) as db:
        again = [take_one(db, one, RECEIVED) for one in sent]
        assert (tables(db), histories(db)) == expected
    seen: set[str] = set()
    for one in again:
        assert one.outcome == ("had" if one.id in seen else "taken")
        seen.add(one.id)


@settings(max_examples=25, deadline=None)
@given(day=days())
def test_a_record_made_again_from_its_entries_is_the_same(ground: Garage, day: list[list[Entry]]) -> None:
    with undone(ground) as db:
        for mine in day:
            for one in mine:
                take_one(db, one, RECEIVED)
        before = tables(db)
        for kind, record in histories(db):
            replay(db, KINDS[kind], record)
        assert tables(db) == before


_ANYTHING = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(),
    st.floats(),
    st.text(st.characters(), max_size=20),
    st.sampled_from(["", " ", "9" * 5000, "\ud800", "[[1e999, 0]]", "0001-01-01", "9999-12-31T23:59"]),
)


@settings(max_examples=60, deadline=None)
@given(
    kind=st.sampled_from(sorted(KINDS)),
    data=st.data(),
    entered_at=st.one_of(st.just(at(5)), st.text(max_size=30), st.just("9999-12-31T23:59:59.999Z")),
    device=st.one_of(st.just("laptop"), st.text(st.characters(), max_size=5)),
)
def test_whatever_is_sent_is_taken_whole_or_refused_leaving_nothing(
    ground: Garage, kind: str, data: st.DataObject, entered_at: str, device: str
) -> None:
    names = sorted(KINDS[kind].field_names)
    given = data.draw(st.dictionaries(st.sampled_from([*names, "no_such_field"]), _ANYTHING, max_size=6))
    record = data.draw(st.sampled_from(["tern", "job1", "r1", "s1", "new", "", "../x", "é"]))
    with undone(ground) as db:
        before = tables(db)
        outcome = take_one(db, entry((kind, record, given), 5000, entered_at, device), RECEIVED)
        if outcome.outcome == "refused":
            assert outcome.reasons
            assert tables(db) == before
        else:
            assert len(tables(db)["entry"]) == len(before["entry"]) + 1


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"id": "1"}, "id"),
        ({"kind": "boat"}, "kind"),
        ({"record": "no spaces"}, "record"),
        ({"fields": {}}, "fields"),
        ({"version": 2}, "version"),
        ({"version": 0}, "version"),
        ({"entered_at": "2026-13-01T00:00:00.000Z"}, "entered_at"),
        ({"entered_at": "2026-04-18T10:40:00Z"}, "entered_at"),
        ({"entered_at": "٢٠٢٦-04-18T10:40:00.000Z"}, "entered_at"),
        ({"happened_at": "9999-12-31T23:59:59.999Z"}, "happened_at"),
        ({"entered_by": ""}, "entered_by"),
        ({"entered_by": "\ud800"}, "entered_by"),
        ({"fields": {"boat": 1}}, "boat"),
        ({"fields": {"odometer": -1}}, "odometer"),
        ({"fields": {"car": "nobody"}}, "car"),
        ({"fields": {"closed_at": "2026-04-19T10:00"}}, "closed_at"),
    ],
)
def test_a_refusal_names_the_field(ground: Garage, change: dict[str, str], field: str) -> None:
    one = replace(entry(("job", "job1", {"title": "Clutch"}), 6000, at(5)), **change)  # type: ignore[arg-type]  # any field
    with undone(ground) as db:
        assert list(take_one(db, one, RECEIVED).reasons) == [field]


def _take(db: Connection, number: int, given: Fields, entered_at: str, received_at: str = RECEIVED) -> Outcome:
    return take_one(db, entry(("job", "job1", dict(given)), number, entered_at), received_at)


def _job(db: Connection) -> tuple[object, ...]:
    return tuple(db.exec_driver_sql("SELECT title, note, odometer FROM job WHERE id = 'job1'").one())


def test_two_devices_fields_merge_and_the_later_entered_wins_a_field_they_share(ground: Garage) -> None:
    with undone(ground) as db:
        _take(db, 7001, {"title": "Late", "odometer": 5}, at(20))
        _take(db, 7002, {"title": "Early", "note": "kept"}, at(10))
        assert _job(db) == ("Late", "kept", 5)


def test_an_update_that_loses_stays_in_the_history(ground: Garage) -> None:
    with undone(ground) as db:
        _take(db, 7001, {"title": "Late"}, at(20))
        assert _take(db, 7002, {"title": "Early"}, at(10)).outcome == "taken"
        assert [one.entry.fields.get("title") for one in entries_of(db, "job", "job1")] == ["Coupler", "Late", "Early"]


def test_a_clock_that_runs_ahead_wins_nothing_by_it(ground: Garage) -> None:
    with undone(ground) as db:
        _take(db, 7001, {"title": "From next year"}, "2027-04-18T10:00:00.000Z", received_at=at(10))
        _take(db, 7002, {"title": "After it"}, at(11), received_at=at(11))
        assert _job(db)[0] == "After it"
        fast = entries_of(db, "job", "job1")[1]
        assert (fast.entry.entered_at, fast.counted_at) == ("2027-04-18T10:00:00.000Z", at(10))


def test_a_clock_a_few_minutes_ahead_is_believed(ground: Garage) -> None:
    with undone(ground) as db:
        _take(db, 7001, {"title": "Four minutes ahead"}, at(14), received_at=at(10))
        _take(db, 7002, {"title": "On time"}, at(11), received_at=at(11))
        assert _job(db)[0] == "Four minutes ahead"


def test_a_reading_never_mixes_one_devices_figure_with_anothers_unit(ground: Garage) -> None:
    bar: dict[str, Value] = {"what": "idle_vacuum", "condition": "warm", "basis": "vacuum", "value": 0.6, "unit": "bar"}
    with undone(ground) as db:
        take_one(
            db, entry(("reading", "r1", bar | {"barometer_value": 1.0, "barometer_unit": "bar"}), 7001, at(20)), at(20)
        )
        # The other device says nothing of a barometer, so its reading has none.
        take_one(db, entry(("reading", "r1", bar | {"value": 0.5}), 7002, at(30)), at(30))
        read = "SELECT value, unit, barometer_value, barometer_unit FROM reading WHERE id = 'r1'"
        assert tuple(db.exec_driver_sql(read).one()) == (0.5, "bar", None, None)
        # And a figure without its unit is no reading.
        refused = take_one(db, entry(("reading", "r1", {"value": 0.4}), 7003, at(40)), at(40))
        assert set(refused.reasons) == {"unit", "what", "condition"}


def test_the_same_entry_typed_the_same_way_is_had_and_another_with_its_id_is_refused(ground: Garage) -> None:
    with undone(ground) as db:
        assert _take(db, 7001, {"odometer": "184 210,5"}, at(5)).outcome == "taken"
        assert _take(db, 7001, {"odometer": "184 210,5"}, at(5)).outcome == "had"
        assert _take(db, 7001, {"odometer": 184_210.5}, at(5)).outcome == "had"
        assert list(_take(db, 7001, {"odometer": 7}, at(5)).reasons) == ["id"]
        assert _job(db)[2] == 184_210.5


def test_what_lies_ahead_is_judged_by_the_clock_of_whoever_entered_it(ground: Garage) -> None:
    with undone(ground) as db:
        # Refused alike whether it arrives at once or a year later.
        for received_at in (at(5), "2027-04-18T10:00:00.000Z"):
            assert list(_take(db, 7001, {"closed_at": at(30)}, at(5), received_at).reasons) == ["closed_at"]


def test_an_act_of_several_entries_is_taken_whole_or_not_at_all(garage: Garage, enter: Enter, tern: str) -> None:
    with garage.read() as db:
        before = tables(db)
    good, bad = ("job", "job1", {"car": tern, "title": "Clutch", "opened_at": at(0)}), ("job", "job2", {"title": "x"})
    with pytest.raises(RefusedError) as caught:
        garage.take_all([entry(good, 7001, at(1)), entry(bad, 7002, at(1))])
    assert [one.record for one in caught.value.outcomes] == ["job2"]
    with garage.read() as db:
        assert tables(db) == before


def test_an_entry_is_on_the_disk_when_its_answer_is_given(garage: Garage) -> None:
    garage.take(entry(GROUND[0], 7001, at(1)))
    with closing(sqlite3.connect(garage.settings.database)) as another:
        assert another.execute("SELECT name FROM car").fetchall() == [("Tern",)]


def test_a_jobs_counts_come_out_alike_in_every_order_of_arrival(ground: Garage) -> None:
    end = "job1.tern.coupler.from"
    acts: tuple[Told, ...] = (
        ("touch", "job1.tern.coupler", {"job": "job1", "line": "tern.coupler", "how": "disconnected", "at": at(1)}),
        ("loose_end", end, {"job": "job1", "joint": "tern.coupler.from", "back_on_at": at(2)}),
        ("check", end, {"car": "tern", "job": "job1", "joint": "tern.coupler.from", "done_at": at(3)}),
        ("joint", "tern.coupler.to", {"void_reason": "It has only one."}),
        ("line", "tern.coupler", {"retired_on": "2026-04-18"}),
    )
    for several in range(1, len(acts) + 1):
        for some in combinations(acts, several):
            assert len({_counts(ground, order) for order in permutations(some)}) == 1


def _counts(ground: Garage, acts: Sequence[Told]) -> tuple[object, ...]:
    with undone(ground) as db:
        for number, one in enumerate(acts, 8000):
            assert take_one(db, entry(one, number, at(10)), RECEIVED).outcome == "taken"
        return tuple(db.exec_driver_sql("SELECT touched, ends_off, ends_on, ends_left FROM job").one())
