"""The order of a ticket's steps: none lies before the one it follows."""

from datetime import datetime, timedelta

from app.pages.words import moment
from app.records.fields import moment_text, read_moment
from app.records.logbook import now


def not_before(typed: str, name: str, since: tuple[str, str]) -> tuple[str, dict[str, str]]:
    """A step's moment as an entry carries it, or why it can't be (field -> sentence).

    A box left empty means now. `since` is the moment it follows and what happened then. Boxes take minutes and records
    milliseconds: a step typed with the very minute it follows comes just after it. What is no moment is left for the
    door to refuse.
    """
    at, what = since
    typed = typed or now()
    try:
        when = read_moment(typed)
    except ValueError:
        return typed, {}
    if when > at:
        return when, {}
    if when[:16] == at[:16]:
        return moment_text(datetime.fromisoformat(at) + timedelta(milliseconds=1)), {}
    return when, {name: f"That is before {what}, {moment(at)}."}
