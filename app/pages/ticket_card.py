"""A ticket's page and what it knows: every form from the first sign to the proof, so that a phone has all of it."""

from collections.abc import Mapping
from typing import Any

from sqlalchemy import Connection

from app.airpath.readings import READINGS
from app.airpath.words import MATERIAL_LABEL
from app.pages.doubts import meter
from app.pages.follows import TICKET, Rules
from app.pages.forms import EMPTY, Filled
from app.pages.laid import Laid
from app.pages.shell import new_id
from app.pages.ticket_board import CHECKS_SHOWN, IN_THE_OPEN, Board, board
from app.pages.ticket_forms import forms_of
from app.pages.ticket_model import model_of
from app.pages.ticket_taken import proving_rules, taken_since
from app.records.baselines import baselines
from app.records.candidates import Thing, things_of
from app.records.cars import CarRow
from app.records.entry import Value
from app.records.kinds import KINDS
from app.records.known import Known, known
from app.records.photos import photos_of
from app.records.readings import reading_in_si
from app.records.signs import SignRow
from app.records.suspects import weighed
from app.records.tickets import TicketRow
from app.triage.check_words import METHOD_LABEL

_RESULTS = {"fault": "Fault here", "sound": "Sound", "unclear": "Can't tell"}
_PROOF = {"proof_what": "what", "proof_value": "value", "proof_unit": "unit", "proof_at": "taken_at"}
#: Kinds that neither stand nor can be entered on this page; what of theirs goes together is no use to it.
_ELSEWHERE = frozenset(
    {
        *("event", "must", "looked_at", "stage", "part", "need", "fastener", "wrench", "hold_test", "trace", "logger"),
        *("component", "joint", "recheck", "part_change", "baseline", "overrule", "boost_target", "overboost"),
    }
)
#: What a ticket's page shows of a stopgap, or asks of it.
_OF_A_STOPGAP = frozenset({"line", "component", "what", "ticket", "used", "fitted_at", "ended_at", "void_reason"})
_RULES: Rules = {
    "ticket": {
        "stands": TICKET["stands"],
        "line_state": {"first": ["line/{found_line} state"]},
        # Of a ticket reopened: whether what was found on it last was repaired.
        "mended": {"step": [["yes", "repaired_at"]], "since": "found_at", "else": "no"},
        **{name: {"first": [f"reading/{{proof_reading}} {field}"]} for name, field in _PROOF.items()},
    }
}


def card_of(
    db: Connection, ticket: TicketRow, car: CarRow, form: Filled = EMPTY, wrong_sign: str = ""
) -> dict[str, Any]:
    """All that the template of a ticket's page needs, in a fixed number of queries."""
    own = baselines(db, car.id)
    found = weighed(db, car, [ticket])[ticket.id]
    things = things_of(db, car.id)
    names = {thing.id: thing.name for thing in things} | {one.id: one.label for one in found.case.candidates}
    labels = _labels(names)
    knows = _known(db, ticket, things, found.signs)
    forms = forms_of(car, own)
    knows |= forms.known
    for ref, fields in taken_since(db, ticket).items():
        knows[ref] = knows.get(ref, {}) | fields
    of = board(db, ticket, car)
    return {
        "board": of,
        "page_id": new_id(),
        "photos_found": photos_of(db, "ticket", ticket.id),
        "form": form,
        "wrong_sign": wrong_sign,
        "shown": IN_THE_OPEN,
        "checks_shown": CHECKS_SHOWN,
        "k": Laid(knows, labels, about=f"ticket/{ticket.id}"),
        "known": knows,
        "labels": labels,
        "together": {name: kind.together for name, kind in KINDS.items() if kind.together and name not in _ELSEWHERE},
        "follows": _RULES | proving_rules(car.id, ticket.id),
        "meter": meter(db, car.id, car.distance_unit),
        "model": model_of(db, car, ticket, found, own),
        "faults": _faults(of, things),
        "held": _held(knows, ticket.id),
        "gaps": _gaps(knows, ticket.id),
        "forms": forms.address,
        "materials": list(MATERIAL_LABEL.items()),
    }


def _labels(names: Mapping[str, str]) -> dict[str, dict[str, str]]:
    readings = {kind.value: READINGS[kind].label for kind in READINGS}
    proofs = {key: label[:1].lower() + label[1:] for key, label in readings.items()}
    return {"thing": dict(names), "method": METHOD_LABEL, "result": _RESULTS, "proof": proofs}


def _known(db: Connection, ticket: TicketRow, things: list[Thing], signs: list[SignRow]) -> Known:
    about = f"ticket/{ticket.id}"
    found = known(db, "ticket", id=ticket.id) | known(db, "sign", ticket=ticket.id)
    found |= known(db, "direct_check", ticket=ticket.id)
    found |= {
        ref: {name: value for name, value in fields.items() if name in _OF_A_STOPGAP}
        for ref, fields in known(db, "stopgap", car=ticket.car).items()
        if "void_reason" not in fields and (fields.get("ticket") == ticket.id or "ended_at" not in fields)
    }
    found |= {f"line/{one.id}": {"state": "stopgap"} for one in things if one.role and one.state == "stopgap"}
    found |= {f"reading/{one.reading}": _figure(one) for one in signs if one.reading}
    ticket_fields = found.setdefault(about, {})
    ticket_fields["stands"] = ticket.stands
    ticket_fields["mended"] = "yes" if (ticket.repaired_at or "") > (ticket.found_at or "") else "no"
    state = found.get(f"line/{ticket.found_line}", {}).get("state")
    if state:
        ticket_fields["line_state"] = state
    proof = reading_in_si(db, ticket.proof_reading) if ticket.proof_reading else None
    if proof:
        found[f"reading/{proof.id}"] = {field: getattr(proof, field) for field in _PROOF.values()}
        ticket_fields.update({name: getattr(proof, field) for name, field in _PROOF.items()})
    return found


def _figure(sign: SignRow) -> dict[str, Value]:
    return {"what": sign.what, "value": sign.value, "unit": sign.unit, "basis": sign.basis}


def _faults(of: Board, things: list[Thing]) -> list[tuple[str, str]]:
    """What can be found at fault, as the form says it ("found_line=l.1"), in an order that does not change."""
    suspects = {one.id: f"found_{of.field(one)}" for one in of.ranking.suspects}
    candidates = [(f"{suspects[one.id]}={one.id}", one.label) for one in of.case.candidates]
    others = [thing for thing in things if thing.kind != "tee" and thing.id not in suspects]
    rest = [(f"found_{'line' if one.role else 'component'}={one.id}", one.name) for one in others]
    return sorted(candidates + rest, key=lambda one: one[1].casefold())


def _stopgaps(knows: Known) -> list[tuple[str, Mapping[str, Value]]]:
    found = [(ref.removeprefix("stopgap/"), fields) for ref, fields in knows.items() if ref.startswith("stopgap/")]
    return sorted(found, key=lambda one: str(one[1]["fitted_at"]), reverse=True)


def _held(knows: Known, ticket: str) -> list[str]:
    """The stopgaps fitted for the ticket, newest first."""
    return [gap for gap, fields in _stopgaps(knows) if fields.get("ticket") == ticket]


def _gaps(knows: Known, ticket: str) -> list[tuple[str, str]]:
    """Each stopgap in force with the condition on which repairing for good ends it: it sits on what was found."""
    found = []
    for gap, fields in _stopgaps(knows):
        where = next((f"found_{name} = {fields[name]}" for name in ("line", "component") if name in fields), "what")
        if "ended_at" not in fields and (where != "what" or fields.get("ticket") == ticket):
            found.append((gap, f"! . ended_at & ticket/{ticket} {where}"))
    return found
