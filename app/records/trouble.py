"""What went wrong with a file, a disk or the database, in words a person can act on."""

import errno
import sqlite3

from sqlalchemy.exc import DBAPIError

#: What `plainly` has words for.
TROUBLE: tuple[type[Exception], ...] = (OSError, sqlite3.Error, DBAPIError)

_BY_NUMBER: dict[int, str] = {
    errno.ENOSPC: "The disk is full.",
    errno.EDQUOT: "The disk is full for this user.",
    errno.EFBIG: "The disk takes no file this large.",
    errno.EACCES: "This user may not read or write there.",
    errno.EPERM: "This user may not read or write there.",
    errno.EROFS: "That disk can only be read.",
    errno.ENOENT: "There is no such file or folder.",
    errno.ENOTDIR: "A file stands where a folder should be.",
    errno.EEXIST: "A file stands where a folder should be.",
    errno.EISDIR: "That is a folder. Give the name of a file.",
    errno.ENAMETOOLONG: "That name is too long.",
}

#: SQLite's own primary result codes (https://www.sqlite.org/rescode.html); extended codes carry them in the low byte.
_BY_CODE: dict[int, str] = {
    sqlite3.SQLITE_FULL: "The disk is full.",
    sqlite3.SQLITE_IOERR: "The disk could not be read or written; it may be full or failing.",
    sqlite3.SQLITE_CANTOPEN: "The record could not be opened; this user may not read or write there.",
    sqlite3.SQLITE_READONLY: "The record can only be read, not written.",
    sqlite3.SQLITE_PERM: "This user may not read or write there.",
    sqlite3.SQLITE_AUTH: "This user may not read or write there.",
    sqlite3.SQLITE_NOTADB: "This file is no garage.",
    sqlite3.SQLITE_CORRUPT: "The record is damaged. Bring back a backup: witnessmark restore FILE.",
    sqlite3.SQLITE_BUSY: "Another program is busy with the record. Stop it, then try again.",
    sqlite3.SQLITE_LOCKED: "Another program is busy with the record. Stop it, then try again.",
}


def plainly(error: Exception) -> str:
    """The sentence for an OSError, a sqlite3.Error or SQLAlchemy's wrapping of one; its own text where none fits."""
    if isinstance(error, DBAPIError) and isinstance(error.orig, Exception):
        return plainly(error.orig)
    if isinstance(error, OSError):
        sentence = _BY_NUMBER.get(error.errno or 0, f"{error.strerror or error}.")
        return f"{error.filename}: {sentence}" if error.filename else sentence
    code: int = getattr(error, "sqlite_errorcode", 0) & 0xFF
    return _BY_CODE.get(code, f"The record could not be used: {error}.")
