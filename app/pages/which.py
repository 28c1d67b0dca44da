"""Which car, job, line or joint an address speaks of. What is not in the record is answered with 404 and a sentence."""

from fastapi import HTTPException
from sqlalchemy import Connection

from app.records import cars, jobs, loose_ends, touches
from app.records.cars import CarRow
from app.records.jobs import JobRow
from app.records.loose_ends import LooseEnd
from app.records.touches import Thing


def the_car(db: Connection, car_id: str) -> CarRow:
    """The car of that id. Raises HTTPException 404."""
    found = cars.car(db, car_id)
    if found is None:
        raise HTTPException(404, "There is no such car.")
    return found


def the_job(db: Connection, job_id: str) -> JobRow:
    """The job of that id. Raises HTTPException 404."""
    found = jobs.job(db, job_id)
    if found is None:
        raise HTTPException(404, "There is no such job.")
    return found


def the_thing(db: Connection, job_id: str, thing_id: str) -> Thing:
    """The line or component of the job's car. Raises HTTPException 404."""
    found = touches.thing_in(db, job_id, thing_id)
    if found is None:
        raise HTTPException(404, "There is no such line or component on this car.")
    return found


def choices_of(db: Connection, car_id: str) -> dict[str, list[tuple[str, str]]]:
    """The car's lines and components as lists to choose from: pairs of id and name."""
    found = touches.things_of(db, car_id)
    return {f"{what}s": [(one.id, one.name) for one in found if one.what == what] for what in ("line", "component")}


def the_loose_end(db: Connection, job_id: str, joint_id: str) -> LooseEnd:
    """The joint, if the job took it off. Raises HTTPException 404."""
    found = next((end for end in loose_ends.of_job(db, job_id) if end.joint == joint_id), None)
    if found is None:
        raise HTTPException(404, "This job did not take that joint off.")
    return found
