"""Schemas: every one there ever was opens, none is half changed, a newer one is left alone.

``schemas/NNNN.sql`` is a whole store as the program of that schema wrote it, in SQL that both
databases read; ``NNNN.jsonl`` is what it held. A released pair never changes.
"""

from __future__ import annotations

import json
import shutil
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from kept_things import AT, a_note, digits, fill
from sqlalchemy import inspect, make_url, text

from strandwright.errors import StoreUnusable
from strandwright.store import tables
from strandwright.store.engine import postgresql_engine, sqlite_engine, writing
from strandwright.store.open import open_store
from strandwright.store.schema import MIGRATIONS, known, make_ready, migrate
from strandwright.workshop.service import entry_from_table, entry_of, log_head

SCHEMAS = Path(__file__).parent / "schemas"
EVER = sorted(path.stem for path in SCHEMAS.glob("*.sql"))


def engine_of(place, **options):
    """Give an engine on a place, as opening it would."""
    if "://" in place:
        return postgresql_engine(make_url(place).set(drivername="postgresql+psycopg"))
    return sqlite_engine(Path(place), **options)


def run(place, *statements):
    """Run statements as another program would."""
    engine = engine_of(place)
    with writing(engine).begin() as connection:
        for statement in statements:
            connection.exec_driver_sql(statement)
    engine.dispose()


def ask(place, query):
    """Give the rows of a query."""
    engine = engine_of(place)
    with engine.begin() as connection:
        rows = [tuple(row) for row in connection.execute(text(query))]
    engine.dispose()
    return rows


def as_today(record):
    """Give a record as it is written today; once an event hung on a build and no other log."""
    return {"log" if key == "build" else key: value for key, value in record.items()}


def ready(place, migrations=MIGRATIONS, newest=tables.SCHEMA):
    """Make a place ready as opening it does, with migrations of one's own."""
    file = None if "://" in place else Path(place)
    make_ready(
        lambda: engine_of(place, foreign_keys=False) if file else engine_of(place),
        place,
        file=file,
        migrations=migrations,
        newest=newest,
    )


GOOD = """
import sqlalchemy as sa
from alembic import op
revision, down_revision = "0004", "0003"

def upgrade():
    with op.batch_alter_table("log") as batch:
        batch.add_column(sa.Column("bench", sa.String(40), nullable=False, server_default="home"))
        batch.drop_constraint("fk_log_plan_id_plan", type_="foreignkey")
        batch.create_foreign_key("fk_log_plan_id_plan", "plan", ["plan_id"], ["id"])
    op.execute("UPDATE log SET bench = 'first' WHERE subject = 'RIDGE-1'")

def downgrade():
    with op.batch_alter_table("log") as batch:
        batch.drop_column("bench")
"""
FAILING = GOOD.replace("\ndef downgrade", '    raise RuntimeError("midway")\n\ndef downgrade')
LOSING = GOOD.replace("\ndef downgrade", '    op.execute("DELETE FROM plan")\n\ndef downgrade')


@pytest.fixture
def migrations(tmp_path):
    """Give a function that makes a folder of migrations with one more."""

    def make(second):
        folder = tmp_path / "100 % migrations"
        shutil.rmtree(folder, ignore_errors=True)
        shutil.copytree(MIGRATIONS, folder, ignore=shutil.ignore_patterns("__pycache__"))
        (folder / "versions" / "0004_bench.py").write_text(second, encoding="utf-8")
        return folder

    return make


def test_the_newest_schema_is_the_last_migration():
    """The tables of the program and its migrations tell of the same schema."""
    assert tables.SCHEMA == known()[0]
    assert EVER == sorted(known()), "keep a dump of each schema that is released"


def test_migrations_lead_to_the_tables_of_the_program(empty_place):
    """What the migrations make is what the program reads and writes, names and all."""
    from alembic.autogenerate import compare_metadata
    from alembic.migration import MigrationContext

    open_store(empty_place).close()
    engine = engine_of(empty_place)
    with engine.begin() as connection:
        options = {"compare_type": True, "version_table": tables.schema.name}
        context = MigrationContext.configure(connection, opts=options)
        # Alembic leaves its own table out.
        differences = list(compare_metadata(context, tables.metadata))
        found = inspect(connection)
        names = {
            t.name: {found.get_pk_constraint(t.name)["name"]}
            | {k["name"] for k in found.get_foreign_keys(t.name)}
            | {k["name"] for k in found.get_unique_constraints(t.name)}
            for t in tables.metadata.sorted_tables
            if t is not tables.schema
        }
    engine.dispose()
    assert [] == [d for d in differences if tables.schema.name not in str(d)]
    for table in tables.metadata.sorted_tables:
        if table is not tables.schema:
            assert {str(c.name) for c in table.constraints if c.name} == names[table.name]


@pytest.mark.parametrize("schema", EVER)
def test_every_schema_there_ever_was_opens_and_reads_equal(empty_place, schema):
    """A store that was written years ago holds what it held, and goes on."""
    run(empty_place, *(SCHEMAS / f"{schema}.sql").read_text("utf-8").splitlines())
    store = open_store(empty_place)
    held = (SCHEMAS / f"{schema}.jsonl").read_text("utf-8").splitlines()
    assert [as_today(json.loads(line)) for line in held] == list(store.contents())
    build = store.builds()[0].id
    places = [s.seq for s in store.events(build)]
    store.append(build, [a_note("further")])
    assert [*places, len(places) + 1] == [s.seq for s in store.events(build)]
    store.close()


def test_entries_of_a_line_that_wrote_a_document_each_become_a_log(empty_place):
    """Each stands once, in its order, with its shots; going back writes them as one document."""
    run(empty_place, *(SCHEMAS / "0002.sql").read_text("utf-8").splitlines())
    build = digits("first")
    rows = [
        {"id": digits(f"entry {n}"), "type": type, "version": 1, "at": AT, "shots": shots,
         "by": "bench 1", "body": body}
        for n, (type, shots, body) in enumerate((
            ("on-bow", 0, {}), ("length-off", 40, {"length": "57 1/4 in"}),
            ("taken-back", 0, {"entry": digits("entry 1")}),
        ))
    ]  # fmt: skip
    for revision in (1, 2, 3):
        text = json.dumps({"format": 1, "entries": rows[:revision]}, separators=(",", ":"))
        insert = f"'service', '{build}', {revision}, '{text}', '{AT}', FALSE"
        run(empty_place, f"INSERT INTO document VALUES ({insert})")
    store = open_store(empty_place)
    (log,) = store.logs("service", build)
    assert log == log_head(build, AT)
    kept = [entry_of(stored.event) for stored in store.events(log.id)]
    assert [entry_from_table(row) for row in rows] == kept
    records = list(store.contents())
    assert ["on a bow"] == [row.status for row in store.listings("service")]
    store.close()
    engine = engine_of(empty_place, **({} if "://" in empty_place else {"foreign_keys": False}))
    for schema in ("0002", "0003"):
        with writing(engine).begin() as connection:
            migrate(connection, schema)
    engine.dispose()
    again = open_store(empty_place)
    assert records == list(again.contents())
    again.close()


def test_a_place_opened_again_is_as_it_was(lasting_place):
    """Opening changes nothing."""
    first = open_store(lasting_place)
    fill(first)
    before = (first.mark(), list(first.contents()))
    first.close()
    again = open_store(lasting_place)
    assert before == (again.mark(), list(again.contents()))
    again.close()


def test_up_down_up(empty_place, migrations):
    """A migration and its way back lose nothing, with records there."""
    store = open_store(empty_place)
    fill(store)
    before = list(store.contents())
    store.close()
    folder = migrations(GOOD)
    for schema in ("0004", "0003", "0002", "0001", "0002", "0003", "0004", "0003"):
        engine = engine_of(empty_place, **({} if "://" in empty_place else {"foreign_keys": False}))
        with writing(engine).begin() as connection:
            migrate(connection, schema, folder)
        engine.dispose()
        assert [(schema,)] == ask(empty_place, "SELECT version_num FROM strandwright_schema")
    store = open_store(empty_place)
    assert before == list(store.contents())
    store.close()


def test_the_first_schema_can_be_taken_away(empty_place):
    """Down to nothing and up again."""
    engine = engine_of(empty_place)
    for to in (tables.SCHEMA, "base", tables.SCHEMA):
        with writing(engine).begin() as connection:
            migrate(connection, to)
    engine.dispose()
    store = open_store(empty_place)
    assert 0 == store.mark()
    store.close()


def test_an_older_schema_is_brought_up_when_opened(lasting_place, migrations):
    """Records move with it; a copy of a file is kept beside it first."""
    store = open_store(lasting_place)
    fill(store)
    before = list(store.contents())
    store.close()
    ready(lasting_place, migrations(GOOD), "0004")
    assert [("first",), ("home",)] == ask(lasting_place, "SELECT bench FROM log ORDER BY bench")
    assert [("0004",)] == ask(lasting_place, "SELECT version_num FROM strandwright_schema")
    if "://" not in lasting_place:
        copy = open_store(f"{lasting_place}.schema-0003")
        assert before == list(copy.contents())
        copy.close()
        names = {p.name for p in Path(lasting_place).parent.iterdir() if p.is_file()}
        assert {"store.sqlite3", "store.sqlite3.schema-0003"} == names


@pytest.mark.parametrize("second", [FAILING, LOSING], ids=["raises", "loses records"])
def test_a_migration_that_fails_leaves_all_as_it_was(lasting_place, migrations, second):
    """It stays pending; the program that wrote the store goes on; a mended one finishes it."""
    store = open_store(lasting_place)
    fill(store)
    before = (store.mark(), list(store.contents()))
    store.close()
    for _ in range(2):
        with pytest.raises(StoreUnusable, match="stays as it was"):
            ready(lasting_place, migrations(second), "0004")
    again = open_store(lasting_place)
    assert before == (again.mark(), list(again.contents()))
    again.save("job", "new", {}, at=AT, expected=0)
    again.close()
    ready(lasting_place, migrations(GOOD), "0004")
    assert [("0004",)] == ask(lasting_place, "SELECT version_num FROM strandwright_schema")
    jobs = ask(lasting_place, "SELECT DISTINCT id FROM document WHERE kind = 'job' ORDER BY id")
    assert [("RIDGE-1",), ("TARN-1",), ("new",)] == jobs


def test_a_newer_schema_is_refused_and_left_alone(lasting_place):
    """An older program does not guess at what a newer one wrote."""
    store = open_store(lasting_place)
    fill(store)
    store.close()
    run(lasting_place, "UPDATE strandwright_schema SET version_num = '0999'")
    with pytest.raises(StoreUnusable, match=r"newer strandwright \(schema 0999.*use that one"):
        open_store(lasting_place)
    assert [("0999",)] == ask(lasting_place, "SELECT version_num FROM strandwright_schema")


def test_tables_of_another_program_are_left_alone(empty_place):
    """A database in which something else lives is not moved into."""
    run(empty_place, "CREATE TABLE other (id INTEGER)")
    with pytest.raises(StoreUnusable, match="tables of another program; give strandwright"):
        open_store(empty_place)
    assert [] == ask(empty_place, "SELECT id FROM other")


def test_the_copy_is_made_through_the_database(tmp_path, migrations):
    """No lock is lost: what another connection has begun to write is not in the copy."""
    place = str(tmp_path / "store.sqlite3")
    store = open_store(place)
    fill(store)
    store.close()
    with closing(sqlite3.connect(place, isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        other.execute("UPDATE mark SET value = 0")
        other.execute("ROLLBACK")
        ready(place, migrations(GOOD), "0004")
    copy = open_store(f"{place}.schema-0003")
    assert copy.mark() > 0
    copy.close()
