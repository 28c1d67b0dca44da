"""What follows from a car's records, as rules of plain words for the phone (static/bay/follows.js reads them).

They say for records that wait on the phone what the server's own tables and read models say of those it has: how far a
car has come (records.cars), what a job left loose (records.follow), how much of a limit has gone by
(records.stopgaps, records.rechecks), where a ticket stands (kinds.ticket). The tests hold the two to each other.
"""

from app.records.jobs import WRITTEN_AFTERWARDS_DAYS
from app.records.kinds import KINDS
from app.records.stopgaps import NOT_TO_BE_DRIVEN_ON

Rule = str | dict[str, object]
Rules = dict[str, dict[str, Rule]]

_HERE = ". car = {car} & ! . void_reason"
_COMING: dict[str, object] = {
    "least": "event",
    "by": "on_day",
    "where": ". car = {id} & ! . void_reason & . on_day >= {today}",
}
_ODOMETERS = [[kind.name, *kind.odometer] for kind in KINDS.values() if kind.odometer]
_MAY_NOT_FAIL = "|".join(sorted(NOT_TO_BE_DRIVEN_ON))

_TOUCH = "touch/{id}.{of.line}"
_OFF = (
    f"{_TOUCH} how = disconnected|replaced & {_TOUCH} ends = |both|{{of.end}} & ! {_TOUCH} void_reason"
    " & ! line/{of.line} retired_on & ! line/{of.line} void_reason"
)
_END, _CHECK = "loose_end/{id}.{of.id}", "check/{id}.{of.id}"
_ON = f"{_OFF} & {_END} back_on_at & ! {_END} void_reason"
_CHECKED = f"{_ON} & {_CHECK} done_at & {_CHECK} good <> no & ! {_CHECK} void_reason"

CAR: dict[str, Rule] = {
    "reads": {"latest": _ODOMETERS, "where": ". car = {id} & ! . void_reason", "start": ["reads_at", "reads"]},
    "event": _COMING | {"give": "name"},
    "event_day": _COMING | {"give": "on_day"},
}

JOB: dict[str, Rule] = {
    "touched": {"count": "touch", "where": ". job = {id} & ! . void_reason"},
    "ends_off": {"count": "joint", "where": _OFF},
    "ends_on": {"count": "joint", "where": _ON},
    "ends_left": {"count": "joint", "where": _OFF, "but": _CHECKED},
    "ends_checked": {"less": ["ends_off", "ends_left"]},
    "still_off": {"less": ["ends_off", "ends_on"]},
    "loose": {"list": "joint", "name": "line/{of.line} short", "where": _OFF, "but": _CHECKED},
    "open": {"any": ["! . closed_at", ". ends_left >= 1 & ! . carried_reason"]},
}


def _since(at: str, odometer: str, cycles: str, distance: str, days: str) -> dict[str, Rule]:
    since = f"{_HERE} & . at >= {{{at}}} & . at <> {{{at}}}"
    cycles_since = {"sum": "drive", "of": "heat_cycles", "where": since, "start": "cycles_before"}
    return {
        "from_reads": {
            "first": [
                "from_reads",
                odometer,
                {"latest": _ODOMETERS, "where": _HERE, "start": ["car/{car} reads_at", "car/{car} reads"], "until": at},
            ]
        },
        # What has ended used up nothing since: of that the server says what it was.
        "gone_distance": {"first": ["spent_distance", {"less": ["car/{car} reads", "from_reads"]}]},
        "gone_cycles": {"first": ["spent_cycles", cycles_since]},
        "share": {"share": [["gone_days", days], ["gone_distance", distance], ["gone_cycles", cycles]]},
    }


STOPGAP: dict[str, Rule] = {
    "name": {"first": ["line/{line} name", "component/{component} name", "what"]},
    "gone_days": {"days": ["fitted_at", "ended_at"]},
    **_since("fitted_at", "fitted_odometer", "limit_heat_cycles", "limit_distance", "limit_days"),
    "danger": {"any": [f"line/{{line}} role = {_MAY_NOT_FAIL}"]},
    "past": {"any": [". share >= 1"]},
    "stops": {"any": [". past", ". danger"]},
}

_COUNTED = _since("since_at", "since_odometer", "after_heat_cycles", "after_distance", "after_days")
_GONE_BY = f"{_HERE} & . on_day >= {{since_at}} & . on_day < {{today}}"
RECHECK: dict[str, Rule] = {
    "gone_days": {"elapsed": ["since_at"]},
    **_COUNTED,
    # Which job moved what only the garage knows, and of events that are over: what it said stands.
    "event_gone": {"first": ["event_gone", {"least": "event", "by": "on_day", "where": _GONE_BY, "give": "name"}]},
    "share": {
        "once": [". after_event = yes & . event_gone", ". after_job = yes & . job_gone"],
        "else": _COUNTED["share"],
    },
}

TICKET: dict[str, Rule] = {
    "stands": {
        "step": [["proved", "proved_at"], ["repaired", "repaired_at"], ["found", "found_at"]],
        "since": "reopened_at",
        "else": "open",
    },
    "found": {
        "first": ["line/{found_line} name", "component/{found_component} name", "own_suspect/{found_own_suspect} label"]
    },
}
FINDING: dict[str, Rule] = {"place": {"first": ["line/{line} name", "component/{component} name"]}}

#: Everything that follows on a car's own page; what of a car's limits rests on its odometer stands after the car.
OF_A_CAR: Rules = {
    "car": CAR,
    "job": JOB,
    "stopgap": STOPGAP,
    "recheck": RECHECK,
    "ticket": TICKET,
    "finding": FINDING,
}
#: What follows on the page of a stopgap, or of all of a car's.
OF_STOPGAPS: Rules = {"car": CAR, "stopgap": STOPGAP}
#: What follows in the list of torque wrenches: how long ago each was calibrated.
OF_WRENCHES: Rules = {"wrench": {"age_days": {"days": ["calibrated_on", "retired_on"]}}}
#: What follows on the page of a group of fasteners, or of all of a car's: when it was last checked.
OF_FASTENERS: Rules = {
    "car": CAR,
    "fastener": {
        "checked_at": {
            "latest": [["check", "done_at", "done_at"]],
            "where": ". fastener = {id} & ! . void_reason",
            "start": ["checked_at", "checked_at"],
        }
    },
    "check": {"wrench_name": {"first": ["wrench/{wrench} name", "wrench_name"]}},
}
#: What follows on the page of a re-check, or of all of a car's.
OF_RECHECKS: Rules = {"car": CAR, "recheck": RECHECK}
_TOOK = ". line = {line} & touch/{id} how = disconnected|replaced & touch/{id} ends = |both|{of.end}"
_BACK = "loose_end/{job}.{of.id}"
_GOOD = "{0} done_at & {0} good <> no & ! {0} void_reason".format
#: What follows in the list of what was touched; what a row's own record says already counts.
OF_TOUCHES: Rules = {
    "touch": {
        "name": {"first": ["line/{line} name", "component/{component} name"]},
        "where": {"first": ["line/{line} {ends}"]},
        "title": {"first": ["job/{job} title"]},
        "air_temp_c": {"first": ["job/{job} air_temp_c"]},
        "took": {"count": "joint", "where": _TOOK},
        "left": {"count": "joint", "where": _TOOK, "but": f"{_BACK} back_on_at & {_GOOD('check/{job}.{of.id}')}"},
        "checked": {"any": [_GOOD("check/{job}.{line}"), _GOOD("check/{job}.{component}"), ". took >= 1 & . left < 1"]},
    }
}
_ENDS_AT_IT = ". {0} = {{id}} & ! . retired_on & ! . void_reason".format
#: What follows where a component is taken off for good: whether a line still ends at it.
OF_USE: Rules = {
    "component": {
        "starts": {"count": "line", "where": _ENDS_AT_IT("from_component")},
        "arrives": {"count": "line", "where": _ENDS_AT_IT("to_component")},
        "in_use": {"any": [". starts >= 1", ". arrives >= 1"]},
    }
}
_GONE: dict[str, Rule] = {"gone": {"any": [". retired_on", ". void_reason"]}}
#: What follows on the page of a job: what came off the car for good is nothing to touch, and when what is noted was
#: done (records.jobs.worked_at).
OF_WORK: Rules = {
    "line": _GONE,
    "component": _GONE,
    "job": {"worked_at": {"afterwards": ["opened_at", "entered_at"], "days": WRITTEN_AFTERWARDS_DAYS}},
}
#: What follows in the list of a car's jobs.
OF_JOBS: Rules = {"job": JOB}
