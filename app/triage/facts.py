"""The few facts about a car that change what a fault looks like."""

from dataclasses import dataclass
from typing import Literal

from app.airpath.words import Layout

Fuel = Literal["petrol", "diesel"]


@dataclass(frozen=True, slots=True)
class Facts:
    """What the knowledge table asks of a car before it reads a row."""

    layout: Layout
    fuel: Fuel
    has_airflow_meter: bool
    throttle_vacuum: bool
    turbocharged: bool

    @property
    def metered(self) -> bool:
        """Whether fuel follows an airflow meter and trims tell of it: a petrol engine with a meter."""
        return self.fuel == "petrol" and self.has_airflow_meter


def facts_of(layout: Layout) -> Facts:
    """The facts of a starter layout as it leaves the shelf; an edited car may differ in its airflow meter."""
    diesel = layout is Layout.TURBO_DIESEL
    return Facts(
        layout=layout,
        fuel="diesel" if diesel else "petrol",
        has_airflow_meter=layout is not Layout.ELECTRIC_DIVERTER,
        throttle_vacuum=not diesel,
        turbocharged=layout is not Layout.NATURALLY_ASPIRATED,
    )
