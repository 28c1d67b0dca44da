"""Forms: what was sent, turned into an entry; what was wrong with it, shown with everything that was typed.

A form's fields are named after the record's fields. Beside them a form may carry `entry` (the id of the entry it will
make), `record` (the id of a new record) and `sure` (questions answered: "odometer" for "yes, the cluster was
replaced").
"""

import uuid
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Annotated

from fastapi import Depends, Request
from starlette.datastructures import FormData

from app.records.entry import Entry, Outcome, Value, fields_text
from app.records.kinds import KINDS
from app.records.logbook import now

#: The largest form asks what each of a log's columns is (app.traces.file_form.MOST_COLUMNS), and some more.
_MOST_BOXES = 450


@dataclass(frozen=True, slots=True)
class Filled:
    """A form as it goes back to the page: what stands in each box, what is wrong with it, what is asked.

    `asks` holds questions about what is unlikely but may be right: key -> sentence; the form shows each with a box to
    tick, which comes back in `sure`.
    """

    values: Mapping[str, str] = field(default_factory=dict)
    errors: Mapping[str, str] = field(default_factory=dict)
    asks: Mapping[str, str] = field(default_factory=dict)


EMPTY = Filled()


@dataclass(frozen=True, slots=True)
class Posted:
    """One form as sent. Repeated names keep every value in `many`."""

    values: Mapping[str, str]
    many: Mapping[str, tuple[str, ...]]
    device: str

    def __getitem__(self, name: str) -> str:
        """What stood in a box; nothing for one that was not sent."""
        return self.values.get(name, "")

    @property
    def sure(self) -> frozenset[str]:
        """The questions answered with yes."""
        return frozenset(self.many.get("sure", ()))

    def record(self) -> str:
        """The id of the new record this form makes."""
        return self["record"] or str(uuid.uuid4())

    def entry(
        self, kind: str, record: str, fixed: Mapping[str, Value] | None = None, *, only: Iterable[str] | None = None
    ) -> Entry:
        """The entry this form makes: every box named after a field of `kind` (or of `only`), and what is `fixed`.

        Several entries from one form get ids that follow from the form's own, so that sending it again is `had`.
        """
        names = KINDS[kind].field_names if only is None else frozenset(only)
        fields: dict[str, Value] = {name: value for name, value in self.values.items() if name in names}
        return self.make(kind, record, fields | dict(fixed or {}))

    def make(self, kind: str, record: str, fields: Mapping[str, Value]) -> Entry:
        """An entry of this form with just these fields.

        Its id follows from the form's and from what it says: sent again it is `had`, and the form brought back by the
        browser's own back button and changed is a new entry.
        """
        at = now()
        form = self["entry"]
        try:
            made = uuid.uuid5(uuid.UUID(form), f"{kind} {record} {fields_text(fields)}") if form else uuid.uuid4()
        except ValueError:
            made = uuid.uuid4()
        return Entry(str(made), kind, record, fields, at, at, self.device)

    def again(self, reasons: Mapping[str, str], asks: Mapping[str, str] | None = None) -> Filled:
        """This form, to be shown again with everything typed still in it."""
        return Filled(self.values, reasons, asks or {})


async def posted(request: Request) -> Posted:
    """The form of this request; files are no part of it."""
    return posted_of(request, await request.form(max_files=0, max_fields=_MOST_BOXES, max_part_size=100_000))


def posted_of(request: Request, form: FormData) -> Posted:
    """The same of a form that was read already; of its files nothing is kept."""
    many: dict[str, tuple[str, ...]] = {}
    for name, value in form.multi_items():
        if isinstance(value, str):
            many[name] = (*many.get(name, ()), value)
    device = str(request.scope["state"]["device"])
    return Posted({name: values[-1] for name, values in many.items()}, many, device)


Form = Annotated[Posted, Depends(posted)]


def reasons_of(outcomes: Iterable[Outcome]) -> dict[str, str]:
    """Every refused outcome's reasons together, field -> sentence."""
    return {name: why for one in outcomes for name, why in one.reasons.items()}
