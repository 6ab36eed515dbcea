"""The command ``orders``: what stands at the counter, found and listed, and a label printed."""

from __future__ import annotations

import json
from typing import get_args

import pytest
from pypdf import PdfReader

from order_events import event, opened, sound
from strandwright.cli.orders import STATUSES
from strandwright.planning.desk.builds import Desk
from strandwright.planning.orders.customers import keep_customer
from strandwright.planning.orders.keeping import open_order, record
from strandwright.planning.quote.keeping import keep_terms
from strandwright.store.open import open_store
from strandwright.workshop.order_state import OrderStatus

CRAG, HEATH = "12345678" + "0" * 24, "f" * 32


@pytest.fixture
def store(tmp_path):
    """Give the place of a store with an open order and a closed one."""
    place = str(tmp_path / "shop.sqlite3")
    kept = open_store(place)
    desk = Desk(kept)
    keep_customer(desk, "C1", {"name": "Ada Reed"}, 0)
    keep_customer(desk, "C2", {"name": "Ben Thorn"}, 0)
    open_order(desk, CRAG, opened(wished_by="2026-12-19").table())
    record(desk, CRAG, [sound().table()])
    bow = {"kind": "longbow", "name": "heath bow"}
    open_order(desk, HEATH, opened(50, customer="C2", bow=bow, lines=1).table())
    record(desk, HEATH, [event(51, "order-closed").table()])
    kept.close()
    return place


def test_the_statuses_are_those_of_an_order():
    """None is left out of the list."""
    assert set(get_args(OrderStatus)) <= set(STATUSES)


def test_what_is_open_is_listed(run, store):
    """By how it stands, with whose it is and by when it is wished for."""
    said = run("orders", "--store", store)
    assert 0 == said.exit_code, said.stderr
    assert "Looked at" in said.output
    for word in ("28T5CY", "Ada Reed", "crag bow", "2026-12-19"):
        assert word in said.output
    assert "heath bow" not in said.output


@pytest.mark.parametrize("words", ["28t5-cy", "reed", "crag", "two-cam"])
def test_an_order_is_found_by_what_people_say(run, store, words):
    """Alone."""
    told = json.loads(run("orders", words, "--store", store, "--json").output)
    assert [CRAG] == [one["id"] for one in told["orders"]]


def test_closed_orders_are_found_where_they_are_asked_for(run, store):
    """By their status, or by name."""
    assert "heath bow" in run("orders", "--status", "closed", "--store", store).output
    assert "heath bow" in run("orders", "thorn", "--store", store).output
    assert "no order is found" in run("orders", "nobody", "--store", store).output


def test_a_label_is_printed_by_its_number(run, store, tmp_path):
    """As large as the terms say."""
    said = run("orders", "--label", "28t5cy", "--store", store)
    assert 0 == said.exit_code, said.stderr
    assert "wrote 28T5CY.pdf, 62 by 29 mm" in said.output
    kept = open_store(store)
    terms = {"label_width": "89 mm", "label_height": "36 mm"}
    keep_terms(kept, terms, 0, "2026-11-28T10:00:00.000Z")
    kept.close()
    run("orders", "--label", "28T5CY", "-o", "sticker.pdf", "--store", store)
    (page,) = PdfReader(tmp_path / "sticker.pdf").pages
    assert 89.0 == pytest.approx(float(page.mediabox.width) / 72 * 25.4, abs=0.1)


@pytest.mark.parametrize(
    ("number", "said", "code"),
    [("000000", "no order '000000'", 5), ("28T5C", "off the label", 2), ("28T5CU", "a U", 2)],
)
def test_a_number_that_nobody_has_prints_nothing(run, store, tmp_path, number, said, code):
    """And says why."""
    result = run("orders", "--label", number, "--store", store)
    assert code == result.exit_code
    assert said in result.stderr
    assert [] == list(tmp_path.glob("*.pdf"))
