"""Engine: connections that keep what they acknowledge, and driver errors in our own words."""

from __future__ import annotations

from collections.abc import Generator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from sqlalchemy import URL, Connection, Engine, create_engine, event
from sqlalchemy.exc import SQLAlchemyError

from strandwright.errors import StoreUnusable

#: How long a write waits for that of another program [s]
PATIENCE = 10

#: On a power cut SQLite's rollback journal with EXTRA loses nothing that was committed.
_SQLITE = (
    "PRAGMA journal_mode=DELETE",
    "PRAGMA synchronous=EXTRA",
    "PRAGMA foreign_keys=ON",
    f"PRAGMA busy_timeout={1000 * PATIENCE}",
)
#: A server may be set to acknowledge too soon; a bench that lost its network must not block all.
_POSTGRESQL = (
    "SET synchronous_commit = on",
    f"SET lock_timeout = '{PATIENCE}s'",
    "SET idle_in_transaction_session_timeout = '30s'",
)

#: What a driver says of a trouble, what that is, and what to do.
_TROUBLES = (
    (
        ("locked", "lock timeout", "could not obtain lock"),
        "another program is writing there and does not end",
        "close it or try again; nothing of this was written",
    ),
    (
        ("disk is full", "disk full", "no space", "could not extend"),
        "the disk is full",
        "make room and try again; nothing of this was written",
    ),
    (
        ("not a database", "malformed", "corrupt"),
        "it is damaged or no store at all",
        "name another place, or restore a backup into a new one",
    ),
    (
        ("readonly", "read-only", "permission denied"),
        "it may not be written",
        "see to the permissions of the file and its folder, or name another place",
    ),
    (
        ("unable to open",),
        "the file cannot be opened",
        "see that its folder is there and may be written, or name another place",
    ),
    (
        ("connection", "could not translate", "failed to resolve", "does not exist", "password"),
        "the database server does not let us in",
        "see that it runs, and that name, user and password in the address are right",
    ),
)


def sqlite_engine(path: Path, *, foreign_keys: bool = True) -> Engine:
    """Make an engine on an SQLite file.

    Parameters
    ----------
    path : Path
        The file.
    foreign_keys : bool
        False only while tables are rebuilt by a migration.

    Returns
    -------
    Engine
        Nothing is opened yet.
    """
    engine = create_engine(URL.create("sqlite", database=str(path)))

    @event.listens_for(engine, "connect")
    def settle(connection: Any, _record: object) -> None:
        # Keeps the driver from beginning transactions of its own.
        connection.isolation_level = None
        for pragma in _SQLITE:
            connection.execute(pragma)
        if not foreign_keys:
            connection.execute("PRAGMA foreign_keys=OFF")

    @event.listens_for(engine, "begin")
    def begin(connection: Connection) -> None:
        # A write that began as a read could find the file changed under it and fail half way.
        writes = connection.get_execution_options().get("writes", False)
        connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")

    return engine


def postgresql_engine(url: URL) -> Engine:
    """Make an engine on a PostgreSQL database.

    Parameters
    ----------
    url : URL
        Its address, by the driver psycopg.

    Returns
    -------
    Engine
        Nothing is opened yet.

    Raises
    ------
    ModuleNotFoundError
        If the driver is not installed.
    """
    wait: dict[str, Any] = {} if "connect_timeout" in url.query else {"connect_timeout": PATIENCE}
    engine = create_engine(url, pool_pre_ping=True, connect_args=wait)

    @event.listens_for(engine, "connect")
    def settle(connection: Any, _record: object) -> None:
        connection.autocommit = True
        for setting in _POSTGRESQL:
            connection.execute(setting)
        connection.autocommit = False

    return engine


def writing(engine: Engine) -> Engine:
    """Give the same engine for transactions that write.

    Parameters
    ----------
    engine : Engine
        The engine.

    Returns
    -------
    Engine
        Over the same connections.
    """
    return engine.execution_options(writes=True)


def snapshot(engine: Engine) -> Engine:
    """Give the same engine for transactions that read several tables as of one moment.

    Parameters
    ----------
    engine : Engine
        The engine.

    Returns
    -------
    Engine
        Over the same connections.
    """
    if engine.dialect.name == "postgresql":
        return engine.execution_options(isolation_level="REPEATABLE READ")
    return engine  # an SQLite transaction always does


@contextmanager
def driver_errors(place: str) -> Generator[None]:
    """Say in our own words what a driver could not do: the one place where that is done.

    Parameters
    ----------
    place : str
        Where the store is, without a password.

    Yields
    ------
    None
        Nothing.

    Raises
    ------
    StoreUnusable
        For whatever the driver raised inside.
    """
    try:
        yield
    except SQLAlchemyError as error:
        raise StoreUnusable(f"{place}: {_told(error)}") from error


def _told(error: SQLAlchemyError) -> str:
    said = str(getattr(error, "orig", None) or error).strip()
    for signs, what, remedy in _TROUBLES:
        if any(sign in said.lower() for sign in signs):
            return f"{what}; {remedy}"
    first = said.split("\n")[0] or type(error).__name__
    return f"cannot be used: {first}; try again, and if it stays so restore a backup elsewhere"
