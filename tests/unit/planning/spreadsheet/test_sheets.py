"""Sheets: one row of a table for each file, held to the nouns, the events and the README."""

from __future__ import annotations

import pytest

from bench_work import Work
from order_events import event, measured, opened
from strandwright.planning.desk.builds import Desk
from strandwright.planning.examples import example
from strandwright.planning.settling.record import appended
from strandwright.planning.spreadsheet.leaves import leaves_of
from strandwright.planning.spreadsheet.log_sheets import Happenings, Logs
from strandwright.planning.spreadsheet.readme import readme
from strandwright.planning.spreadsheet.sheets import Documents, Entries, Parts
from strandwright.planning.spreadsheet.table import NOT_HERE, SHEETS
from strandwright.planning.stock.keeping import enter
from strandwright.store.memory import MemoryStore
from strandwright.workshop.documents import KINDS, LOG_KINDS, LogHead
from strandwright.workshop.events import TYPES
from strandwright.workshop.fields import Noun, noun_of
from strandwright.workshop.happenings.stock import StockReceived
from strandwright.workshop.order_number import order_number
from strandwright.workshop.parts import Bow
from strandwright.workshop.quote import Quote
from strandwright.workshop.service import entry_from_table
from strandwright.workshop.writes import Append, Begin
from written_sheets import rows, sheets

NAMES = [sheet.file for sheet in SHEETS]


@pytest.mark.parametrize("system", ["in", "mm"])
@pytest.mark.parametrize("sheet", SHEETS, ids=NAMES)
def test_a_header_names_each_column_once_and_means_something(sheet, system):
    """No two columns of a file have one name; each has a unit or says what it is, and a meaning."""
    columns = sheet.columns(system)
    names = [column.name for column in columns]
    assert len(names) == len(set(names))
    assert all(column.unit and column.meaning for column in columns)
    assert "=" not in "".join(names)


def test_every_kind_of_record_has_its_sheet_or_a_reason():
    """Whoever adds a kind of document or log adds a row, or says why it has none."""
    told = {sheet.of for sheet in SHEETS}
    for kind in (*KINDS, *LOG_KINDS):
        assert (kind in told) != (kind in NOT_HERE), f"add a row to {__name__} for {kind}"


def test_every_type_of_event_stands_in_a_sheet():
    """No event of an order, a build, a spool or small parts is left out."""
    for kind in LOG_KINDS:
        if kind in NOT_HERE:
            continue
        (events,) = (
            s
            for s in SHEETS
            if s.of == kind and isinstance(s, Happenings | Entries) and not _is_part(s)
        )
        assert TYPES[kind] == set(events.bodies)


def _is_part(sheet: Happenings | Entries) -> bool:
    """Whether only some events of a log stand in it."""
    return isinstance(sheet, Happenings) and sheet.counting


def fields_of(noun: type[Noun], within: tuple[str, ...] = ()):
    """Give the path of every field of a noun, lists being one."""
    for name, field in noun.model_fields.items():
        inner = noun_of(field.annotation)
        text = str(field.annotation)
        if inner is None or "tuple[" in text:
            yield (*within, name)
        else:
            yield from fields_of(inner, (*within, name))


def nouns():
    """Give every noun that a sheet tells of."""
    for sheet in SHEETS:
        match sheet:
            case Documents() | Parts():
                yield sheet.noun
            case Logs():
                if sheet.noun is not None:
                    yield sheet.noun
            case Happenings() | Entries():
                yield from sheet.bodies.values()
            case _:
                raise AssertionError(sheet)


@pytest.mark.parametrize("noun", sorted(set(nouns()), key=str))
def test_no_field_of_a_noun_is_forgotten(noun):
    """Each field of each noun is a leaf, or a list whose places are."""
    leaves = {leaf.path for leaf in leaves_of(noun)}
    for path in fields_of(noun):
        assert any(leaf[: len(path)] == path for leaf in leaves), path


def test_the_readme_tells_every_column_of_every_file():
    """Made from the same table: name, unit, meaning, a line each."""
    text = readme(SHEETS, "mm")
    for sheet in SHEETS:
        section = text.split(f"{sheet.file}: a row is ")[1].split("\n\n")[0]
        for column in sheet.columns("mm"):
            assert f"  {column.name}  [{column.unit}]  {column.meaning}" in section
    for kind in NOT_HERE:
        assert f"  {kind}: " in text


def test_a_quantity_has_a_number_and_what_was_typed():
    """In the unit its header ends in; words have no number."""
    work = Work()
    for system, name, number in (("in", "draw_weight_lbf", 60.0), ("mm", "draw_weight_N", 266.893)):
        (row,) = rows(sheets(work.desk.store, system)["jobs.csv"])
        assert number == pytest.approx(float(row[f"bow.{name}"]), abs=1e-3)
        assert "60 lbf" == row["bow.draw_weight"]
    bench = work.desk.job("RIDGE-1").job.bench.model_dump(mode="json") | {"rating": "unknown"}
    work.desk.store.save("bench", "b", bench, at=work.desk.now(), expected=0)
    (row,) = rows(sheets(work.desk.store)["benches.csv"])
    assert ("", "unknown") == (row["rating_lbf"], row["rating"])


def test_a_build_its_events_and_its_readings():
    """A reading that was withdrawn stands among the events and not among the readings."""
    work = Work()
    work.wound()
    slip = work.read("bare", off=0.01)
    work.did("withdrawn", event=slip.id)
    work.read("bare")
    files = {name: rows(text) for name, text in sheets(work.desk.store).items()}
    (build,), head = files["builds.csv"], work.desk.store.build(work.build)
    assert ("RIDGE-1", "at the jig", head.plan_id) == (
        build["job"], build["status"], build["plan"],
    )  # fmt: skip
    (reading,) = files["readings.csv"]
    assert ("length-read", "bare") == (reading["type"], reading["stage"])
    assert 57 < float(reading["length_in"]) < 58
    events = files["build-events.csv"]
    assert [str(n + 1) for n in range(len(events))] == [event["place"] for event in events]
    assert {slip.id} == {event["event_id"] for event in events if event["counts"] == "no"}
    posts = next(event for event in events if event["type"] == "posts-set")
    assert 57 < float(posts["outside_in"]) < 58


def test_what_is_left_on_a_spool_and_money_stand_exactly():
    """Feet or metres that can be added up; money as it was written."""
    desk = Desk(MemoryStore())
    log, ware = "a" * 32, {"kind": "strand", "name": "hmpe-lcp"}
    received = {"ware": ware, "length": "500 m", "price": "41.50"}
    for number, (type, body) in enumerate(
        (("stock-received", received), ("stock-used", {"length": "20 m"})), start=1
    ):
        table = {"id": f"{number:032x}", "type": type, "at": desk.now(), "by": "b", "body": body}
        enter(desk, log, table)
    files = sheets(desk.store, "mm")
    (spool,) = rows(files["spools.csv"])
    assert ("480", "500", "41.50") == (spool["left_m"], spool["length_m"], spool["price"])
    assert ["500", "20"] == [event["length_m"] for event in rows(files["spool-events.csv"])]
    (feet,) = rows(sheets(desk.store, "in")["spools.csv"])
    assert 480 / 0.3048 == pytest.approx(float(feet["left_ft"]))


def test_a_list_of_nouns_is_json_and_a_short_one_has_columns():
    """Tracks of a bow as they are kept; ways to reach a customer by their place."""
    tracks = next(leaf for leaf in leaves_of(Bow) if leaf.name == "tracks")
    bow = example("RIDGE-1").bow.model_dump(mode="json", exclude_defaults=True)
    assert ("list", True) == (tracks.how, tracks.text(bow).startswith('[{"name":'))
    assert {"exact"} == {
        leaf.how for leaf in leaves_of(Quote) if leaf.name in ("total", "subtotal")
    }
    assert "exact" == next(leaf.how for leaf in leaves_of(StockReceived) if leaf.name == "price")


def test_entries_of_a_lines_service_stand_row_by_row():
    """What was taken back says so."""
    work = Work()
    desk, now = work.desk, work.desk.now()
    entries = [
        {"id": "1" * 32, "type": "on-bow", "at": now, "shots": 0, "body": {}},
        {"id": "2" * 32, "type": "waxed", "at": now, "shots": 40, "body": {}},
        {"id": "3" * 32, "type": "taken-back", "at": now, "body": {"entry": "2" * 32}},
    ]
    desk.store.write(appended(work.build, (), [entry_from_table(entry) for entry in entries]))
    found = rows(sheets(desk.store)["service-entries.csv"])
    assert ["yes", "no", "yes"] == [entry["counts"] for entry in found]
    assert ["on-bow", "waxed", "taken-back"] == [entry["type"] for entry in found]


def test_old_records_that_no_noun_would_take_are_still_written():
    """A document of another time loses nothing but what has no column."""
    store = MemoryStore()
    old = {"kind": "two-cam", "brace_height": 7}
    store.save("bow", "old", old, at="2026-03-01T00:00:00Z", expected=0)
    (row,) = rows(sheets(store)["bows.csv"])
    assert ("7", "") == (row["brace_height"], row["brace_height_in"])


def test_an_order_its_events_and_a_quote_with_its_lines():
    """The number people say, money as it was written, a discount below nothing unguarded."""
    store = MemoryStore()
    order = [opened(customer="mara"), measured(), event(4, "paid", amount="12.50", how="card")]
    log = "5f0c21aa" * 4
    store.write([Begin(LogHead(log, "order", "mara", order[0].at)), Append(log, order)])
    lines = [{"kind": "work", "title": "=Work", "amount": "48.00"}]
    discounts = [{"kind": "other", "title": "a friend", "amount": "-3.00"}]
    quote = {"id": "BW64H0", "total": "45.00", "lines": lines, "discounts": discounts}
    store.save("quote", "BW64H0", quote, at=order[0].at, expected=0)
    files = {name: rows(text) for name, text in sheets(store).items()}
    (row,) = files["orders.csv"]
    assert (order_number(log), "mara", "two-cam") == (
        row["number"], row["customer"], row["bow.kind"],
    )  # fmt: skip
    paid = files["order-events.csv"][-1]
    assert ("paid", "12.50", "card") == (paid["type"], paid["amount"], paid["how"])
    told = [(line["list"], line["title"], line["amount"]) for line in files["quote-lines.csv"]]
    assert [("lines", "'=Work", "48.00"), ("discounts", "a friend", "-3.00")] == told
    assert ["45.00"] == [one["total"] for one in files["quotes.csv"]]
