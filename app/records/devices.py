"""Paired devices and the links that pair them. Security state, not knowledge of the car.

So these two tables are no kinds of record, their changes are no entries, and an export leaves them out: whoever is
given a garage's record must not be given the keys to the garage as well. (A backup is the whole file, and is to be
kept as privately as the file itself.) Of what a device or a link proves itself by, only a SHA-256 is kept; both are
256 random bits, which no amount of guessing at the hash will find.
"""

import hashlib
import hmac
import secrets
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Literal

from sqlalchemy import Column, Connection, Engine, Index, Table, Text
from sqlmodel import SQLModel

from app.records.engine import writing
from app.records.fields import moment_text
from app.records.rows import row, rows

#: How long a link is good for.
LINK_LASTS = timedelta(minutes=5)
#: How long a device stays paired. Browsers keep no cookie longer than 400 days (RFC 6265bis section 5.5).
PAIRING_LASTS = timedelta(days=400)
#: How often at most a device's last visit is written down.
SEEN_EVERY = timedelta(minutes=1)

DEVICE = Table(
    "device",
    SQLModel.metadata,
    Column("id", Text, primary_key=True),
    Column("name", Text, nullable=False),
    Column("secret_hash", Text, nullable=False),
    Column("paired_at", Text, nullable=False),
    Column("last_seen_at", Text, nullable=False),
    Column("removed_at", Text),
    sqlite_strict=True,
)
PAIRING_TOKEN = Table(
    "pairing_token",
    SQLModel.metadata,
    Column("hash", Text, primary_key=True),
    Column("made_at", Text, nullable=False),
    Column("expires_at", Text, nullable=False),
    Column("used_at", Text),
    Index("ix_pairing_token_expires_at", "expires_at"),
    sqlite_strict=True,
)

Standing = Literal["good", "used", "expired", "unknown"]


@dataclass(frozen=True, slots=True)
class DeviceRow:
    """One device, and how many entries it made."""

    id: str
    name: str
    paired_at: str
    last_seen_at: str
    removed_at: str | None
    entries: int


@dataclass(frozen=True, slots=True)
class Credential:
    """What a device proves itself by. Never stored, never logged: `repr` shows the id alone."""

    id: str
    secret: str

    def __repr__(self) -> str:
        """The id alone."""
        return f"Credential({self.id})"


@dataclass(frozen=True, slots=True)
class _Link:
    hash: str
    expires_at: str
    used_at: str | None


def make_link(engine: Engine, at: datetime) -> str:
    """A fresh token, good once and for LINK_LASTS. Links over for a day are swept out."""
    token = secrets.token_urlsafe(32)
    with writing(engine) as connection:
        connection.exec_driver_sql(
            "DELETE FROM pairing_token WHERE expires_at < ?", (moment_text(at - timedelta(days=1)),)
        )
        connection.exec_driver_sql(
            "INSERT INTO pairing_token (hash, made_at, expires_at) VALUES (?, ?, ?)",
            (_hash(token), moment_text(at), moment_text(at + LINK_LASTS)),
        )
    return token


def link_stands(connection: Connection, token: str, at: datetime) -> Standing:
    """What has become of a link. Looking does not use it up."""
    wanted = _hash(token)
    link = row(connection, _Link, "SELECT hash, expires_at, used_at FROM pairing_token WHERE hash = ?", wanted)
    # Looked up by hash, a near miss is as far off as any other; compared in constant time all the same.
    if link is None or not hmac.compare_digest(link.hash, wanted):
        return "unknown"
    if link.used_at is not None:
        return "used"
    return "good" if moment_text(at) < link.expires_at else "expired"


def swap(engine: Engine, token: str, name: str, at: datetime, held: Credential | None = None) -> Credential | Standing:
    """Use up a link and pair a device, in one transaction: of two at the same moment exactly one gets it.

    A device that still holds its own credential keeps its id, and its old secret ends. Otherwise the answer is how
    the link stands.
    """
    with writing(engine) as connection:
        standing = link_stands(connection, token, at)
        if standing != "good":
            return standing
        connection.exec_driver_sql(
            "UPDATE pairing_token SET used_at = ? WHERE hash = ? AND used_at IS NULL", (moment_text(at), _hash(token))
        )
        device = held.id if held is not None and _proves(connection, held) else secrets.token_hex(8)
        fresh = Credential(device, secrets.token_urlsafe(32))
        connection.exec_driver_sql(
            "INSERT INTO device (id, name, secret_hash, paired_at, last_seen_at) VALUES (?, ?, ?, ?, ?) "
            "ON CONFLICT (id) DO UPDATE SET name = excluded.name, secret_hash = excluded.secret_hash, "
            "paired_at = excluded.paired_at, last_seen_at = excluded.last_seen_at",
            (fresh.id, name, _hash(fresh.secret), moment_text(at), moment_text(at)),
        )
    return fresh


def is_paired(connection: Connection, credential: Credential, at: datetime) -> bool:
    """Whether this is a device of this garage, not removed and not paired too long ago. One indexed read."""
    return _proves(connection, credential, moment_text(at - PAIRING_LASTS))


def note_seen(engine: Engine, device: str, at: datetime) -> bool:
    """Write down a visit, unless the last one written is less than SEEN_EVERY ago. Whether it was written."""
    with engine.connect() as connection:
        last = connection.exec_driver_sql("SELECT last_seen_at FROM device WHERE id = ?", (device,)).scalar()
    if last is None or last > moment_text(at - SEEN_EVERY):
        return False
    with writing(engine) as connection:
        connection.exec_driver_sql("UPDATE device SET last_seen_at = ? WHERE id = ?", (moment_text(at), device))
    return True


def devices(connection: Connection) -> list[DeviceRow]:
    """Every device, removed ones last, then the one seen most lately first."""
    return rows(
        connection,
        DeviceRow,
        "SELECT id, name, paired_at, last_seen_at, removed_at, coalesce(made.entries, 0) FROM device "
        "LEFT JOIN (SELECT entered_by, count(*) AS entries FROM entry GROUP BY entered_by) AS made "
        "ON made.entered_by = device.id ORDER BY removed_at IS NOT NULL, last_seen_at DESC, id",
    )


def rename(engine: Engine, device: str, name: str) -> bool:
    """Give a device another name. False if there is no such device."""
    return _change(engine, "UPDATE device SET name = ? WHERE id = ?", name, device)


def remove(engine: Engine, device: str, at: datetime) -> bool:
    """Shut a device out. What it entered stays. False if there is no such device."""
    return _change(
        engine, "UPDATE device SET removed_at = coalesce(removed_at, ?) WHERE id = ?", moment_text(at), device
    )


def put_back(engine: Engine, device: str) -> bool:
    """Undo `remove`. False if there is no such device."""
    return _change(engine, "UPDATE device SET removed_at = NULL WHERE id = ?", device)


def _proves(connection: Connection, credential: Credential, paired_after: str = "") -> bool:
    found = connection.exec_driver_sql(
        "SELECT secret_hash FROM device WHERE id = ? AND removed_at IS NULL AND paired_at > ?",
        (credential.id, paired_after),
    ).scalar()
    return found is not None and hmac.compare_digest(found, _hash(credential.secret))


def _change(engine: Engine, sql: str, *parameters: str) -> bool:
    with writing(engine) as connection:
        return connection.exec_driver_sql(sql, parameters).rowcount == 1


def _hash(secret: str) -> str:
    return hashlib.sha256(secret.encode()).hexdigest()
