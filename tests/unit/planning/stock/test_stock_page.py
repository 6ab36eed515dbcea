"""What the stock screen shows: amounts, promises, worth, prices, when to order, the log."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

import pytest

from stock_work import BLEND, ORDER, OTHER, PEEP, THREAD, happening, identity
from strandwright.errors import NotFound
from strandwright.planning.desk.jobs import JobDesk
from strandwright.planning.stock.keeping import enter, receive, stock_of
from strandwright.planning.stock.page import every_listing, spool_page, stock_page
from strandwright.planning.stock.words import event_text, length_text, mass_text
from strandwright.store.memory import MemoryStore
from strandwright.workshop.order_number import order_number

NOW = datetime(2026, 1, 6, 12, tzinfo=UTC)
FIRST, NEW, PARTS = identity("first"), identity("new"), identity("parts")


@pytest.fixture
def desk() -> JobDesk:
    """Give a shelf: a begun spool and a new one of one ware, a thread, small parts; euros."""
    made = JobDesk(MemoryStore(), clock=lambda: NOW)
    terms = {"currency": "EUR"}
    made.store.save("shop", "terms", terms, at=made.now(), expected=0)
    first: dict[str, Any] = {
        "ware": BLEND,
        "lot": "L7",
        "mass": "1/4 lb",
        "price": "36.00",
        "supplier": "one",
    }
    receive(made, FIRST, happening("received", 0, **first))
    enter(made, FIRST, happening("used", 1, length="600 ft", job="RIDGE-1").table())
    promise = {"order": ORDER, "job": "HILL-1", "length": "120 ft"}
    enter(made, FIRST, happening("reserved", 2, **promise).table())
    new: dict[str, Any] = {
        "ware": BLEND,
        "lot": "L9",
        "mass": "1/4 lb",
        "price": "39.50",
        "supplier": "two",
    }
    receive(made, NEW, happening("received", 3, place="rack 2", **new))
    receive(made, identity("thread"), happening("received", 4, ware=THREAD, length="120 yd"))
    receive(made, PARTS, happening("received", 5, ware=PEEP, count=20, price="50.00"))
    return made


def test_wares_are_together_and_begun_spools_first(desk):
    """One row a ware, in the order of names, its spools begun first."""
    page = stock_page(desk)
    assert [w["key"] for w in page["wares"]] == [
        "part peep 3/16 in", "strand hmpe-lcp #2F6B57", "thread braid-018 #22201C",
    ]  # fmt: skip
    blend = page["wares"][1]
    assert [s["id"] for s in blend["spools"]] == [FIRST, NEW]
    assert blend["label"] == "HMPE/LCP blend"
    assert page["spools"] == 4


def test_a_spool_shows_feet_and_grams_and_what_is_promised(desk):
    """Left with its +- in both, what is promised, what is free, what it is worth."""
    row = stock_page(desk)["wares"][1]["spools"][0]
    state = stock_of(desk, FIRST).state
    assert row["left_text"].endswith("ft")
    assert row["left_text"].startswith("1190 ± ")
    assert row["mass_text"].endswith("g")
    assert (row["reserved_text"], row["lot"]) == ("120 ft", "L7")
    assert row["reserved"][0]["number"] == order_number(ORDER)
    assert row["left_share"] == pytest.approx(state.spool.length / state.spool.full)
    assert row["reserved_share"] < row["left_share"] < 1.0
    assert row["free_text"] == f"{state.free_length / 0.3048:.0f} ft"
    assert row["worth_text"].replace("\u00a0", " ") == "23.96 EUR"


def test_rows_add_up_to_what_stands_below_them(desk):
    """Each spool is rounded by itself, the total is their sum."""
    page = stock_page(desk)
    said = [s["worth_text"] for w in page["wares"] for s in w["spools"] if s["worth_text"]]
    cents = [round(100 * float(t.split("\u00a0")[0])) for t in said]
    assert round(100 * float(page["worth_text"].split("\u00a0")[0])) == sum(cents)
    assert len(said) == 3


def test_what_was_paid_stands_in_its_order(desk):
    """Both spools, with what that is for a hundred feet; the parts by the piece."""
    page = stock_page(desk)
    prices = page["wares"][1]["prices"]
    assert [p["text"].split("\u00a0")[0] for p in prices] == ["36.00", "39.50"]
    assert prices[0]["each_text"].replace("\u00a0", " ") == "2.01 EUR for 100 ft"
    assert page["wares"][0]["prices"][0]["each_text"].replace("\u00a0", " ") == "2.50 EUR a piece"


def test_when_to_order_says_how_that_is_known(desk):
    """Too little use: practice, said as such. Much of it: the shop's own."""
    blend = stock_page(desk)["wares"][1]
    assert blend["reorder_basis"] == "practice"
    assert "no source" in blend["reorder_text"]
    assert not blend["order_now"]
    late = JobDesk(desk.store, clock=lambda: datetime(2026, 3, 20, tzinfo=UTC))
    for n in range(8):
        used = happening("used", 2000 * n + 10, length="60 ft", order=identity(f"order {n}"))
        enter(late, NEW, used.table())
    blend = stock_page(late)["wares"][1]
    assert blend["reorder_basis"] == "own use"
    assert "by the 9 jobs of the last 74 days" in blend["reorder_text"]
    for spool in (NEW, FIRST):
        enter(late, spool, happening("written-off", 20_000, name=spool, why="cut").table())
    page = stock_page(late)
    blend = page["wares"][1]
    assert (blend["gone"], blend["spools"]) == (2, [])
    assert blend["key"] in page["to_order"]
    assert len(blend["prices"]) == 2


def test_a_ware_all_gone_is_ordered_again_only_if_it_is_used(desk):
    """Its history stays; what was hardly used is not asked for by itself."""
    enter(desk, PARTS, happening("written-off", 20, why="lost").table())
    page = stock_page(desk)
    assert page["wares"][0]["spools"] == []
    assert "part peep 3/16 in" not in page["to_order"]


def test_one_spool_with_its_log(desk):
    """Entries newest first, in words; one that was taken back says so."""
    used = happening("used", 1, length="600 ft", job="RIDGE-1")
    enter(desk, FIRST, happening("withdrawn", 30, event=used.id, why="another spool").table())
    page = spool_page(desk, FIRST)
    texts = [e["text"] for e in page["entries"]]
    assert texts == [
        "took an entry back: another spool",
        f"120 ft promised to HILL-1, order {order_number(ORDER)}",
        "used 600 ft for RIDGE-1",
        "came in: 1/4 lb, lot L7, from one",
    ]
    assert [e["taken_back"] for e in page["entries"]] == [False, False, True, False]
    assert page["learned"]["density_text"].endswith("g/m")
    assert page["price_text"].startswith("36.00")
    with pytest.raises(NotFound):
        spool_page(desk, identity("nobody's"))


def test_what_does_not_fit_is_said(desk):
    """More used than was there, promises that cannot be kept, a weighing far off."""
    enter(desk, FIRST, happening("used", 40, length="2000 ft").table())
    warnings = spool_page(desk, FIRST)["warnings"]
    assert any("more was used than was thought" in w for w in warnings)
    assert any("is not there any more" in w for w in warnings)
    enter(desk, NEW, happening("weighed", 41, gross="400 g", step="0.1 g").table())
    assert any("weigh it again" in w for w in spool_page(desk, NEW)["warnings"])


def test_without_terms_amounts_stand_bare():
    """No currency is made up."""
    desk = JobDesk(MemoryStore(), clock=lambda: NOW)
    assert stock_page(desk) == {"wares": [], "spools": 0, "to_order": [], "worth_text": ""}
    receive(desk, PARTS, happening("received", 5, ware=PEEP, count=20, price="50.00"))
    assert stock_page(desk)["worth_text"] == "50.00"


def test_listings_come_in_pages(desk, monkeypatch):
    """Every one of them once, however few are read at a time."""
    whole = {row.id for row in every_listing(desk.store)}
    monkeypatch.setattr("strandwright.planning.stock.page._PAGE", 1)
    rows = every_listing(desk.store)
    assert ({row.id for row in rows}, len(rows)) == (whole, 4)


@pytest.mark.parametrize(
    ("event", "text"),
    [
        (happening("weighed", gross="143.2 g"), "weighed 143.2 g, spool and all"),
        (happening("counted", count=1), "counted: 1 piece"),
        (happening("used", count=2, build="ab" * 16), "used 2 pieces for build abababab"),
        (happening("written-off", why="moth"), "wrote off all of it: moth"),
        (happening("written-off", why="frayed", length="3 ft"), "wrote off 3 ft: frayed"),
        (happening("moved", place="rack 1"), "moved to rack 1"),
        (happening("freed", order=OTHER, job="J"), f"what was promised to J, order "
         f"{order_number(OTHER)} is free again"),
        (happening("noted", text="smells of smoke"), "smells of smoke"),
    ],
)  # fmt: skip
def test_events_are_said(event, text):
    """Each in a few words."""
    assert event_text(event) == text


def test_little_that_is_hardly_known_says_the_most_it_may_be():
    """Under its own +- a length tells only its upper end."""
    assert length_text(3.0, 4.0) == "no more than 37 ft"
    assert mass_text(0.0, 0.001) == "no more than 2 g"
    assert length_text(0.0, 0.0) == "nothing"
