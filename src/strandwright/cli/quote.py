"""The command ``quote``: what lines cost, from their plans and the shop's terms."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from strandwright.cli.files import load_job, output_file, read_text, write_whole
from strandwright.cli.store_option import store_option
from strandwright.errors import SpecError

if TYPE_CHECKING:
    from strandwright.planning.quote.pace import TimedBuild
    from strandwright.planning.quote.prices import PriceOf
    from strandwright.planning.shop.outcome import Outcome
    from strandwright.workshop.terms import Terms

#: What a quote without an order's number is called
_UNNUMBERED = "quote"


@click.command("quote", short_help="Price the lines of job files, as text and on paper.")
@click.argument("job_files", metavar="JOB.toml...", nargs=-1, required=True)
@click.option(
    "--terms", "terms_file", metavar="FILE.toml", help="The shop's terms; else the store's."
)
@click.option("--id", "number", metavar="NUMBER", help="Number of the quote.")
@click.option(
    "--for", "customer", default="", metavar="NAME", help="Whose it is, if not the job's."
)
@click.option("--on", "made_on", metavar="DAY", help="The day it is made, 2026-11-28; else today.")
@click.option("--due", metavar="DAY", help="The day it is to be ready.")
@click.option(
    "--part",
    "parts",
    multiple=True,
    metavar="NAME[=COUNT]",
    help="A small part besides those of the jobs; may be given several times.",
)
@click.option(
    "--fit",
    "fitted",
    metavar="TIME",
    help="Fit the lines to the bow: 90 min, 2 h, or 'usual' for what practice says.",
)
@click.option(
    "--also",
    "extras",
    multiple=True,
    metavar="TITLE=AMOUNT",
    help="Anything else that is charged, such as posting=6.90.",
)
@click.option("--off", "discount", metavar="OFF", help="A discount: 5 %, or an amount.")
@click.option("--sheet", "output", metavar="FILE.pdf", help="Print it on paper, too.")
@store_option
@click.option("--json", "as_json", is_flag=True, help="Print the quote as JSON, as it is kept.")
def command(
    job_files: tuple[str, ...],
    output: str | None,
    place: str | None,
    as_json: bool,
    **given: Any,
) -> None:
    """Price the lines of job files: what they take, how long they take, the bill.

    Material is what the plans take off the spools. Minutes are those of practice until the builds
    in the store correct them. The terms say currency, hourly rate, prices and taxes; what they do
    not say is not made up.
    """
    from strandwright.cli.layout import say, say_json
    from strandwright.cli.quote_text import quote_lines
    from strandwright.planning.plan_line import plan_line
    from strandwright.planning.quote.entered import discount_of, fitting_of
    from strandwright.planning.quote.prices import first_known, prices_in
    from strandwright.planning.quote.quote import QuoteRequest, make_quote
    from strandwright.workshop.quote import quote_table

    path = None if output is None else output_file(output, Path("quote.pdf"), job_files[0])
    jobs = [load_job(file) for file in job_files]
    made_on = date.today() if given["made_on"] is None else _day(given["made_on"], "--on")
    kept = _Kept(place, wanted=given["terms_file"] is None or place is not None)
    terms = kept.terms if given["terms_file"] is None else _terms(given["terms_file"])
    request = QuoteRequest(
        id=given["number"] or _UNNUMBERED,
        plans=tuple(plan_line(job) for job in jobs),
        terms=terms,
        made_on=made_on,
        customer=given["customer"],
        price_of=first_known(prices_in(terms), kept.prices),
        builds=kept.builds,
        outcomes=kept.outcomes,
        parts=dict(_part(text) for text in given["parts"]),
        fitting=fitting_of(given["fitted"] or "", jobs[0].bow.kind, "--fit"),
        extras=tuple(_extra(text) for text in given["extras"]),
        discount=discount_of(given["discount"] or "", "--off"),
        due=None if given["due"] is None else _day(given["due"], "--due"),
    )
    quote = make_quote(request)
    if path is not None:
        from strandwright.sheets.quote import quote_sheet_data
        from strandwright.sheets.render import render_template

        write_whole(path, render_template(quote_sheet_data(quote)))
    if as_json:
        say_json(quote_table(quote))
        return
    say(quote_lines(quote, terms))
    if path is not None:
        say(["", f"wrote {path}"])


class _Kept:
    """What a store says for a quote; nothing where none is wanted."""

    def __init__(self, place: str | None, *, wanted: bool) -> None:
        from strandwright.workshop.terms import Terms

        self.terms: Terms = Terms()
        self.builds: tuple[TimedBuild, ...] = ()
        self.outcomes: tuple[Outcome, ...] = ()
        self.prices: PriceOf = lambda want: None
        if not wanted:
            return
        from strandwright.planning.desk.builds import Desk
        from strandwright.planning.quote.keeping import kept_terms
        from strandwright.planning.quote.labour import timed_builds
        from strandwright.planning.quote.shelf import prices_on, shelf_of
        from strandwright.store.open import open_store

        store = open_store(place)
        try:
            desk = Desk(store)
            self.builds = timed_builds(store, desk.planner)
            self.outcomes = tuple(desk.memory.outcomes())
            self.prices = prices_on(shelf_of(store))
            self.terms = kept_terms(store)[0]
        finally:
            store.close()


def _terms(file: str) -> Terms:
    from strandwright.workshop.terms import read_terms

    return read_terms(read_text(file), file)


def _day(text: str, option: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError as error:
        rule = "must be a day of the calendar"
        raise SpecError(option, text, rule, "write it like 2026-11-28") from error


def _part(text: str) -> tuple[str, int]:
    name, _, count = text.partition("=")
    if not name.strip() or (count and not (count.isdecimal() and 0 < int(count) < 1000)):
        rule = "must be a name, and perhaps how many"
        raise SpecError("--part", text, rule, "write it such as peep or silencer=2")
    return name.strip(), int(count or 1)


def _extra(text: str) -> tuple[str, Decimal]:
    from strandwright.workshop.money import amount

    title, _, money = text.rpartition("=")
    if not title.strip():
        rule = "must be what it is for and an amount"
        raise SpecError("--also", text, rule, "write it such as posting=6.90")
    return title.strip(), amount(money, "--also")
