"""Whether the phones and the server hold the same of every record."""

from collections.abc import Mapping
from typing import Any

from pydantic import ValidationError
from sqlalchemy import Connection

from app.pages.shell import environment
from app.records.entry import merge
from app.records.kinds import KINDS
from app.records.known import Known, known
from app.records.logbook import entries_of
from tests.torture.phone import Phone

#: A page the server might have made: what it wrote, as of when; then what the phone lays over it.
KNOW = """async ({written, together, asOf, refs}) => {
  for (const [id, content] of [["known", written], ["together", together]]) {
    document.getElementById(id)?.remove();
    const block = Object.assign(document.createElement("script"), {type: "application/json", id});
    block.textContent = JSON.stringify(content);
    document.body.append(block);
  }
  document.querySelector('meta[name="as-of"]').content = asOf;
  const known = await (await bay("known.js")).know();
  return Object.fromEntries(refs.map((ref) => [ref, known.fields(ref)]));
}"""


def everything(db: Connection) -> Known:
    """Every record as the server's pages write it."""
    every = db.exec_driver_sql("SELECT DISTINCT kind, record FROM entry").all()
    return {ref: fields for kind, record in every for ref, fields in known(db, kind, id=record).items()}


def standing(kind: str, fields: Mapping[str, object]) -> Mapping[str, object]:
    """Fields in the record's own terms, as typed or as stored, those set to nothing left out."""
    given = {name: value for name, value in fields.items() if name in KINDS[kind].field_names and value is not None}
    try:
        said = KINDS[kind].fields.model_validate(given).model_dump(mode="json")
    except ValidationError as error:
        return {"unreadable": str(error), **given}
    return {name: value for name, value in said.items() if value is not None}


def differing(one: Known, other: Known) -> list[str]:
    """The records of which the two hold something else."""
    return [
        ref
        for ref in sorted(one.keys() | other.keys())
        if standing(ref.split("/")[0], one.get(ref, {})) != standing(ref.split("/")[0], other.get(ref, {}))
    ]


def rows_against_entries(db: Connection, every: Known) -> list[str]:
    """The records whose row is not what their entries add up to."""
    merged: Known = {}
    for ref in every:
        kind, _, record = ref.partition("/")
        merged[ref] = merge(entries_of(db, kind, record))
    return differing(every, merged)


def without_picture(db: Connection, taken: Mapping[str, str]) -> list[str]:
    """The photos in the record whose picture is not the one that was taken (photo -> SHA-256), or is not there."""
    every = db.exec_driver_sql("SELECT p.id, x.sent_sha256 FROM photo p LEFT JOIN picture x ON x.id = p.id")
    return [photo for photo, sent in every if sent != taken[photo]]


def photos(db: Connection) -> int:
    """How many photos the record has."""
    return int(db.exec_driver_sql("SELECT count(*) FROM photo").scalar_one())


async def laid_over(phone: Phone, written: Known, as_of: str, refs: list[str]) -> Known:
    """What the phone shows of `refs` on a page on which the server wrote `written` at the moment `as_of`."""
    shown: Known = await phone.in_page(KNOW, a_page(written, as_of, refs))
    return shown


def a_page(written: Known, as_of: str, refs: list[str]) -> dict[str, Any]:
    """What KNOW is given."""
    together = environment().globals["together"]
    return {"written": written, "asOf": as_of, "refs": refs, "together": together}


def authors(db: Connection, made: Mapping[str, str]) -> dict[str, set[str]]:
    """Who changed each record: ref -> phones, "workbench" for what was there before them."""
    names: dict[str, set[str]] = {}
    for id_, kind, record in db.exec_driver_sql("SELECT id, kind, record FROM entry"):
        names.setdefault(f"{kind}/{record}", set()).add(made.get(id_, "workbench"))
    return names
