"""Accepting: told once, taken once, and what is on the shelf is promised with it or not at all."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from order_events import opened
from quoted_lines import quote_of
from strandwright.errors import Conflict, InputErrors, SpecError
from strandwright.planning.entries.editing import tables_of
from strandwright.planning.examples import example
from strandwright.planning.ports import Store
from strandwright.planning.quote.accepting import Told
from strandwright.planning.quote.keeping import (
    accept_quote,
    keep_terms,
    kept_quote,
    kept_terms,
    tell_quote,
)
from strandwright.planning.quote.prices import Want
from strandwright.planning.quote.shelf import prices_on, shelf_of
from strandwright.store.memory import MemoryStore
from strandwright.store.open import open_store
from strandwright.workshop.documents import LogHead
from strandwright.workshop.events import make_event
from strandwright.workshop.order_state import fold
from strandwright.workshop.quote import Quote
from strandwright.workshop.wares import Ware
from strandwright.workshop.writes import Append, Begin, Save

ORDER = "c0ffee00" * 4
AT = "2026-11-28T12:00:00.000Z"
TOLD = Told(AT, "counter")
BIRCH = {"kind": "strand", "name": "hmpe-lcp", "colour": "#D9D2C0"}
HEATHER = {"kind": "strand", "name": "hmpe-lcp", "colour": "#6C4F77"}
DARK = {"kind": "thread", "name": "braid-018", "colour": "#3A3A3A"}
BLUE = {"kind": "thread", "name": "braid-021", "colour": "#2E4E6B"}


def _id(number: int) -> str:
    return f"{number:032x}"


class Shop:
    """A store with an order of the crag string and some spools."""

    def __init__(self, store: Store | None = None) -> None:
        self.store = store or MemoryStore()
        self.events = 100
        job = tables_of(example("CRAG-1"))
        added = make_event(_id(2), "job-added", {"job": "CRAG-1"}, at=AT)
        self.store.write(
            [
                Save("job", "CRAG-1", job, AT, 0),
                Begin(LogHead(ORDER, "order", "C1", AT)),
                Append(ORDER, [opened(), added]),
            ]
        )

    def spool(self, number: int, ware: dict[str, Any], **body: Any) -> str:
        """Put a spool, or parts, on the shelf."""
        log = _id(1000 + number)
        kind = "part" if ware["kind"] == "part" else "spool"
        self.events += 1
        event = make_event(_id(self.events), "stock-received", {"ware": ware, **body}, at=AT)
        self.store.write([Begin(LogHead(log, kind, ware["name"], AT)), Append(log, [event])])
        return log

    def stocked(self) -> dict[str, str]:
        """Put everything on the shelf that the crag string takes."""
        return {
            "birch": self.spool(1, BIRCH, length="500 m", mass="104 g", price="32.00"),
            "heather": self.spool(2, HEATHER, length="500 m", price="32.00"),
            "dark": self.spool(3, DARK, length="91 m", price="14.00"),
            "blue": self.spool(4, BLUE, length="91 m"),
            "peep": self.spool(5, {"kind": "part", "name": "peep", "size": "3/16 in"}, count=3,
                               price="25.00"),
        }  # fmt: skip

    def state(self):
        """Give how the order stands."""
        return fold(self.store.events(ORDER))

    def promised(self, log: str) -> tuple[float, int]:
        """Give what is reserved of a log."""
        state = next(one.state for one in shelf_of(self.store) if one.log == log)
        return state.reserved_length, state.reserved_count


def _quote(**changes: Any) -> Quote:
    return quote_of("crag-string", order=ORDER, **changes)


@pytest.mark.parametrize("place", ["memory:", "shop.sqlite3"])
def test_a_quote_is_told_and_taken(place: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    """Kept, recorded in its order, and its material promised to its job, +- and all."""
    monkeypatch.chdir(tmp_path)
    shop = Shop(open_store(place))
    logs = shop.stocked()
    assert 1 == tell_quote(shop.store, _quote(), TOLD)
    assert "K7M2QX" == shop.state().quoted.quote
    done = accept_quote(shop.store, "K7M2QX", TOLD)
    assert () == done.short
    assert 1 == shop.state().accepted.revision
    wares = {w.colour_name or w.ware.name: w for w in kept_quote(shop.store, "K7M2QX")[0].wares}
    for name in ("birch", "heather"):
        length = wares[name].length
        wanted = length.si + 2.0 * (length.standard_uncertainty or 0.0)
        assert wanted == pytest.approx(shop.promised(logs[name])[0], abs=1.1e-3)
    assert (0.0, 1) == shop.promised(logs["peep"])
    assert all(one.job == "CRAG-1" for one in done.promises)
    shop.store.close()


def test_told_or_taken_twice_it_is_one():
    """Nothing is promised a second time."""
    shop = Shop()
    logs = shop.stocked()
    assert 1 == tell_quote(shop.store, _quote(), TOLD) == tell_quote(shop.store, _quote(), TOLD)
    accept_quote(shop.store, "K7M2QX", TOLD)
    before, mark = shop.promised(logs["birch"]), shop.store.mark()
    again = accept_quote(shop.store, "K7M2QX", Told("2026-11-28T13:00:00.000Z"))
    assert () == again.writes
    assert (before, mark) == (shop.promised(logs["birch"]), shop.store.mark())


def test_a_quote_told_anew_is_a_further_revision_and_only_the_last_is_taken():
    """The old one stays as it was."""
    shop = Shop()
    first, second = _quote(), _quote(parts={"silencer": 2})
    assert (1, 2) == (tell_quote(shop.store, first, TOLD), tell_quote(shop.store, second, TOLD))
    assert first == kept_quote(shop.store, "K7M2QX", 1)[0]
    with pytest.raises(SpecError, match="told last"):
        accept_quote(shop.store, "K7M2QX", TOLD, revision=1)
    accept_quote(shop.store, "K7M2QX", TOLD, may_be_short=True)
    assert 2 == shop.state().accepted.revision
    with pytest.raises(SpecError, match="before a price is taken"):
        tell_quote(shop.store, first, TOLD)
    with pytest.raises(Conflict, match="another price"):
        accept_quote(shop.store, "K7M2QX", TOLD, revision=1, may_be_short=True)


def test_what_is_short_is_told_and_no_more_is_promised_than_is_free():
    """Half a spool of thread, and no peep: both are to be bought."""
    shop = Shop()
    shop.spool(1, BIRCH, length="500 m")
    shop.spool(2, HEATHER, length="500 m")
    shop.spool(3, DARK, length="15 m")
    tell_quote(shop.store, _quote(), TOLD)
    with pytest.raises(InputErrors, match="short on purpose") as refused:
        accept_quote(shop.store, "K7M2QX", TOLD)
    assert {"shelf.CRAG-1"} == {error.field for error in refused.value.errors}
    assert (None, 4) == (shop.state().accepted, len(shelf_of(shop.store)) + 1)
    done = accept_quote(shop.store, "K7M2QX", TOLD, may_be_short=True)
    short = {one.ware.name: one for one in done.short}
    assert {"braid-018", "braid-021", "peep"} == set(short)
    assert 1 == short["peep"].count
    assert short["braid-018"].length > 15.0


def test_an_opened_spool_is_promised_first():
    """Of those that hold enough, the one with least on it."""
    shop = Shop()
    shop.spool(1, BIRCH, length="500 m")
    shop.spool(2, BIRCH, length="400 m", opened=True)
    smallest = shop.spool(3, BIRCH, length="200 m", opened=True)
    shop.spool(4, BIRCH, length="10 m", opened=True)
    tell_quote(shop.store, _quote(), TOLD)
    accept_quote(shop.store, "K7M2QX", TOLD, may_be_short=True)
    assert shop.promised(smallest)[0] > 17.0


def test_it_is_all_or_nothing_where_another_bench_writes(monkeypatch: pytest.MonkeyPatch):
    """The shelf is read, somebody reserves, and it is decided anew on what stands then."""
    shop = Shop()
    logs = shop.stocked()
    tell_quote(shop.store, _quote(), TOLD)
    reads = iter(range(99))

    def disturbed(store: Store, names: set[str]):
        found = shelf_of(store, names)
        if next(reads) == 0:
            body = {"order": _id(7), "job": "OTHER", "length": "490 m"}
            event = make_event(_id(500), "stock-reserved", body, at=AT)
            store.write([Append(logs["birch"], [event], None)])
        return found

    monkeypatch.setattr("strandwright.planning.quote.keeping.shelf_of", disturbed)
    done = accept_quote(shop.store, "K7M2QX", TOLD, may_be_short=True)
    assert ["hmpe-lcp"] == [one.ware.name for one in done.short]
    assert 490.0 == pytest.approx(shop.promised(logs["birch"])[0])
    assert shop.promised(logs["heather"])[0] > 17.0


def test_a_quote_past_its_day_is_not_taken():
    """It held until 28 December."""
    shop = Shop()
    tell_quote(shop.store, _quote(), TOLD)
    with pytest.raises(SpecError, match="2026-12-28"):
        accept_quote(shop.store, "K7M2QX", Told("2026-12-29T08:00:00.000Z"))
    assert shop.state().accepted is None


def test_a_quote_must_be_of_its_order():
    """Without an order, or with a job that the order has not."""
    shop = Shop()
    with pytest.raises(SpecError, match="must be of an order"):
        tell_quote(shop.store, quote_of(order=""), Told(AT))
    with pytest.raises(SpecError, match="must be a job of its order"):
        tell_quote(shop.store, quote_of("crag-upper-cable", order=ORDER), Told(AT))


def test_prices_are_what_was_paid_last():
    """By the label's mass where it has one, else its length; of a bag of parts by the piece."""
    shop = Shop()
    shop.stocked()
    price_of = prices_on(shelf_of(shop.store))
    found = {
        name: price_of(Want(Ware.model_validate(ware)))
        for name, ware in (
            ("birch", BIRCH), ("heather", HEATHER), ("blue", BLUE),
            ("peep", {"kind": "part", "name": "peep"}),
        )
    }  # fmt: skip
    assert ("104 g", "500 m") == (found["birch"].per.text, found["heather"].per.text)
    assert found["blue"] is None
    assert ("8.3333", None) == (str(found["peep"].amount), found["peep"].per)


def test_terms_are_kept_with_revisions():
    """Nothing set before; a stale revision is a conflict."""
    store = MemoryStore()
    assert 0 == kept_terms(store)[1]
    table = {"currency": "EUR", "hourly_rate": "48.00"}
    assert 1 == keep_terms(store, table, 0, AT)[1]
    assert "EUR" == kept_terms(store)[0].currency
    with pytest.raises(Conflict):
        keep_terms(store, table | {"hourly_rate": "50.00"}, 0, AT)
    with pytest.raises(SpecError, match=r"terms\.hourly_rate"):
        keep_terms(store, {"hourly_rate": 48.5}, 1, AT)
