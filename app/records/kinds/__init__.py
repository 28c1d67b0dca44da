"""The kinds of record: one schema and one table each, and the register the door looks them up in.

To add a kind: write its Fields and its table in a file here, add it to KINDS, and make a migration.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import cast

from sqlalchemy import Table

from app.airpath.readings import READINGS
from app.records.fields import Fields
from app.records.kinds.boost import BoostTarget, BoostTargetFields, Overboost, OverboostFields
from app.records.kinds.car import Car, CarFields, Component, ComponentFields, Joint, JointFields, Line, LineFields
from app.records.kinds.experience import (
    Overrule,
    OverruleFields,
    OwnSuspect,
    OwnSuspectFields,
    Tool,
    ToolFields,
)
from app.records.kinds.figures import CarFigures, CarFiguresFields
from app.records.kinds.hold_test import HoldTest, HoldTestFields
from app.records.kinds.job import (
    Check,
    CheckFields,
    Finding,
    FindingFields,
    Job,
    JobFields,
    LooseEnd,
    LooseEndFields,
    PartChange,
    PartChangeFields,
    Recheck,
    RecheckFields,
    Touch,
    TouchFields,
)
from app.records.kinds.log import Logger, LoggerFields, Trace, TraceFields
from app.records.kinds.part import Need, NeedFields, Part, PartFields, Stage, StageFields
from app.records.kinds.photo import Photo, PhotoFields
from app.records.kinds.reading import Baseline, BaselineFields, Drive, DriveFields, Reading, ReadingFields, series_of
from app.records.kinds.running import LookedAt, LookedAtFields, Must, MustFields
from app.records.kinds.ticket import (
    DirectCheck,
    DirectCheckFields,
    Event,
    EventFields,
    Sign,
    SignFields,
    Stopgap,
    StopgapFields,
    Ticket,
    TicketFields,
)
from app.records.kinds.tightening import Fastener, FastenerFields, Wrench, WrenchFields
from app.records.si import unit_in_si
from app.workings.spread import EDGE_SPREADS

Derived = Mapping[str, str | float | None]
_AMBIENT = ("barometer_value", "barometer_unit", "altitude_m")


def _nothing(_: Fields) -> Derived:
    return {}


def _reading(record: Fields) -> Derived:
    one = cast(ReadingFields, record)
    taken = one.taken()
    series = series_of(one.what, one.condition, one.free_name, one.unit)
    return {"si": taken.si, "ambient_kpa": taken.ambient_kpa, "series": series}


def _baseline(record: Fields) -> Derived:
    baseline = cast(BaselineFields, record)
    usual = baseline.spread * unit_in_si(READINGS[baseline.what], baseline.unit)
    return {"centre_si": baseline.taken(baseline.centre).si, "spread_si": usual / EDGE_SPREADS}


def _ticket(record: Fields) -> Derived:
    return {"stands": cast(TicketFields, record).state()}


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of record.

    `together` names fields that only make sense as a set: an entry that sets one of them sets them all, so that two
    phones can never leave one's figure with the other's unit. `derive` gives the columns that follow from the fields.
    `odometer` names the fields (moment, figure) by which a record of this kind also says how far the car had come;
    `past` the moments that can't lie ahead of the entry that tells of them.
    """

    name: str
    label: str
    fields: type[Fields]
    row: type[Fields]
    together: tuple[tuple[str, ...], ...] = ()
    derive: Callable[[Fields], Derived] = _nothing
    odometer: tuple[str, str] | None = None
    past: tuple[str, ...] = ()
    version: int = 1

    @property
    def table(self) -> Table:
        """The table this kind's entries are applied to."""
        return cast(Table, getattr(self.row, "__table__"))  # noqa: B009  # SQLModel sets it; its types do not say so

    @property
    def field_names(self) -> frozenset[str]:
        """The fields an entry of this kind may set."""
        return frozenset(self.fields.model_fields)


_TORQUE = ("torque_value", "torque_tolerance", "torque_unit", "torque_source")
_READ = ("what", "free_name", "condition", "value", "unit", "basis", "engine_speed", *_AMBIENT)
_BOOST = ("curve", "tolerance", "boost_limit", "unit", "basis", *_AMBIENT, "source")
_TICKET_STEPS = ("noticed_at", "found_at", "repaired_at", "proved_at", "reopened_at")
_TICKET_SETS = (
    ("found_line", "found_component", "found_suspect", "found_own_suspect"),
    ("proved_at", "proof_reading", "proof_reason"),
)
_STOPGAP_SETS = (("line", "component", "what"), ("limit_distance", "limit_days", "limit_heat_cycles"))
_CHECK_SETS = (("torque_value", "torque_unit"), ("joint", "line", "component", "fastener", "what"))
_PHOTO_SETS = (("job", "ticket", "line", "component", "part"), ("rings", "arrows"))
_SIGNED = ("signed_at", "signed_by", "signed_despite")
#: What came of reading a file only makes sense with how it was read.
_TRACE_SETS = (("columns", "ambient_kpa", "seconds", "channels", "rows", "bad_rows", "bad_cells", "trouble"),)
_NEED_SETS = (("needs_part", "needs_here", "tool", "reading", "what"),)
_TIMED = (
    "medium",
    "unit",
    "ambient_kpa",
    "volume_ml",
    "most_value",
    "start_value",
    "end_value",
    "started_at",
    "ended_at",
)
_HELD = (*_TIMED, "readings", "start_c", "end_c", "limit_from", "limit_loss", "limit_s", "passed", "hole_mm")
_PART_IS_AT = (("line", "component", "position"), ("price", "currency"), ("range_low_mm", "range_high_mm"))
_PART_SETS = (("line", "component", "position"), ("off_part", "on_part"))

_ALL = (
    Kind("car", "car", CarFields, Car),
    Kind("car_figures", "figures of a car", CarFiguresFields, CarFigures, together=(("displacement_l", "cylinders"),)),
    Kind("component", "component", ComponentFields, Component, together=(("x", "y", "w", "h"),)),
    Kind("line", "line", LineFields, Line),
    Kind("joint", "joint", JointFields, Joint, together=(_TORQUE,)),
    Kind("job", "job", JobFields, Job, past=("opened_at", "closed_at"), odometer=("opened_at", "odometer")),
    Kind("touch", "touch", TouchFields, Touch, together=(("line", "component"),), past=("at",)),
    Kind("loose_end", "loose end", LooseEndFields, LooseEnd, past=("back_on_at",)),
    Kind(
        "recheck",
        "re-check",
        RecheckFields,
        Recheck,
        together=(("after_heat_cycles", "after_distance", "after_days", "after_event", "after_job"),),
    ),
    Kind(
        "check",
        "check",
        CheckFields,
        Check,
        together=_CHECK_SETS,
        past=("done_at",),
        odometer=("done_at", "odometer"),
    ),
    Kind("part_change", "part change", PartChangeFields, PartChange, together=_PART_SETS, past=("at",)),
    Kind("finding", "finding", FindingFields, Finding, past=("seen_at", "settled_at")),
    Kind("drive", "drive", DriveFields, Drive, past=("at",), odometer=("at", "odometer")),
    Kind(
        "reading",
        "reading",
        ReadingFields,
        Reading,
        together=(_READ,),
        derive=_reading,
        past=("taken_at",),
        odometer=("taken_at", "odometer"),
    ),
    Kind(
        "baseline",
        "baseline",
        BaselineFields,
        Baseline,
        together=(("what", "condition", "centre", "spread", "unit", "basis", *_AMBIENT),),
        derive=_baseline,
    ),
    Kind(
        "ticket",
        "ticket",
        TicketFields,
        Ticket,
        together=_TICKET_SETS,
        derive=_ticket,
        past=_TICKET_STEPS,
        odometer=("noticed_at", "noticed_odometer"),
    ),
    Kind("sign", "sign", SignFields, Sign, together=(("outcome", "reading"),), past=("noted_at",)),
    Kind(
        "direct_check",
        "direct check",
        DirectCheckFields,
        DirectCheck,
        together=(("line", "component", "suspect", "own_suspect"),),
        past=("done_at",),
    ),
    Kind(
        "stopgap",
        "stopgap",
        StopgapFields,
        Stopgap,
        together=_STOPGAP_SETS,
        past=("fitted_at", "ended_at"),
        odometer=("fitted_at", "fitted_odometer"),
    ),
    Kind(
        "event",
        "event",
        EventFields,
        Event,
        together=(("signed_at", "signed_by", "signed_despite"),),
        past=("signed_at",),
    ),
    Kind("must", "thing that has to be true", MustFields, Must),
    Kind("looked_at", "answer before an event", LookedAtFields, LookedAt, past=("looked_at",)),
    Kind("stage", "stage", StageFields, Stage),
    Kind(
        "part",
        "part",
        PartFields,
        Part,
        together=_PART_IS_AT,
        past=("fitted_at", "removed_at"),
        odometer=("fitted_at", "fitted_odometer"),
    ),
    Kind("need", "need of the plan", NeedFields, Need, together=_NEED_SETS, past=("met_at",)),
    Kind("fastener", "fastener group", FastenerFields, Fastener, together=(_TORQUE,)),
    Kind("wrench", "torque wrench", WrenchFields, Wrench, together=(("smallest", "largest", "unit"),)),
    Kind("tool", "tool", ToolFields, Tool),
    Kind("own_suspect", "suspect of your own", OwnSuspectFields, OwnSuspect),
    Kind("overrule", "overruled grade", OverruleFields, Overrule, together=(("kind", "sign", "outcome"),)),
    Kind(
        "hold_test",
        "hold test",
        HoldTestFields,
        HoldTest,
        together=(("line", "branch"), _HELD),
        past=("started_at", "ended_at"),
    ),
    Kind("logger", "logger", LoggerFields, Logger),
    Kind("trace", "log", TraceFields, Trace, together=_TRACE_SETS, past=("begun_at",)),
    Kind("photo", "photo", PhotoFields, Photo, together=_PHOTO_SETS, past=("taken_at",)),
    Kind("boost_target", "boost target", BoostTargetFields, BoostTarget, together=(_BOOST,)),
    Kind("overboost", "look at boost over target", OverboostFields, Overboost, past=("looked_at",)),
)

KINDS: dict[str, Kind] = {kind.name: kind for kind in _ALL}
