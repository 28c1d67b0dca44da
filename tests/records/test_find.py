"""The search: what it finds, that nothing typed upsets it, and that it follows from the record alone."""

import io
import unicodedata
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlalchemy import Connection

from app.records import demo_story
from app.records.engine import writing
from app.records.find import find, words_of
from app.records.findable import find_anew
from app.records.garage import Garage
from app.records.logbook import take_one
from app.records.transfer import bring_in, export, lines_of
from app.settings import Settings
from tests.conftest import Enter

AT = "2026-04-18T10:40:00.000Z"
_LISTED = "SELECT kind, record, car, parent, at, newest, title, words FROM findable ORDER BY kind, record"
_WHOLE = "INSERT INTO findable_words (findable_words, rank) VALUES ('integrity-check', 1)"


def found(garage: Garage, typed: str, car: str | None = None) -> set[str]:
    with garage.read() as db:
        return {f"{hit.head.kind}/{hit.head.id}" for group in find(db, typed, car) for hit in group.hits}


def listed(db: Connection) -> list[tuple[object, ...]]:
    return [tuple(row) for row in db.exec_driver_sql(_LISTED)]


@pytest.fixture
def worked_on(enter: Enter, tern: str, garage: Garage) -> Garage:
    """A garage with one of nearly everything, each findable by a word of its own."""
    enter("job", "j", car=tern, title="Clutch", opened_at=AT, note="Gearbox lowered")
    enter("touch", "j.tern.inlet", job="j", line="tern.inlet", how="disconnected", at=AT, note="Brittle end")
    enter("part_change", "c", job="j", line="tern.inlet", off_part="Old hose", on_part="Braided hose", at=AT)
    enter("finding", "f", car=tern, job="j", line="tern.coupler", what="Oil in the seam", seen_at=AT)
    enter("joint", "tern.coupler.to", torque_value=6, torque_unit="N.m", torque_source="workshop sheet")
    enter("fastener", "w", car=tern, name="Front wheels", of="wheel", torque_value=110, torque_unit="N.m")
    enter("wrench", "big", name="Half inch drive", largest=210, unit="N.m")
    enter("ticket", "t", car=tern, what="No boost in third", noticed_at=AT, note="Whistles")
    enter("sign", "t.codes", ticket="t", sign="codes", outcome="P0299", noted_at=AT)
    enter("stopgap", "s", car=tern, line="tern.gauge_hose", used="Garden hose", fitted_at=AT, limit_days=3)
    enter("recheck", "r", car=tern, line="tern.coupler", what="Retension clamps", since_at=AT, after_days=7)
    enter("check", "k", car=tern, joint="tern.coupler.to", done_at=AT, torque_value=5.5, torque_unit="N.m")
    enter("event", "e", car=tern, name="Hill climb", kind="sprint", on_day="2026-05-01")
    enter("stage", "st", car=tern, step=1, name="Bigger charge cooler")
    enter("part", "p", car=tern, name="Elbow ninety", kind="hose", state="shelf", bore_mm=63, material="silicone")
    enter("need", "p.x", part="p", what="Bead roller borrowed")
    enter("photo", "ph", car=tern, job="j", taken_at=AT, note="Chafed loom")
    enter("reading", "rd", car=tern, what="idle_vacuum", condition="warm", value=19.5, unit="inHg", basis="vacuum",
          taken_at=AT, note="Flickering needle")  # fmt: skip
    enter("drive", "d", car=tern, at=AT, odometer=1000, note="Motorway haul")
    return garage


@pytest.mark.parametrize(
    ("typed", "record"),
    [
        ("gearb", "job/j"),
        ("brittle", "touch/j.tern.inlet"),
        ("braided", "part_change/c"),
        ("seam", "finding/f"),
        ("6 nm coupler", "joint/tern.coupler.to"),
        ("110 wheel", "fastener/w"),
        ("half inch", "wrench/big"),
        ("whist", "ticket/t"),
        ("p0299", "sign/t.codes"),
        ("garden", "stopgap/s"),
        ("retension", "recheck/r"),
        ("5.5 coupler", "check/k"),
        ("hill", "event/e"),
        ("cooler", "stage/st"),
        ("63 mm silicone elbow", "part/p"),
        ("bead", "need/p.x"),
        ("chafed", "photo/ph"),
        ("flicker", "reading/rd"),
        ("motorway", "drive/d"),
        ("gauge hard plastic", "line/tern.gauge_hose"),
        ("throttle", "component/tern.throttle"),
        ("turbo estate", "car/tern"),
    ],
)
def test_every_kind_of_record_is_found_by_its_words(worked_on: Garage, typed: str, record: str) -> None:
    assert record in found(worked_on, typed)


def test_every_word_has_to_be_there(worked_on: Garage) -> None:
    assert found(worked_on, "gearbox whistles") == set()


@pytest.mark.parametrize("typed", ["Kühler", "kuhler", "KÜHL", unicodedata.normalize("NFD", "kühler")])
def test_accents_and_capitals_make_no_difference(garage: Garage, enter: Enter, tern: str, typed: str) -> None:
    enter("job", "j", car=tern, title="Ladeluftkühler, Kühler geprüft", opened_at=AT)
    enter("job", "k", car=tern, title=unicodedata.normalize("NFD", "Kühler undicht"), opened_at=AT)
    assert found(garage, typed) == {"job/j", "job/k"}


def test_what_is_struck_out_is_not_found_nor_what_belongs_to_it_until_it_is_taken_back(
    worked_on: Garage, enter: Enter
) -> None:
    enter("job", "j", void_reason="Wrong car")
    assert found(worked_on, "gearbox") == set()
    assert found(worked_on, "brittle") == set()
    enter("job", "j", void_reason=None)
    assert found(worked_on, "brittle") == {"touch/j.tern.inlet"}


def test_nothing_of_a_struck_out_car_is_found(worked_on: Garage, enter: Enter) -> None:
    enter("car", "tern", void_reason="Entered twice")
    assert found(worked_on, "gearbox") == found(worked_on, "estate") == set()


def test_a_new_name_is_found_on_all_that_bears_it(worked_on: Garage, enter: Enter) -> None:
    enter("line", "tern.coupler", name="Zigzag bend")
    assert {"line/tern.coupler", "joint/tern.coupler.to", "check/k", "finding/f", "recheck/r"} <= found(
        worked_on, "zigzag"
    )
    enter("component", "tern.throttle", name="Butterfly")
    assert {"line/tern.coupler", "joint/tern.coupler.to", "check/k"} <= found(worked_on, "butterfly")


def test_a_correction_forgets_the_old_words(worked_on: Garage, enter: Enter) -> None:
    enter("ticket", "t", note="Hisses")
    assert found(worked_on, "whistles") == set()
    assert found(worked_on, "hisses") == {"ticket/t"}


def test_the_newest_come_first(garage: Garage, enter: Enter, tern: str) -> None:
    for day in (3, 1, 2):
        enter("job", f"j{day}", car=tern, title="Clutch", opened_at=f"2026-04-0{day}T10:00:00.000Z")
    with garage.read() as db:
        (jobs,) = find(db, "clutch")
    assert [hit.head.id for hit in jobs.hits] == ["j3", "j2", "j1"]


def test_what_is_kept_is_what_would_be_made_anew(worked_on: Garage, enter: Enter) -> None:
    enter("line", "tern.coupler", name="Zigzag bend")
    enter("job", "j", void_reason="Wrong car")
    with writing(worked_on.engine) as db:
        kept = listed(db)
        db.exec_driver_sql(_WHOLE)
        find_anew(db)
        db.exec_driver_sql(_WHOLE)
        assert listed(db) == kept


def test_a_garage_rebuilt_from_its_entries_has_the_same_index(worked_on: Garage, tmp_path: Path) -> None:
    out = io.StringIO()
    export(worked_on, out)
    other = Garage.open(Settings(tmp_path / "other"))
    bring_in(other, lines_of(out.getvalue().encode().splitlines(keepends=True)))
    with worked_on.read() as ours, writing(other.engine) as theirs:
        assert listed(theirs) == listed(ours)
        theirs.exec_driver_sql(_WHOLE)
    other.close()


def test_the_demo_is_indexed_as_it_would_be_made_anew(garage: Garage) -> None:
    with writing(garage.engine) as db:
        for entry in demo_story.entries(datetime(2026, 5, 1, 12, tzinfo=UTC)):
            take_one(db, entry, entry.entered_at)
        kept = listed(db)
        find_anew(db)
        assert listed(db) == kept
        assert len(kept) > 300


@pytest.fixture(scope="module")
def told(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Garage]:
    opened = Garage.open(Settings(tmp_path_factory.mktemp("find") / "garage"))
    with writing(opened.engine) as db:
        for entry in demo_story.entries(datetime(2026, 5, 1, 12, tzinfo=UTC)):
            take_one(db, entry, entry.entered_at)
    yield opened
    opened.close()


_OPERATORS = st.sampled_from(
    ['"', "*", "(", ")", "NEAR(", "AND", "NOT", "^", ":", "{title}", "-", "'", "\x00", "+", "OR"]
)


@settings(max_examples=100, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(typed=st.one_of(st.text(), st.lists(st.one_of(_OPERATORS, st.text(max_size=5))).map(" ".join)))
def test_nothing_that_can_be_typed_upsets_it(told: Garage, typed: str) -> None:
    with told.read() as db:
        for group in find(db, typed):
            assert group.hits


@settings(max_examples=40, deadline=None)
@given(data=st.data())
def test_any_two_words_of_a_record_find_it(told: Garage, data: st.DataObject) -> None:
    with told.read() as db:
        every = db.exec_driver_sql("SELECT kind, record, title, words, place FROM findable").all()
        kind, record, title, words, place = data.draw(st.sampled_from(every))
        spoken = words_of(title) + words_of(words)
        typed = " ".join(data.draw(st.lists(st.sampled_from(spoken), min_size=1, max_size=2))) if spoken else ""
        groups = find(db, typed) if typed else []
        hits = [(hit.head.kind, hit.head.id) for group in groups for hit in group.hits]
        full = [group for group in groups if group.before is not None]
        assert not typed or (kind, record) in hits or any(group.before > place for group in full if group.before)
