"""Backup: everything a store keeps in one file, and back into any other store.

The file is JSON lines, compressed where its name ends in ``.gz``: first a line that names the
format and counts and seals what follows, then one record a line, as
:meth:`~strandwright.planning.ports.Store.contents` gives them. It is read to its end and its
seal compared before anything of it is restored.
"""

from __future__ import annotations

import contextlib
import gzip
import hashlib
import json
import os
import shutil
import tempfile
import zlib
from collections.abc import Generator, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import IO, cast

from strandwright import __version__
from strandwright.errors import InputError, SpecError, StoreUnusable
from strandwright.planning.ports import Store
from strandwright.workshop.documents import Table
from strandwright.workshop.kept import LARGEST
from strandwright.workshop.said import short

FORMAT = "strandwright backup"
VERSION = 2
#: Versions that can be read: the first knew logs of builds only.
_READ = (1, 2)
_GZIP = b"\x1f\x8b"
#: No line of a backup is longer [byte]
_LONGEST = 2 * LARGEST
_PIECE = 1 << 20
_ANOTHER = "restore another backup; nothing of this one was kept"


def back_up(store: Store, path: Path) -> int:
    """Write everything a store keeps into one file, whole or not at all.

    Parameters
    ----------
    store : Store
        The store; others may write to it meanwhile, the backup shows one moment.
    path : Path
        The file; compressed where it ends in ``.gz``. An older backup there is replaced.

    Returns
    -------
    int
        Records written [-]

    Raises
    ------
    StoreUnusable
        If the file cannot be written; then what was there stays.
    InputError
        If what lies there is no backup.
    """
    # A link is written through, as an editor would.
    place = Path(os.path.realpath(path))
    with _written(path):
        _refuse_other_file(place)
        handle, beside = tempfile.mkstemp(prefix=".strandwright-", dir=place.parent)
        try:
            with os.fdopen(handle, "wb") as whole:
                count = _write(store, whole, place.parent, compressed=path.suffix == ".gz")
                whole.flush()
                os.fsync(whole.fileno())
            os.replace(beside, place)
        except BaseException:
            with contextlib.suppress(OSError):
                os.unlink(beside)
            raise
        _settle(place.parent)
    return count


@dataclass(frozen=True)
class Heading:
    """What the first line of a backup says.

    Attributes
    ----------
    version : int
        Of its form [-]
    program : str
        What wrote it.
    records : int
        How many follow [-]
    sha256 : str
        The seal of what follows.
    """

    version: int
    program: str
    records: int
    sha256: str


def heading_of(path: Path) -> Heading:
    """Read the first line of a backup.

    Parameters
    ----------
    path : Path
        The file.

    Returns
    -------
    Heading
        What it says; what follows is not looked at.

    Raises
    ------
    InputError
        If it is no backup.
    """
    with _opened(path) as file:
        header = _header(path, file)
    program = str(header.get("program", ""))
    return Heading(header["version"], program, header["records"], header["sha256"])


def check(path: Path) -> int:
    """Read a backup to its end and compare it with its seal.

    Parameters
    ----------
    path : Path
        The file.

    Returns
    -------
    int
        Records in it [-]

    Raises
    ------
    InputError
        If it is not whole.
    """
    return sum(1 for _ in records_in(path))


def records_in(path: Path) -> Iterator[Table]:
    """Give the records of a backup; after the last its seal is compared.

    Parameters
    ----------
    path : Path
        The file.

    Yields
    ------
    dict
        One record after the other.

    Raises
    ------
    InputError
        If it is no backup, or not whole: once it is read to its end.
    """
    yield from _records(path)


def restore(store: Store, path: Path) -> int:
    """Keep everything of a backup in an empty store, all of it or nothing.

    Parameters
    ----------
    store : Store
        The store, in which nothing is kept yet.
    path : Path
        The file.

    Returns
    -------
    int
        Records restored [-]

    Raises
    ------
    InputError
        If the file cannot be read, is no backup, is damaged or is from a newer program.
    Conflict
        If the store is not empty.
    """
    check(path)  # read to its end and compared with its seal before the store is touched
    try:
        return store.take_in(_records(path))
    except InputError as error:
        if error.field == str(path):
            raise
        raise error.at(f"{path}: {error.field}") from error


# ------------------------------------------------------------------------------------- writing


def _write(store: Store, whole: IO[bytes], folder: Path, *, compressed: bool) -> int:
    """Write header and records; the records go aside first, for the header seals them."""
    digest, count = hashlib.sha256(), 0
    with tempfile.TemporaryFile(dir=folder) as body:
        packed = gzip.GzipFile("", "wb", fileobj=body, mtime=0) if compressed else body
        for table in store.contents():
            line = _line(table)
            digest.update(line)
            packed.write(line)
            count += 1
        if compressed:
            packed.close()
        header = _line(_heading(count, digest.hexdigest()))
        whole.write(gzip.compress(header, mtime=0) if compressed else header)
        body.seek(0)
        shutil.copyfileobj(body, whole)
    return count


def _heading(count: int, seal: str) -> Table:
    return {
        "format": FORMAT,
        "version": VERSION,
        "program": f"strandwright {__version__}",
        "records": count,
        "sha256": seal,
    }


def _line(table: Table) -> bytes:
    text = json.dumps(table, ensure_ascii=False, separators=(",", ":"))
    return text.encode() + b"\n"


@contextlib.contextmanager
def _written(path: Path) -> Generator[None]:
    try:
        yield
    except OSError as error:
        reason = (error.strerror or type(error).__name__).lower()
        raise StoreUnusable(
            f"{path}: the backup cannot be written ({reason}); name a file in a folder that is "
            "there, may be written and has room"
        ) from error


def _refuse_other_file(path: Path) -> None:
    """Refuse to write over what is no backup: a name mistyped must not cost a job, or a store."""
    if not path.exists() or (path.is_file() and path.stat().st_size == 0):
        return
    try:
        next(_records(path), None)
    except InputError as error:
        rule = "must be a new file or an older backup, and is neither"
        raise SpecError(str(path), path.name, rule, "name another file") from error


def _settle(folder: Path) -> None:
    """Have the file's name outlast a power cut too, where the system lets folders be synced."""
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


# ------------------------------------------------------------------------------------- reading


def _records(path: Path) -> Iterator[Table]:
    """Give the records of a backup; before the last is taken for the last, compare its seal."""
    with _opened(path) as file:
        header = _header(path, file)
        digest, count = hashlib.sha256(), 0
        while line := _next_line(path, file, count + 2):
            digest.update(line)
            count += 1
            yield _table(path, line, count + 1)
        if count != header["records"]:
            rule = f"must hold {header['records']} records, and holds {count}"
            raise _damaged(path, f"{rule}: it was cut off or changed")
        if digest.hexdigest() != header["sha256"]:
            raise _damaged(path, "must hold what its seal says, and was changed or damaged")


@contextlib.contextmanager
def _opened(path: Path) -> Generator[IO[bytes]]:
    try:
        with open(path, "rb") as raw:
            packed = raw.peek(2)[:2] == _GZIP
            file = cast(IO[bytes], gzip.GzipFile("", "rb", fileobj=raw)) if packed else raw
            yield file
    except (EOFError, gzip.BadGzipFile, zlib.error) as error:
        raise _damaged(path, "must be a whole compressed file, and was cut off") from error
    except OSError as error:
        reason = (error.strerror or type(error).__name__).lower()
        rule = f"must be a file that can be read: {reason}"
        raise SpecError(str(path), path.name, rule, "give another path") from error


def _next_line(path: Path, file: IO[bytes], number: int) -> bytes:
    line = file.readline(_LONGEST)
    if line and not line.endswith(b"\n"):
        raise _damaged(path, f"must end each line, and line {number} is cut off")
    return line


def _header(path: Path, file: IO[bytes]) -> Table:
    """Read the first line and refuse what is no backup, or one of a newer program."""
    line = file.readline(_PIECE)
    try:
        header = json.loads(line)
    except (ValueError, RecursionError):
        header = None
    if not isinstance(header, dict) or cast(Table, header).get("format") != FORMAT:
        rule = "must be a backup that strandwright wrote"
        raise SpecError(str(path), path.name, rule, "name the file that 'backup' wrote")
    table = cast(Table, header)
    if table.get("version") not in _READ or isinstance(table.get("version"), bool):
        rule = f"must be of version {VERSION} or older, and is of {short(table.get('version'))}"
        remedy = f"restore it with the program that wrote it: {short(table.get('program'))}"
        raise SpecError(str(path), path.name, rule, remedy)
    if not isinstance(table.get("records"), int) or not isinstance(table.get("sha256"), str):
        raise _damaged(path, "must say in its first line how many records it holds")
    return table


def _table(path: Path, line: bytes, number: int) -> Table:
    try:
        table = json.loads(line)
    except (ValueError, RecursionError) as error:
        raise _damaged(path, f"must be JSON in each line, and line {number} is not") from error
    return cast(Table, table)


def _damaged(path: Path, rule: str) -> SpecError:
    return SpecError(str(path), path.name, rule, _ANOTHER)
