from app.records import loose_ends
from app.records.garage import Garage
from app.records.logbook import now
from tests.conftest import Enter


def test_a_line_taken_off_leaves_one_loose_end_per_joint(garage: Garage, enter: Enter, tern: str) -> None:
    enter("job", "job1", car=tern, title="Coupler", opened_at=now())
    enter("touch", "job1.tern.coupler", job="job1", line="tern.coupler", how="disconnected", at=now())
    with garage.read() as db:
        assert [end.state for end in loose_ends.of_job(db, "job1")] == ["off", "off"]
        assert db.exec_driver_sql("SELECT touched, ends_off, ends_on, ends_left FROM job").one() == (1, 2, 0, 2)


def test_a_joint_is_done_only_when_it_is_back_on_and_checked(garage: Garage, enter: Enter, tern: str) -> None:
    enter("job", "job1", car=tern, title="Coupler", opened_at=now())
    enter("touch", "job1.tern.coupler", job="job1", line="tern.coupler", how="disconnected", ends="to", at=now())
    joint = "tern.coupler.to"
    enter("loose_end", f"job1.{joint}", job="job1", joint=joint, back_on_at=now())
    with garage.read() as db:
        assert [end.state for end in loose_ends.of_car(db, tern)] == ["on"]
    enter("check", f"job1.{joint}", car=tern, job="job1", joint=joint, done_at=now(), mark="drawn")
    with garage.read() as db:
        assert loose_ends.of_car(db, tern) == []
        assert [end.state for end in loose_ends.of_job(db, "job1")] == ["checked"]


def test_a_touch_called_back_takes_its_loose_ends_with_it(garage: Garage, enter: Enter, tern: str) -> None:
    enter("job", "job1", car=tern, title="Coupler", opened_at=now())
    enter("touch", "job1.tern.coupler", job="job1", line="tern.coupler", how="disconnected", at=now())
    enter("touch", "job1.tern.coupler", how="reached_past")
    with garage.read() as db:
        assert loose_ends.of_car(db, tern) == []
