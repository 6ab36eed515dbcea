"""The command ``orders``: what stands at the counter, and the label of a bow that was brought."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from strandwright.cli.store_option import store_option

if TYPE_CHECKING:
    from strandwright.planning.ports import Store

Fields = dict[str, Any]
#: How an order stands, in the order of the work; held to the ones there are by a test.
STATUSES = (
    "opened", "looked at", "asked", "measured", "quoted", "accepted", "made", "refused",
    "handed over", "closed",
)  # fmt: skip


@click.command("orders", short_help="List what stands at the counter, or print a label.")
@click.argument("words", required=False, default="")
@click.option("--status", type=click.Choice(STATUSES), help="Only orders that stand so.")
@click.option("--label", "number", metavar="NUMBER", help="Print the label of this order.")
@click.option("-o", "--output", metavar="FILE", help="With --label: where the PDF goes.")
@store_option
@click.option("--json", "as_json", is_flag=True, help="Print the answer as JSON.")
def command(
    words: str,
    status: str | None,
    number: str | None,
    output: str | None,
    place: str | None,
    as_json: bool,
) -> None:
    """List orders by how they stand, the last changed first; closed ones only if asked for.

    WORDS finds them by number, bow, job or customer. A number is six letters and figures; O is
    read as 0, I and L as 1.

    With --label the label of one order is printed to size, as the terms say it, on a PDF.
    """
    from strandwright.cli.layout import say_json
    from strandwright.store.open import open_store

    store = open_store(place)
    try:
        if number is not None:
            _print_label(store, number, output)
            return
        from strandwright.planning.orders.lists import orders_list

        told = orders_list(store, status, words)
    finally:
        store.close()
    if as_json:
        say_json(told)
    else:
        _say(told)


def _print_label(store: Store, number: str, output: str | None) -> None:
    from strandwright.cli.files import output_file, write_whole
    from strandwright.planning.desk.builds import Desk
    from strandwright.planning.orders.keeping import find_order, kept_order
    from strandwright.planning.quote.keeping import kept_terms
    from strandwright.sheets.label import label_data, label_size, render_label

    desk = Desk(store)
    id = find_order(desk, number)
    kept = kept_order(desk, id)
    data = label_data(id, kept.state, kept.customer, label_size(kept_terms(store)[0]))
    path = output_file(output, Path(f"{data['number']['text']}.pdf"))
    write_whole(path, render_label(data))
    click.echo(f"wrote {path}, {data['width_mm']:g} by {data['height_mm']:g} mm")


def _say(told: Fields) -> None:
    from strandwright.cli.layout import columns, heading, paragraph, say

    lines: list[str] = []
    for status in STATUSES:
        of = [one for one in told["orders"] if one["status"] == status]
        if not of:
            continue
        head = ("number", "customer", "bow", "lines", "wished by")
        body = [
            (one["number"], one["name"], one["bow"] or one["kind"], str(one["lines"]),
             one["wished_by"])
            for one in of
        ]  # fmt: skip
        lines += heading(f"{status[:1].upper()}{status[1:]}")
        lines += columns(head, body)
    if not lines:
        lines = ["no order is found; take a bow in at the counter of the app"]
    if told["more"]:
        lines += ["", *paragraph("More are kept than are shown: name words, or --status.")]
    say(lines if lines[0] else lines[1:])
