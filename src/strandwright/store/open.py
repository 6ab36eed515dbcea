"""Open: from the name of a place to the store that lies there."""

from __future__ import annotations

import os
from pathlib import Path

from sqlalchemy import URL, make_url
from sqlalchemy.exc import ArgumentError

from strandwright.errors import StoreUnusable
from strandwright.planning.ports import Store
from strandwright.store.engine import postgresql_engine, sqlite_engine
from strandwright.store.memory import MemoryStore
from strandwright.store.schema import make_ready
from strandwright.store.sql import SqlStore

#: Name of the file in the user's own data folder.
FILE = "strandwright.sqlite3"
MEMORY = "memory:"
_SERVERS = ("postgresql", "postgres", "postgresql+psycopg")
_PLACES = "name a file, or a database as postgresql://user@host/name"


def open_store(place: str | None = None) -> Store:
    """Open the store at a place, made ready first where it is new or older.

    Parameters
    ----------
    place : str or None
        A file; ``postgresql://user@host/name``; ``memory:`` for one that ends with the program.
        Left out, a file in the user's own data folder.

    Returns
    -------
    Store
        Ready for use; close it in the end.

    Raises
    ------
    StoreUnusable
        If it cannot be opened; says what to do.
    """
    if place == MEMORY:
        return MemoryStore()
    if place is not None and "://" in place:
        return _server(place)
    return _file(usual_place() if place is None else _path(place))


def usual_place() -> Path:
    """Give the file where records are kept when nothing else is said.

    Returns
    -------
    Path
        In the user's own data folder; not made here.
    """
    from platformdirs import user_data_path

    return user_data_path("strandwright", appauthor=False) / FILE


def _path(place: str) -> Path:
    if not place.strip() or "\0" in place:
        raise StoreUnusable(f"'{place}' names no place for a store; {_PLACES}")
    path = Path(place).expanduser().absolute()
    if not path.parent.is_dir():
        raise StoreUnusable(f"{path}: its folder is not there; make it, or name another place")
    if path.exists() and not path.is_file():
        raise StoreUnusable(f"{path}: it is no file; {_PLACES}")
    return path


def _file(path: Path) -> Store:
    try:
        # What customers had built is nobody else's business on a shared computer.
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        if not path.exists():
            os.close(os.open(path, os.O_CREAT | os.O_RDWR, 0o600))
    except OSError as error:
        reason = (error.strerror or type(error).__name__).lower()
        raise StoreUnusable(
            f"{path}: it cannot be made ({reason}); see to the permissions of its folder, or "
            "name another place"
        ) from error
    make_ready(lambda: sqlite_engine(path, foreign_keys=False), str(path), file=path)
    return _listed(SqlStore(sqlite_engine(path), str(path)))


def _server(place: str) -> Store:
    # The address is not shown where it cannot be read: it may hold a password.
    url = _address(place)
    shown = url.render_as_string(hide_password=True)
    if url.drivername not in _SERVERS:
        raise StoreUnusable(f"{shown}: no store of that kind is known; {_PLACES}")
    url = url.set(drivername="postgresql+psycopg")
    try:
        make_ready(lambda: postgresql_engine(url), shown)
        return _listed(SqlStore(postgresql_engine(url), shown))
    except ImportError as error:
        raise StoreUnusable(
            f"{shown}: the driver for PostgreSQL is not installed; install it with "
            "pip install 'strandwright[postgres]'"
        ) from error


def _listed(store: SqlStore) -> SqlStore:
    try:
        store.list_if_other()
    except BaseException:
        store.close()
        raise
    return store


def _address(place: str) -> URL:
    try:
        return make_url(place)
    except (ArgumentError, ValueError) as error:
        raise StoreUnusable(f"the address of the database cannot be read; {_PLACES}") from error
