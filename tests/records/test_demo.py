"""The demo garage keeps what its story promises."""

import re
from collections.abc import Iterator
from datetime import datetime, timedelta, timezone
from pathlib import Path

import pytest

from app.records import cars, demo, loose_ends, suspects, tickets
from app.records.demo_story import entries
from app.records.distance import heat_cycles_since
from app.records.garage import Garage
from app.records.not_done import NotDoneError
from app.settings import Settings

AT = datetime(2026, 4, 18, 10, 40, tzinfo=timezone(timedelta(hours=1)))
ROOT = Path(__file__).parent.parent.parent


@pytest.fixture(scope="module")
def told(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Garage]:
    garage = demo.fresh(tmp_path_factory.mktemp("demo"), AT)
    yield garage
    garage.close()


def one(garage: Garage, sql: str) -> tuple[object, ...]:
    with garage.read() as db:
        return tuple(db.exec_driver_sql(sql).one())


def test_the_same_day_always_tells_the_same_story() -> None:
    assert list(entries(AT)) == list(entries(AT))


@pytest.mark.parametrize("hour", [0, 23])
def test_it_can_be_told_at_any_hour(tmp_path: Path, hour: int) -> None:
    demo.fresh(tmp_path, AT.replace(hour=hour)).close()


def test_two_cars_have_three_years_of_record(told: Garage) -> None:
    with told.read() as db:
        found = {car.name: car for car in cars.cars(db)}
        layouts = {name: getattr(cars.car(db, car.id), "layout", None) for name, car in found.items()}
    assert layouts == {"Tern": "stored-vacuum", "Dunlin": "electric-diverter"}
    assert found["Tern"].reads == 184_020
    jobs, oldest = one(told, "SELECT count(*), min(opened_at) FROM job")
    assert (isinstance(jobs, int) and 25 <= jobs <= 40, str(oldest)[:4]) == (True, "2023")


def test_the_open_tickets_leading_suspect_is_the_hose_that_was_leaned_on_in_the_cold(told: Garage) -> None:
    with told.read() as db:
        car = cars.car(db, "tern")
        assert car is not None
        (ticket,) = tickets.unproved(db, "tern")
        leading, second, *_ = suspects.ranking(db, car, ticket).suspects
    assert (ticket.what, ticket.after_distance) == ("Boost wanders at full throttle", 85)
    assert (leading.id, leading.role) == ("tern.boost_actuator", "boost_control")
    assert leading.probability > 2 * second.probability
    assert leading.probability > leading.without_touches
    assert any("3 °C" in factor.reason and "hard plastic" in factor.reason for factor in leading.why)


def test_past_tickets_are_proved_and_teach(told: Garage) -> None:
    assert one(told, "SELECT count(*) FROM ticket WHERE stands = 'proved'") == (6,)


def test_one_open_job_has_two_loose_ends_and_no_other_joint_hangs_loose(told: Garage) -> None:
    with told.read() as db:
        found = loose_ends.of_car(db, "tern")
    assert {(end.job, end.joint, end.state) for end in found} == {
        ("tern.coupler-and-breather", "tern.throttle_coupler.from", "off"),
        ("tern.coupler-and-breather", "tern.can_to_elbow.to", "off"),
    }
    assert one(told, "SELECT count(*), sum(ends_left) FROM job WHERE closed_at IS NULL") == (1, 2)


def test_a_stopgap_is_half_used_and_its_part_ordered(told: Garage) -> None:
    with told.read() as db:
        car = cars.car(db, "tern")
    assert car is not None
    assert car.reads is not None
    fitted, limit, ordered = one(told, "SELECT fitted_odometer, limit_distance, ordered_on FROM stopgap")
    assert (car.reads - float(str(fitted)), limit, ordered) == (160, 300, "2026-04-08")


def test_a_recheck_has_two_of_its_three_heat_cycles_behind_it(told: Garage) -> None:
    since, after = one(told, "SELECT since_at, after_heat_cycles FROM recheck WHERE id = 'tern.charge-clamps'")
    with told.read() as db:
        assert (heat_cycles_since(db, "tern", str(since)), after) == (2, 3)


def test_idle_vacuum_has_drifted_and_an_event_is_near(told: Garage) -> None:
    with told.read() as db:
        past = db.exec_driver_sql(
            "SELECT value FROM reading WHERE car = 'tern' AND what = 'idle_vacuum' AND condition = 'warm' "
            "ORDER BY taken_at DESC LIMIT 6"
        ).scalars()
        assert list(past) == [17.8, 17.9, 18.2, 18.6, 19.0, 19.4]
    assert one(told, "SELECT on_day FROM event WHERE car = 'tern'") == ("2026-05-02",)


def test_every_kind_of_reading_is_there(told: Garage) -> None:
    assert one(told, "SELECT count(DISTINCT what) FROM reading") == (9,)


def test_a_record_that_is_no_demo_is_left_alone(garage: Garage) -> None:
    garage.close()
    with pytest.raises(NotDoneError, match="no demo"):
        demo.fresh(garage.settings.data, AT)
    assert garage.settings.database.exists()


def test_a_demo_that_is_open_is_left_alone(told: Garage) -> None:
    with pytest.raises(NotDoneError, match="still being served"):
        demo.fresh(told.settings.data, AT)


def test_a_demo_is_made_anew_over_an_old_one(tmp_path: Path) -> None:
    for _ in range(2):
        demo.fresh(tmp_path, AT).close()
    assert sorted(path.name for path in tmp_path.iterdir()) == sorted([Settings(tmp_path).database.name, demo.MARK])


def test_the_story_names_nobodys_parts() -> None:
    # A maker's part code mixes capitals and digits in one long word.
    text = "\n".join(path.read_text(encoding="utf-8") for path in (ROOT / "seed_data" / "demo").glob("*.toml"))
    assert re.findall(r"\b(?=\w*\d)(?=\w*[A-Z])[A-Z0-9]{5,}\b", text) == []
