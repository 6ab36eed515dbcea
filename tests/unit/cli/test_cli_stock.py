"""The command ``stock``: take in, weigh, use, promise, take back, choose spools."""

from __future__ import annotations

import json

import pytest

BLEND = "strand hmpe-lcp #2F6B57"
ORDER = "0123456789abcdef0123456789abcdef"


@pytest.fixture
def stock(run, tmp_path):
    """Run ``stock`` on a store of its own."""

    def invoke(*arguments: str):
        return run("stock", *arguments, "--store", str(tmp_path / "s.db"))

    return invoke


def told(stock, *arguments: str):
    """Give the answer as data."""
    found = stock(*arguments, "--json")
    assert found.exit_code == 0, found.output
    return json.loads(found.output)


def taken_in(stock, *more: str):
    """Take in a spool of the blend."""
    wanted = ["--take-in", BLEND, "--mass", "1/4 lb", "--lot", "L7", *more]
    return told(stock, *wanted)


def test_an_empty_shelf_says_the_first_act(stock):
    """How to take in a spool."""
    found = stock()
    assert found.exit_code == 0
    assert "Nothing is on the shelf yet." in found.output
    assert "--take-in" in found.output


def test_a_spool_is_taken_in_weighed_and_used(stock):
    """Each time it answers with how the spool stands then."""
    one = taken_in(stock, "--price", "36.00", "--lies", "rack 2", "--called", "moss")
    assert one["left_text"].startswith("1790")
    listed = stock()
    assert "HMPE/LCP blend moss #2F6B57" in listed.output
    assert "rack 2" in listed.output
    weighed = told(stock, "1", "--weigh", "150.2 g", "--step", "0.1 g")
    assert weighed["learned"]["weighings"] == 1
    used = told(stock, one["id"][:8], "--use", "116 ft +- 1", "--job", "RIDGE-1", "--by", "me")
    assert used["entries"][0]["text"] == "used 116 ft +- 1 for RIDGE-1"
    back = stock("1", "--take-back", "3")
    assert "taken back" in back.output
    moved = told(stock, "1", "--lies", "rack 3")
    assert moved["place"] == "rack 3"
    gone = told(stock, "1", "--write-off", "moth")
    assert gone["gone"] == "moth"


def test_small_parts_are_taken_in_counted_and_used(stock):
    """By the piece."""
    told(stock, "--take-in", "part peep", "--size", "3/16 in", "--count", "20")
    assert told(stock, "1", "--use", "2")["left_text"] == "18 pieces"
    assert told(stock, "1", "--counted", "17")["left_text"] == "17 pieces"
    off = told(stock, "1", "--write-off", "bent", "--count", "1")
    assert off["left_text"] == "16 pieces"


def test_a_promise_names_its_option_where_it_is_refused(stock, tmp_path):
    """Beyond what is free, without an order, with one that nobody has."""
    from strandwright.store.open import open_store
    from strandwright.workshop.documents import LogHead
    from strandwright.workshop.order_number import order_number
    from strandwright.workshop.writes import Begin

    taken_in(stock)
    store = open_store(str(tmp_path / "s.db"))
    store.write([Begin(LogHead(ORDER, "order", "somebody", "2026-01-05T00:00:00.000Z"))])
    store.close()
    number = order_number(ORDER)
    none = stock("1", "--promise", "100 ft")
    assert (none.exit_code, "--order" in none.output) == (2, True)
    unknown = stock("1", "--promise", "100 ft", "--order", "ZZZZZZ")
    assert unknown.exit_code == 5
    much = stock("1", "--promise", "4000 ft", "--order", number)
    assert much.exit_code == 2
    assert "--promise: '4000 ft': must be no more than is free" in " ".join(much.output.split())
    kept = told(stock, "1", "--promise", "100 ft", "--order", number, "--job", "RIDGE-1")
    assert kept["reserved_text"] == "100 ft"
    assert f"{number}  RIDGE-1" in stock("1").output
    freed = told(stock, "1", "--free", "--order", number, "--job", "RIDGE-1")
    assert freed["reserved"] == []


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["--take-in", "rope thick"], "must be strand, thread or part"),
        (["--take-in", BLEND], "--length: 'none': a spool needs its length or its mass"),
        (["--take-in", "part peep"], "--count: 'none': small parts are counted"),
        (["--take-in", BLEND, "--mass", "1/4 lb", "--price", "1,5"], "--price"),
        (["1", "--weigh", "1 kg", "--use", "3 ft"], "one option that writes at a time"),
        (["--weigh", "1 kg"], "needs the spool it is about"),
        (["1", "--weigh", "150 kg"], "--weigh: '150 kg': must lie between 0.1 g and 100 kg"),
        (["1", "--use", "3"], "--use: 'given': a strand is reckoned by length"),
        (["1", "--take-back", "9"], "must be a number of the log, 1 to 1"),
    ],
)
def test_what_cannot_be_meant_is_refused_by_its_option(stock, arguments, said):
    """On one line, with exit code 2."""
    taken_in(stock)
    found = stock(*arguments)
    assert found.exit_code == 2
    assert said in " ".join(found.output.split())


def test_a_spool_nobody_has(stock):
    """Exit code 5, as for anything that is not kept."""
    taken_in(stock)
    assert stock("7").exit_code == 5
    assert stock("abcdef12").exit_code == 5


def test_spools_for_a_job(run, stock, tmp_path, example, need_library):
    """What is missing is told, with how good the choice is."""
    need_library("ortools")
    store = str(tmp_path / "s.db")
    assert run("import", example("ridge-string"), "--store", store).exit_code == 0
    found = stock("--wind", "RIDGE-1")
    assert found.exit_code == 0, found.output
    assert "not at hand" in found.output
    assert "How good the choice is" in found.output
    assert told(stock, "--wind", "RIDGE-1")["proved"]
