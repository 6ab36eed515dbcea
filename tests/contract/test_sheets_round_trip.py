"""CSV out of one store and into another: the same customers, bows, spools and parts."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from strandwright.errors import Conflict, InputError, InputErrors
from strandwright.planning.desk.builds import Desk
from strandwright.planning.examples import example
from strandwright.planning.spreadsheet.taking_in import KINDS, keep, looked_at
from strandwright.planning.stock.keeping import receive
from strandwright.store.memory import MemoryStore
from strandwright.workshop.events import make_event
from written_sheets import rows as rows_of
from written_sheets import sheets, take_in, text_of

NOW = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
AT = "2026-03-01T09:00:00.000Z"
BLEND = {"kind": "strand", "name": "hmpe-lcp", "colour": "#2F6B57"}
PEEP = {"kind": "part", "name": "=peep", "size": "3/16 in"}


def desk_over(store):
    """Give a desk whose clock stands."""
    return Desk(store, clock=lambda: NOW)


@pytest.fixture
def filled():
    """Give a desk with customers, bows, spools and parts whose texts are hard to carry."""
    desk = desk_over(MemoryStore())
    mara = {
        "name": '=HYPERLINK("x"), the "Ridge"',
        "reach": [{"at": "+49 30 1"}, {"by": "e-mail", "at": "@mara\u00e9.example"}],
        "notes": "first line\r\nsecond; \u2018third\u2019\ttab",
    }
    for id, table in (("mara", mara), ("jon", {"name": "'=Jon"})):
        desk.store.save("customer", id, table, at=AT, expected=0)
    for job in ("RIDGE-1", "TARN-1", "CRAG-1"):
        bow = example(job).bow.model_dump(mode="json", exclude_defaults=True)
        desk.store.save("bow", job.lower(), bow, at=AT, expected=0, put_away=job == "TARN-1")
    spool = {"ware": BLEND, "lot": "-7", "length": "500 m +- 2 %", "price": "41.50"}
    parts = {"ware": PEEP, "count": 12, "price": "0.80", "place": "@drawer"}
    for number, body in enumerate((spool, parts), start=1):
        event = make_event(f"{number:032x}", "stock-received", body, at=AT)
        receive(desk, f"{number + 8:032x}", event)
    return desk


def everything(store, what):
    """Give what a list tells of: newest documents, or logs with what came in."""
    if what in ("customers", "bows"):
        kind = what[:-1]
        return [(d.id, d.table, d.put_away) for d in store.documents(kind)]
    heads = store.logs(what[:-1])
    return [(h, [(s.seq, s.event.body) for s in store.events(h.id)]) for h in heads]


@pytest.mark.parametrize("system", ["in", "mm"])
def test_what_goes_out_comes_in_again_the_same(store, filled, system):
    """Into an empty store of each kind, in inches and millimetres; taken in twice it is one."""
    files = sheets(filled.store, system)
    desk = desk_over(store)
    for what in KINDS:
        assert {"new"} == set(take_in(desk, what, files[f"{what}.csv"])), what
        assert everything(filled.store, what) == everything(store, what), what
    mark = store.mark()
    for what in KINDS:
        assert {"same"} == set(take_in(desk, what, files[f"{what}.csv"])), what
    assert mark == store.mark()
    again = sheets(store, system)
    for what in KINDS:
        given, got = rows_of(files[f"{what}.csv"]), rows_of(again[f"{what}.csv"])
        for row in (*given, *got):
            row.pop("saved_at", None)
        assert given == got, what


def test_a_changed_row_is_a_further_revision(store, filled):
    """Every value that differs is told, and the older revision stays."""
    files = sheets(filled.store)
    desk = desk_over(store)
    take_in(desk, "customers", files["customers.csv"])
    changed = rows_of(files["customers.csv"])
    changed[0]["notes"], changed[0]["put_away"] = "moved", "yes"
    report = looked_at(desk, "customers", text_of(changed))
    assert ["changes", "same"] == [row.outcome for row in report.rows]
    told = {change.name: (change.was, change.now) for change in report.rows[0].changes}
    assert {"notes": ("", "moved"), "put_away": ("no", "yes")} == told
    keep(desk, report)
    both = store.revisions("customer", "jon")
    assert [{"name": "'=Jon"}, {"name": "'=Jon", "notes": "moved"}] == [d.table for d in both]
    assert both[1].put_away


def test_a_changed_spool_withdraws_what_its_log_began_with(store, filled):
    """The log keeps both; how it stands follows the newer one."""
    files = sheets(filled.store, "mm")
    desk = desk_over(store)
    take_in(desk, "spools", files["spools.csv"])
    changed = rows_of(files["spools.csv"])
    changed[0] |= {"length_m": "480", "length": ""}
    assert ["changes"] == take_in(desk, "spools", text_of(changed))
    (head,) = store.logs("spool")
    types = [stored.event.type for stored in store.events(head.id)]
    assert ["stock-received", "withdrawn", "stock-received"] == types
    (listing,) = store.listings("spool")
    assert 480.0 == pytest.approx(listing.summary["left"])
    assert ["same"] == take_in(desk, "spools", text_of(changed))


def test_one_row_that_is_refused_keeps_all_others_out(store, filled):
    """Nothing of a file is kept where any of it cannot be; each row says why."""
    given = rows_of(sheets(filled.store)["bows.csv"])
    given[1]["brace_height"], given[1]["brace_height_in"] = "7 miles", ""
    given[2]["kind"] = "trebuchet"
    desk = desk_over(store)
    report = looked_at(desk, "bows", text_of(given))
    assert ["new", "refused", "refused"] == [row.outcome for row in report.rows]
    with pytest.raises(InputErrors, match=r"row 3: .*brace_height"):
        keep(desk, report)
    assert 0 == store.mark()
    assert () == store.documents("bow")


def test_a_list_looked_at_before_somebody_else_wrote_is_refused(store, filled):
    """What was decided on is what is written over nothing."""
    text = sheets(filled.store)["customers.csv"]
    desk = desk_over(store)
    report = looked_at(desk, "customers", text)
    store.save("customer", "jon", {"name": "Jon of the mill"}, at=AT, expected=0)
    with pytest.raises(Conflict):
        keep(desk, report)
    assert ["jon"] == [document.id for document in store.documents("customer")]


def test_a_stranger_to_the_shop_brings_an_address_book(store):
    """Another program's headers, its semicolons and its mark at the beginning of the file."""
    text = "\ufeffFull name;Phone;E-Mail;Shoe size\r\nMara Holt;+49 30 1;m@holt.example;9\r\n"
    desk = desk_over(store)
    report = looked_at(desk, "customers", text, {"Full name": "name"})
    assert ("Shoe size",) == report.left_out
    keep(desk, report)
    (kept,) = store.documents("customer")
    reach = [{"at": "+49 30 1"}, {"by": "e-mail", "at": "m@holt.example"}]
    assert ("mara-holt", {"name": "Mara Holt", "reach": reach}) == (kept.id, kept.table)
    assert ["same"] == [
        row.outcome for row in looked_at(desk, "customers", text, {"full name": "name"}).rows
    ]
    with pytest.raises(InputError, match="must be a header of the file"):
        looked_at(desk, "customers", text, {"Surname": "name"})


def test_doubles_are_told(store):
    """The same number under another name, the same name twice, a spool of a lot that is here."""
    desk = desk_over(store)
    take_in(desk, "customers", "id,name,phone\r\nmara,Mara Holt,+49 30-1\r\n")
    text = "id,name,phone\r\nm2,M. Holt,+49 (30) 1\r\nj1,Jon,\r\nj2,Jon,\r\n"
    notes = [row.notes for row in looked_at(desk, "customers", text).rows]
    told = [("+49 (30) 1 is a way to reach mara too",), (), ("the same name stands under j1",)]
    assert told == notes
    spools = "ware.kind,ware.name,lot,length\r\nstrand,hmpe-lcp,7,500 m\r\n"
    take_in(desk, "spools", spools)
    (row,) = looked_at(desk, "spools", spools.replace("500 m", "400 m")).rows
    assert ("new", ("1 of this ware and lot is kept already",)) == (row.outcome, row.notes)
    twice = f"{spools}strand,hmpe-lcp,7,500 m\r\n"
    same, new = looked_at(desk, "spools", twice).rows
    assert ("same", "new") == (same.outcome, new.outcome)
    assert "just like row 2; it is taken for a further one" in new.notes
