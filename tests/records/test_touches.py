from app.records import touches
from app.records.garage import Garage
from tests.conftest import Enter

DAY = "2026-04-{:02}T09:00:00.000Z"


def _job(enter: Enter, job: str, day: int, **more: object) -> None:
    enter("job", job, car="tern", title=job.title(), opened_at=DAY.format(day), air_temp_c=6, **more)


def _touch(enter: Enter, job: str, line: str, how: str, day: int, **more: object) -> None:
    enter("touch", f"{job}.{line}", job=job, line=line, how=how, at=DAY.format(day), **more)


def test_what_was_touched_is_told_newest_first_with_its_job(garage: Garage, enter: Enter, tern: str) -> None:
    _job(enter, "first", 1, odometer=184_000)
    _job(enter, "second", 3)
    _touch(enter, "first", "tern.coupler", "disconnected", 1, ends="to")
    _touch(enter, "second", "tern.gauge_hose", "reached_past", 3)
    enter(
        "touch",
        "second.tern.gauge",
        job="second",
        component="tern.gauge",
        how="replaced",
        at="2026-04-02T09:00:00.000Z",
    )
    with garage.read() as db:
        found = touches.touches_before(db, tern, DAY.format(4))
    assert [(t.name, t.how, t.job_title) for t in found] == [
        ("Gauge hose, manifold to gauge", "reached_past", "Second"),
        ("Boost gauge", "replaced", "Second"),
        ("Throttle coupler", "disconnected", "First"),
    ]
    assert [(t.kind, t.material, t.ends, t.at_component) for t in found] == [
        ("gauge", "hard_plastic", None, None),
        ("gauge", None, None, None),
        ("charge", "silicone", "to", "Throttle"),
    ]
    assert [t.odometer for t in found] == [184_000, 184_000, 184_000]


def test_a_touch_after_the_moment_asked_about_is_left_out(garage: Garage, enter: Enter, tern: str) -> None:
    _job(enter, "first", 1)
    _touch(enter, "first", "tern.coupler", "disconnected", 3)
    with garage.read() as db:
        assert touches.touches_before(db, tern, DAY.format(2)) == []


def test_a_touch_called_back_is_not_told(garage: Garage, enter: Enter, tern: str) -> None:
    _job(enter, "first", 1)
    _touch(enter, "first", "tern.coupler", "disconnected", 1)
    enter("touch", "first.tern.coupler", void_reason="Not touched after all")
    with garage.read() as db:
        assert touches.touches_before(db, tern, DAY.format(9)) == []


def test_a_joint_checked_after_the_moment_asked_about_was_not_checked_then(
    garage: Garage, enter: Enter, tern: str
) -> None:
    _job(enter, "first", 1)
    _touch(enter, "first", "tern.coupler", "disconnected", 1, ends="to")
    joint = "tern.coupler.to"
    enter("loose_end", f"first.{joint}", job="first", joint=joint, back_on_at=DAY.format(1))
    enter("check", f"first.{joint}", car=tern, job="first", joint=joint, done_at=DAY.format(5))
    with garage.read() as db:
        assert [t.checked for t in touches.touches_before(db, tern, DAY.format(4))] == [0]
        assert [t.checked for t in touches.touches_before(db, tern, DAY.format(6))] == [1]


def test_a_touch_with_one_of_two_joints_checked_is_not_checked(garage: Garage, enter: Enter, tern: str) -> None:
    _job(enter, "first", 1)
    _touch(enter, "first", "tern.coupler", "disconnected", 1)
    for end, good in (("from", "yes"), ("to", "no")):
        joint = f"tern.coupler.{end}"
        enter("loose_end", f"first.{joint}", job="first", joint=joint, back_on_at=DAY.format(1))
        enter("check", f"first.{joint}", car=tern, job="first", joint=joint, done_at=DAY.format(1), good=good)
    with garage.read() as db:
        assert [t.checked for t in touches.touches_before(db, tern, DAY.format(9))] == [0]


def test_a_line_leaned_on_counts_as_checked_once_it_was_looked_at(garage: Garage, enter: Enter, tern: str) -> None:
    _job(enter, "first", 2)
    _touch(enter, "first", "tern.gauge_hose", "reached_past", 2)
    enter("check", "before", car=tern, line="tern.gauge_hose", done_at=DAY.format(1))
    enter("check", "bad", car=tern, line="tern.gauge_hose", done_at=DAY.format(3), good="no")
    with garage.read() as db:
        assert [t.checked for t in touches.touches_in(db, "first")] == [0]
    enter("check", "after", car=tern, line="tern.gauge_hose", done_at=DAY.format(3))
    with garage.read() as db:
        assert [t.checked for t in touches.touches_in(db, "first")] == [1]


def test_pages_of_touches_join_without_a_gap(garage: Garage, enter: Enter, tern: str) -> None:
    for n in range(5):
        _job(enter, f"job{n}", n + 1)
        # Two a job at the very same moment: the cursor may not lose one of them.
        _touch(enter, f"job{n}", "tern.coupler", "clamp_moved", n + 1)
        _touch(enter, f"job{n}", "tern.inlet", "clamp_moved", n + 1)
    with garage.read() as db:
        whole = [t.id for t in touches.touches_of(db, tern)]
        paged: list[str] = []
        while len(paged) < len(whole):
            paged += [t.id for t in touches.touches_of(db, tern, after=paged[-1] if paged else "", limit=3)]
        only = [t.line for t in touches.touches_of(db, tern, thing="tern.inlet", after=whole[5])]
    assert paged == whole
    assert set(only) == {"tern.inlet"}


def test_another_cars_line_cannot_be_touched_by_this_job(garage: Garage, enter: Enter, tern: str) -> None:
    enter("car", "gull", name="Gull", layout="turbo-diesel")
    enter("job", "gulls", car="gull", title="Gull's", opened_at=DAY.format(1))
    with garage.read() as db:
        assert touches.thing_in(db, "gulls", "tern.coupler") is None
        assert touches.thing_in(db, "gulls", "nothing") is None


def test_a_job_entered_under_the_wrong_car_takes_its_touches_along(garage: Garage, enter: Enter, tern: str) -> None:
    enter("car", "gull", name="Gull", layout="turbo-diesel")
    enter("job", "first", car="gull", title="First", opened_at=DAY.format(1))
    _touch(enter, "first", "tern.coupler", "disconnected", 1)
    enter("job", "first", car=tern)
    with garage.read() as db:
        assert [t.line for t in touches.touches_of(db, tern)] == ["tern.coupler"]
        assert touches.touches_of(db, "gull") == []


def test_a_thing_says_what_this_job_did_to_it(garage: Garage, enter: Enter, tern: str) -> None:
    _job(enter, "first", 1)
    _touch(enter, "first", "tern.coupler", "disconnected", 1, ends="to")
    with garage.read() as db:
        coupler = touches.thing_in(db, "first", "tern.coupler")
        throttle = touches.thing_in(db, "first", "tern.throttle")
    assert coupler is not None
    assert throttle is not None
    assert (coupler.took_off, coupler.from_name, coupler.to_name) == ("to", "Compressor", "Throttle")
    assert (throttle.how, throttle.took_off, throttle.from_name) == (None, None, None)


def test_every_component_is_listed_by_name(garage: Garage, tern: str) -> None:
    with garage.read() as db:
        found = [one.name for one in touches.components_of(db, tern)]
    assert found == ["Boost gauge", "Compressor", "Manifold", "Throttle"]
