"""Schema: a new place is made ready, an older one is brought up, a newer one is refused."""

from __future__ import annotations

import os
from collections.abc import Callable
from contextlib import closing
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Engine, inspect, select, text

from strandwright.errors import StoreUnusable
from strandwright.store import tables
from strandwright.store.engine import driver_errors, writing

MIGRATIONS = Path(__file__).parent / "migrations"
#: Any number that no other program takes for its own lock.
_LOCK = 7_352_391_460


def make_ready(
    open_engine: Callable[[], Engine],
    place: str,
    *,
    file: Path | None = None,
    migrations: Path = MIGRATIONS,
    newest: str = tables.SCHEMA,
) -> None:
    """Bring a place to the newest schema, in one transaction or not at all.

    Parameters
    ----------
    open_engine : callable
        Gives an engine that does not enforce foreign keys on SQLite: tables are rebuilt there.
    place : str
        Where it is, for errors.
    file : Path or None
        The SQLite file; a copy of it is kept beside it before an upgrade.
    migrations : Path
        Folder of the migrations.
    newest : str
        The schema wanted.

    Raises
    ------
    StoreUnusable
        If the place belongs to another program or a newer strandwright, or cannot be brought up:
        then it is as it was.
    """
    engine = open_engine()
    try:
        with driver_errors(place), engine.connect() as connection:
            if _schema(connection, place) == newest:
                return
        with driver_errors(place), writing(engine).begin() as connection:
            _bring_up(connection, place, file, migrations, newest)
    finally:
        engine.dispose()


def _bring_up(
    connection: Connection, place: str, file: Path | None, migrations: Path, newest: str
) -> None:
    """Run what is missing; another program may have done it since the first look."""
    if connection.dialect.name == "postgresql":
        connection.execute(text("SELECT pg_advisory_xact_lock(:lock)"), {"lock": _LOCK})
    found = _schema(connection, place)
    if found == newest:
        return
    if found is not None and found not in known(migrations):
        raise StoreUnusable(
            f"{place}: it was written by a newer strandwright (schema {found}; this one knows "
            f"{newest}); use that one, or name another place"
        )
    if found is not None and file is not None:
        _keep_copy(file, found)
    try:
        migrate(connection, newest, migrations)
    except Exception as error:
        raise StoreUnusable(
            f"{place}: its schema {found or 'nothing'} could not be brought to {newest} and stays "
            f"as it was ({type(error).__name__}); use the strandwright that wrote it, take a "
            "backup with it and report this"
        ) from error
    if connection.dialect.name == "sqlite":
        _need_whole(connection, place)


def _schema(connection: Connection, place: str) -> str | None:
    """Give the schema a database has, None for an empty one."""
    names = set(inspect(connection).get_table_names())
    if tables.schema.name in names:
        return connection.execute(select(tables.schema.c.version_num)).scalar()
    if names:
        raise StoreUnusable(
            f"{place}: it holds the tables of another program; give strandwright a file or "
            "database of its own"
        )
    return None


def _need_whole(connection: Connection, place: str) -> None:
    if connection.exec_driver_sql("PRAGMA foreign_key_check").first() is not None:
        raise StoreUnusable(
            f"{place}: records would lose what they hang on, so its schema stays as it was; "
            "use the strandwright that wrote it and report this"
        )


def _keep_copy(file: Path, found: str) -> None:
    """Copy the file through SQLite: opening it as a file would drop the locks held on it.

    A second connection reads what was committed; the one that holds the lock cannot be read from.
    """
    import sqlite3

    copy = file.with_name(f"{file.name}.schema-{found}")
    beside = file.with_name(f"{copy.name}.part")
    try:
        beside.unlink(missing_ok=True)
        with closing(sqlite3.connect(file)) as source, closing(sqlite3.connect(beside)) as target:
            source.backup(target)
        os.replace(beside, copy)
    except (OSError, sqlite3.Error) as error:
        raise StoreUnusable(
            f"{file}: no copy of it could be kept beside it before its schema is changed "
            f"({error}); make room in that folder and try again"
        ) from error


# ------------------------------------------------------------------------------- migrations


def known(migrations: Path = MIGRATIONS) -> tuple[str, ...]:
    """Give every schema there ever was, newest first.

    Parameters
    ----------
    migrations : Path
        Folder of the migrations.

    Returns
    -------
    tuple of str
        Their numbers.
    """
    from alembic.script import ScriptDirectory

    script = ScriptDirectory.from_config(_config(migrations))
    return tuple(step.revision for step in script.walk_revisions())


def migrate(connection: Connection, to: str, migrations: Path = MIGRATIONS) -> None:
    """Run migrations inside the transaction of a connection, up or down.

    Parameters
    ----------
    connection : Connection
        In a transaction that writes.
    to : str
        Schema to reach; ``base`` for none.
    migrations : Path
        Folder of the migrations.
    """
    from alembic import command

    config = _config(migrations)
    config.attributes["connection"] = connection
    schemas = known(migrations)
    found = None
    if inspect(connection).has_table(tables.schema.name):
        found = connection.execute(select(tables.schema.c.version_num)).scalar()
    down = to == "base" or (found in schemas and schemas.index(to) > schemas.index(str(found)))
    (command.downgrade if down else command.upgrade)(config, to)


def _config(migrations: Path) -> Any:
    from alembic.config import Config

    config = Config()
    # A percent sign in the path would be taken for a placeholder.
    config.set_main_option("script_location", str(migrations).replace("%", "%%"))
    config.set_main_option("path_separator", "os")
    return config
