"""Everything the page of one car says, put together from what each part of its record knows."""

from dataclasses import dataclass

from sqlalchemy import Connection

from app.records.cars import CarRow
from app.records.events import EventRow, next_event
from app.records.findings import to_act_on
from app.records.fitness import Fitness, Pieces, fitness
from app.records.jobs import JobRow, open_jobs
from app.records.loose_ends import of_car
from app.records.open_tickets import TicketLine, open_tickets
from app.records.readings import ReadingLine, latest_readings
from app.records.rechecks import due
from app.records.stopgaps import stopgaps_of


@dataclass(frozen=True, slots=True)
class CarPage:
    """One car: fit to run or why not, for what it has to be fit next, and how it stands."""

    car: CarRow
    fitness: Fitness
    event: EventRow | None
    tickets: list[TicketLine]
    readings: list[ReadingLine]
    jobs: list[JobRow]


def car_page(connection: Connection, car: CarRow) -> CarPage:
    """The page of a car, in a number of queries that does not grow with its record."""
    tickets = open_tickets(connection, car)
    pieces = Pieces(
        of_car(connection, car.id),
        stopgaps_of(connection, car.id),
        due(connection, car.id),
        tickets,
        to_act_on(connection, car.id),
    )
    return CarPage(
        car,
        fitness(pieces),
        next_event(connection, car.id),
        tickets,
        latest_readings(connection, car.id),
        open_jobs(connection, car.id),
    )
