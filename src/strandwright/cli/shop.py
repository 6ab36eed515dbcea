"""The command ``shop``: what finished builds have taught, which are doubted, left out, taken in."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from strandwright.cli.files import output_file, write_whole
from strandwright.cli.store_option import store_option
from strandwright.errors import SpecError

if TYPE_CHECKING:
    from strandwright.planning.shop.memory import ShopMemory
    from strandwright.planning.written import Written

_CHARTS = ("length", "turns", "mass", "diameter")
_THEMES = ("light", "dark", "sun", "print")
#: The beginning of an identity tells a build from this many digits on [-]
_FEWEST_DIGITS = 6


@click.command("shop", short_help="Say what finished builds have taught, and which are doubted.")
@click.option("--chart", type=click.Choice(_CHARTS), help="Draw this over the builds, as an SVG.")
@click.option("--to", "output", metavar="FILE.svg", help="File that --chart writes.")
@click.option(
    "--theme",
    type=click.Choice(_THEMES),
    default="light",
    show_default=True,
    help="Ground and ink of the chart; print lays no ground.",
)
@click.option(
    "--leave-out",
    metavar="BUILD",
    help="Let this build teach nothing: its number in the list, or its identity.",
)
@click.option("--because", metavar="TEXT", help="Why it is left out.")
@click.option("--take-in", metavar="BUILD", help="Let a build that was left out teach again.")
@click.option(
    "--units",
    type=click.Choice(("in", "mm")),
    default="in",
    show_default=True,
    help="Inches and lbf, or millimetres and newtons.",
)
@click.option("--json", "as_json", is_flag=True, help="Print it as JSON.")
@store_option
def command(
    chart: str | None,
    output: str | None,
    theme: str,
    leave_out: str | None,
    because: str | None,
    take_in: str | None,
    units: str,
    as_json: bool,
    place: str | None,
) -> None:  # fmt: skip
    """Say what the finished builds of a shop have taught, and whether its bench is in control.

    Of each bench, fibre, lot and builder it tells what a next line is expected to differ by from
    the tables. A build that does not fit the others is named, with how rarely a good one lies so
    far off. One that something was wrong with can be left out, with a reason, and taken in again.
    """
    from strandwright.cli.layout import say, say_json
    from strandwright.cli.shop_text import shop_lines
    from strandwright.planning.desk.builds import Desk
    from strandwright.planning.shop.page import shop_words
    from strandwright.planning.written import Written
    from strandwright.store.open import open_store

    _refuse_halves(chart, output, leave_out, because, take_in)
    to = Written("mm" if units == "mm" else "in", 32)
    store = open_store(place)
    try:
        memory = Desk(store).memory
        done = _acted(memory, leave_out, because, take_in)
        if chart is not None:
            path = _drawn(memory, chart, output, theme, to)
            done = [*done, f"wrote {path}"]
        told = shop_words(memory, to)
    finally:
        store.close()
    if as_json:
        say_json({"format": 1, "done": done, **told})
    elif done:
        say(done)
    else:
        say(shop_lines(told))


def _refuse_halves(
    chart: str | None,
    output: str | None,
    leave_out: str | None,
    because: str | None,
    take_in: str | None,
) -> None:
    """Refuse an option whose other half is missing."""
    for given, other, name, with_it in (
        (output, chart, "--to", "--chart"),
        (because, leave_out, "--because", "--leave-out"),
        (leave_out, because, "--leave-out", "--because"),
    ):
        if given is not None and other is None:
            raise SpecError(name, given, f"must stand with {with_it}", f"add {with_it}")
    if leave_out is not None and take_in is not None:
        rule = "must not stand with --leave-out"
        raise SpecError("--take-in", take_in, rule, "do one after the other")


def _acted(
    memory: ShopMemory, leave_out: str | None, because: str | None, take_in: str | None
) -> list[str]:
    """Leave a build out or take one in, and say so."""
    if leave_out is not None and because is not None:
        build, name = _build_named(memory, leave_out, "--leave-out")
        try:
            memory.leave_out(build, because)
        except SpecError as error:
            raise error.at("--because") from error
        return [f"left out: {name}; it teaches nothing until it is taken in again"]
    if take_in is not None:
        build, name = _build_named(memory, take_in, "--take-in")
        memory.take_in(build)
        return [f"taken in: {name}"]
    return []


def _build_named(memory: ShopMemory, text: str, field: str) -> tuple[str, str]:
    """Find a build by its number in the list, or by its identity or the beginning of it."""
    outcomes = memory.outcomes()
    if text.isdecimal() and 1 <= int(text) <= len(outcomes) and len(text) < _FEWEST_DIGITS:
        found = outcomes[int(text) - 1]
        return found.build, f"build {int(text)} ({found.job})"
    fits = [
        (o.build, f"build {i} ({o.job})")
        for i, o in enumerate(outcomes, start=1)
        if len(text) >= _FEWEST_DIGITS and o.build.startswith(text.lower())
    ]
    if len(fits) == 1:
        return fits[0]
    rule = f"must be a finished build: 1 to {len(outcomes)}, or the beginning of its identity"
    raise SpecError(field, text, rule if outcomes else "names a build, and none is finished",
                    "see the list that --json gives")  # fmt: skip


def _drawn(memory: ShopMemory, name: str, output: str | None, theme: str, to: Written) -> Path:
    """Write one chart."""
    from strandwright.planning.shop.page import shop_svg

    path = output_file(output, Path(f"shop-{name}.svg"))
    svg = shop_svg(memory, to, name, theme)
    if svg is None:
        rule = "needs two finished builds in which it was read, not all alike"
        raise SpecError("--chart", name, rule, "draw another, or build and read more")
    write_whole(path, svg)
    return path
