"""The figures of a car by which a leak's size is reckoned: displacement, airflow, and the volumes that are closed."""

from typing import Self

from pydantic import model_validator

from app.records.fields import LONG, Count, Fields, Number, Recorded, key, number, whole, words

#: Litres of one cylinder, of any engine on a road: beyond them it is the unit, or the number of cylinders.
_CYLINDER_L = (0.04, 4.0)


class CarFiguresFields(Fields):
    """One car's figures; the record's id is the car's.

    Airflow in g/s; volumetric efficiency (VE) in percent, against the density in the manifold; volumes in litres.
    """

    car: str = key("car")
    displacement_l: Number | None = number(default=None, gt=0, le=20)
    cylinders: Count | None = whole(default=None, ge=1, le=16)
    idle_airflow_gs: Number | None = number(default=None, gt=0, le=60)
    ve_idle: Number | None = number(default=None, ge=10, le=150)
    ve_full: Number | None = number(default=None, ge=10, le=150)
    reservoir_l: Number | None = number(default=None, gt=0, le=60)
    charge_side_l: Number | None = number(default=None, gt=0, le=200)
    note: str | None = words(LONG, default=None)

    @model_validator(mode="after")
    def _is_an_engine(self) -> Self:
        if self.displacement_l is not None and self.cylinders is not None:
            low, high = _CYLINDER_L
            if not low <= self.displacement_l / self.cylinders <= high:
                raise ValueError("displacement_l: No cylinder is of that size. Write litres: 1998 cc are 2.0.")
        return self


class CarFigures(CarFiguresFields, Recorded, table=True):
    """Table `car_figures`."""

    __tablename__ = "car_figures"
