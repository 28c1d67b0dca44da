"""A ranking in print: JSON for a program, a table for a person at a terminal."""

import json
from collections.abc import Sequence

from app.airpath.words import ROLE_LABEL, SUSPECT_LABEL, Role, Suspect
from app.triage.answers import Factor, NextStep, Ranking
from app.triage.signs import NEED_LABEL

_SUSPECTS_SHOWN = 8
_STEPS_SHOWN = 5
_REASONS_SHOWN = 3
_WORTH_A_LINE = 0.005
_NOTABLE = 1.25  # a factor this near 1 says nothing


def as_json_text(ranking: Ranking) -> str:
    """The ranking as JSON: `roles`, `suspects` with `why`, and `next`, best first.

    A check in `next` reads `method:suspect id`; `lacks` stands on a step that needs what there is not, `given` is the
    suspect already repaired, where one was.
    """
    content: dict[str, object] = {
        "roles": [{"role": share.role, "probability": share.probability} for share in ranking.roles],
        "suspects": [
            {
                "id": suspect.id,
                "role": suspect.role,
                "label": suspect.label,
                "probability": suspect.probability,
                "why": [{"factor": factor.by, "reason": factor.reason} for factor in suspect.why],
            }
            for suspect in ranking.suspects
        ],
        "next": [_step(step) for step in ranking.next],
    }
    if ranking.given is not None:
        content["given"] = ranking.given
    return json.dumps(content, indent=2, ensure_ascii=False)


def as_table(ranking: Ranking, title: str) -> str:
    """The ranking as lines of text: roles, the leading suspects with their reasons, what to do next, what is odd."""
    lines = [title, *_given(ranking), "", "Where", *_roles(ranking), "", "Suspects", *_suspects(ranking)]
    lines += ["", "Next", *_steps(ranking), "", f"Minutes left by checks alone: about {ranking.minutes_left:.0f}"]
    if ranking.contradictions:
        lines += ["", "Does not add up", *(f"  {each.sentence}" for each in ranking.contradictions)]
    if ranking.unused_codes:
        lines += ["", f"Codes nothing here can use: {', '.join(ranking.unused_codes)}"]
    if ranking.unused_signs:
        lines += ["", f"Signs that tell nothing on this car: {', '.join(ranking.unused_signs)}"]
    return "\n".join(lines)


def notable(factors: Sequence[Factor]) -> list[Factor]:
    """The factors worth telling, strongest first."""
    return [factor for factor in factors if factor.by >= _NOTABLE or factor.by <= 1 / _NOTABLE]


def _given(ranking: Ranking) -> list[str]:
    return [f"Given that this is repaired: {each.label}" for each in ranking.suspects if each.id == ranking.given]


def _step(step: NextStep) -> dict[str, str | float | list[str]]:
    what = step.key if step.candidate_id is None else f"{step.key}:{step.candidate_id}"
    found: dict[str, str | float | list[str]] = {
        step.kind: what,
        "minutes": step.minutes,
        "gain_bits": step.gain_bits,
    }
    return found | {"lacks": [need.value for need in step.lacks]} if step.lacks else found


def _roles(ranking: Ranking) -> list[str]:
    return [
        f"  {_percent(share.probability)}  {role_label(share.role)}"
        for share in ranking.roles[:_SUSPECTS_SHOWN]
        if share.probability >= _WORTH_A_LINE
    ]


def role_label(role: str) -> str:
    """What a page calls a role or a component suspect."""
    return ROLE_LABEL[Role(role)] if role in set(Role) else SUSPECT_LABEL[Suspect(role)].lower()


def _suspects(ranking: Ranking) -> list[str]:
    lines = []
    for suspect in ranking.suspects[:_SUSPECTS_SHOWN]:
        if suspect.probability < _WORTH_A_LINE:
            break
        lines.append(f"  {_percent(suspect.probability)}  {suspect.label}")
        lines += [f"          x{factor.by:.3g}  {factor.reason}" for factor in notable(suspect.why)[:_REASONS_SHOWN]]
    return lines


def _steps(ranking: Ranking) -> list[str]:
    lines = []
    for step in ranking.next[:_STEPS_SHOWN]:
        needs = ", ".join(NEED_LABEL[need] for need in step.needs)
        lines.append(
            f"  {step.minutes:3.0f} min  {step.gain_bits:.2f} bits  {step.label}" + (f" ({needs})" if needs else "")
        )
        if step.lacks:
            lines.append(f"           Not there: {', '.join(NEED_LABEL[need] for need in step.lacks)}")
        if step.caution:
            lines.append(f"           Mind: {step.caution}")
    return lines or ["  Nothing is left that would tell more."]


def _percent(p: float) -> str:
    return f"{100 * p:4.0f}%"
