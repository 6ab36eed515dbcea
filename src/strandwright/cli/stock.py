"""The command ``stock``: what lies on the shelf, what happened to it, what to wind from."""

from __future__ import annotations

import re
import secrets
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Any

import click

from strandwright.cli.store_option import store_option
from strandwright.errors import NotFound, SpecError

if TYPE_CHECKING:
    from strandwright.planning.desk.builds import Desk

Fields = dict[str, Any]

#: A ware as it is typed: kind, name, and its colour at the end.
_WARE = re.compile(r"(strand|thread|part)\s+(.+?)(?:\s+(#[0-9a-fA-F]{6}))?")
#: The beginning of an identity tells a spool from this many digits on [-]
_FEWEST_DIGITS = 6
#: Names of options for the places in an event, for errors.
_NAMED = {
    "stock-received.ware.name": "--take-in",
    "stock-received.ware": "--take-in",
    "stock-received.length": "--length",
    "stock-received.mass": "--mass",
    "stock-received.tare": "--tare",
    "stock-received.count": "--count",
    "stock-received.price": "--price",
    "stock-weighed.gross": "--weigh",
    "stock-weighed.step": "--step",
    "stock-counted.count": "--counted",
    "stock-used": "--use",
    "stock-reserved": "--promise",
    "stock-written-off.length": "--length",
    "stock-written-off.count": "--count",
    "stock-written-off.why": "--write-off",
    "event.type": "options",
    "withdrawn.event": "--take-back",
}


@click.command("stock", short_help="Say what lies on the shelf, and write down what became of it.")
@click.argument("spool", required=False, metavar="[SPOOL]")
@click.option(
    "--take-in", metavar="WARE", help="Write: it came in: 'strand hmpe-lcp #2F6B57', 'part peep'."
)
@click.option("--size", metavar="SIZE", help="With --take-in: where sizes differ.")
@click.option("--called", metavar="NAME", help="With --take-in: what its colour is called.")
@click.option("--lot", metavar="LOT", help="With --take-in: as the label has it.")
@click.option("--length", metavar="LENGTH", help="With --take-in: by its label.")
@click.option("--mass", metavar="MASS", help="With --take-in: by its label, no spool counted.")
@click.option("--tare", metavar="MASS", help="With --take-in: what an empty spool weighs.")
@click.option("--count", type=int, metavar="COUNT", help="With --take-in: how many small parts.")
@click.option("--price", metavar="AMOUNT", help="With --take-in: paid for all of it.")
@click.option("--supplier", metavar="NAME", help="With --take-in: from whom.")
@click.option("--lies", metavar="PLACE", help="With --take-in: where; alone, it was moved there.")
@click.option("--weigh", metavar="MASS", help="Write: the scale shows this, spool and all.")
@click.option("--step", metavar="MASS", help="With --weigh: smallest step of the scale.")
@click.option("--counted", type=int, metavar="COUNT", help="Write: so many small parts lie there.")
@click.option("--use", metavar="AMOUNT", help="Write: so much was used: '116 ft +- 1', or '2'.")
@click.option("--promise", metavar="AMOUNT", help="Write: so much is promised to an order.")
@click.option("--free", is_flag=True, help="Write: what was promised to an order is free again.")
@click.option("--order", metavar="ORDER", help="With these: the order, by number or identity.")
@click.option("--job", metavar="JOB", help="With these: the job.")
@click.option(
    "--write-off",
    metavar="WHY",
    help="Write: of no use; all of it, or so much --length or --count.",
)
@click.option("--take-back", type=int, metavar="NUMBER", help="Write: entry NUMBER was a slip.")
@click.option(
    "--wind", multiple=True, metavar="JOB", help="Choose the spools for the lines of a set."
)
@click.option("--mix", is_flag=True, help="With --wind: a colour may come from several lots.")
@click.option("--by", default="", metavar="NAME", help="Who writes it.")
@store_option
@click.option("--json", "as_json", is_flag=True, help="Print it as JSON.")
def command(spool: str | None, place: str | None, as_json: bool, **given: Any) -> None:
    """Say what lies on the shelf, what is promised of it, and when to order.

    SPOOL is a number of the list, or the beginning of an identity; with it, one spool or box is
    shown with its log. With one of the options that write, that is written first; nothing is ever
    written over. What was used is always written; a promise beyond what is free is refused.
    """
    from strandwright.cli.layout import say, say_json
    from strandwright.cli.stock_text import choice_lines, shelf_lines, spool_lines
    from strandwright.cli.told import named
    from strandwright.planning.desk.builds import Desk
    from strandwright.planning.stock.keeping import enter
    from strandwright.planning.stock.page import spool_page, stock_page
    from strandwright.planning.stock.wanted import choice_data, spools_for
    from strandwright.store.open import open_store

    store = open_store(place)
    try:
        desk = Desk(store)
        if given["wind"]:
            told = choice_data(desk, *spools_for(desk, given["wind"], may_mix=given["mix"]))
            lines = choice_lines(told)
        else:
            log = _log_of(desk, spool, given)
            event = _event(desk, log, given)
            if event is not None and log is not None:
                with named(_NAMED):
                    enter(desk, log, event)
            told = stock_page(desk) if log is None else spool_page(desk, log)
            lines = shelf_lines(told) if log is None else spool_lines(told)
    finally:
        store.close()
    if as_json:
        say_json(told)
    else:
        say(lines)


def _log_of(desk: Desk, spool: str | None, given: Fields) -> str | None:
    """Find the spool that was meant; a new one where one is taken in and none is named."""
    if spool is None:
        return secrets.token_hex(16) if given["take_in"] is not None else None
    from strandwright.planning.stock.page import every_listing, numbered

    rows = numbered(desk)
    if spool.isdecimal() and 1 <= int(spool) <= len(rows) and len(spool) < _FEWEST_DIGITS:
        return rows[int(spool) - 1]
    ids = [row.id for row in every_listing(desk.store)]
    fits = [id for id in ids if len(spool) >= _FEWEST_DIGITS and id.startswith(spool.lower())]
    if len(fits) == 1:
        return fits[0]
    if fits:
        raise SpecError("SPOOL", spool, "must name one spool", "give more of its identity")
    raise NotFound("spool", spool)


def _event(desk: Desk, log: str | None, given: Fields) -> Fields | None:
    """Make the event that was asked for; None where none was."""
    wanted = [pair for pair in _wanted(desk, log, given) if pair is not None]
    if len(wanted) > 1:
        rule = "must be one option that writes at a time"
        raise SpecError("options", " and ".join(kind for kind, _ in wanted), rule, "run it twice")
    if not wanted:
        return None
    if log is None:
        rule = "needs the spool it is about"
        raise SpecError("SPOOL", "none", rule, "give its number in the list of 'stock'")
    kind, body = wanted[0]
    return {
        "id": secrets.token_hex(16),
        "type": kind,
        "at": datetime.now(UTC).isoformat(),
        "by": given["by"],
        "body": {name: value for name, value in body.items() if value is not None},
    }


def _wanted(desk: Desk, log: str | None, given: Fields) -> list[tuple[str, Fields] | None]:
    part = {"length": given["length"], "count": given["count"]}
    return [
        ("stock-received", _received(given)) if given["take_in"] is not None else None,
        None
        if given["weigh"] is None
        else ("stock-weighed", {"gross": given["weigh"], "step": given["step"]}),
        None if given["counted"] is None else ("stock-counted", {"count": given["counted"]}),
        None
        if given["use"] is None
        else ("stock-used", {**_amount(given["use"]), **_whose(desk, given, must=False)}),
        None
        if given["promise"] is None
        else ("stock-reserved", {**_amount(given["promise"]), **_whose(desk, given)}),
        ("stock-freed", _whose(desk, given)) if given["free"] else None,
        None
        if given["write_off"] is None
        else ("stock-written-off", {"why": given["write_off"], **part}),
        None
        if given["lies"] is None or given["take_in"] is not None
        else ("stock-moved", {"place": given["lies"]}),
        None
        if given["take_back"] is None
        else ("withdrawn", {"event": _numbered(desk, log, given["take_back"])}),
    ]


def _received(given: Fields) -> Fields:
    found = _WARE.fullmatch(given["take_in"].strip())
    if found is None:
        rule = "must be strand, thread or part, a name, and a colour where it has one"
        raise SpecError("--take-in", given["take_in"], rule, "write 'strand hmpe-lcp #2F6B57'")
    ware = {"kind": found[1], "name": found[2], "colour": found[3], "size": given["size"]}
    names = ("called", "lot", "length", "mass", "tare", "count", "price", "supplier")
    return {
        "ware": {name: value for name, value in ware.items() if value is not None},
        **{name: given[name] for name in names},
        "place": given["lies"],
    }


def _amount(text: str) -> Fields:
    """Read a length with its unit, or a number of pieces."""
    return {"count": int(text)} if text.strip().isdecimal() else {"length": text}


def _whose(desk: Desk, given: Fields, *, must: bool = True) -> Fields:
    from strandwright.planning.orders.keeping import find_order

    if given["order"] is None:
        if must:
            raise SpecError("--order", "none", "must say whose it is", "give the order's number")
        return {"job": given["job"]}
    return {"order": find_order(desk, given["order"]), "job": given["job"]}


def _numbered(desk: Desk, log: str | None, number: int) -> str:
    """Give the entry that stands in the log under a number."""
    from strandwright.planning.stock.page import spool_page

    rows = [] if log is None else spool_page(desk, log)["entries"][::-1]
    if not 1 <= number <= len(rows):
        rule = f"must be a number of the log, 1 to {len(rows)}" if rows else "must be in a log"
        raise SpecError("--take-back", str(number), rule, "look at the log without it")
    return rows[number - 1]["id"]
