"""The table of sheets: one row for each CSV file. A new kind of record needs one more row."""

from __future__ import annotations

from strandwright.planning.spreadsheet.log_sheets import Happenings, Listed, Logs
from strandwright.planning.spreadsheet.sheets import Documents, Entries, Parts, Sheet
from strandwright.units import Dimension
from strandwright.workshop import service
from strandwright.workshop.customer import Customer
from strandwright.workshop.happenings import bench, every, fit, order, stock
from strandwright.workshop.job import Job
from strandwright.workshop.line_set import LineSet
from strandwright.workshop.parts import BenchSpec, Bow
from strandwright.workshop.quote import (
    Quote,
    QuotedAct,
    QuotedJob,
    QuotedLine,
    QuotedTax,
    QuotedWare,
)

_READ = ("length-read", "diameter-read", "mass-read", "legs-read", "strands-counted", "watched")
_READINGS = {type: bench.BODIES[type] for type in (*_READ, "ear-checked")}
_SHELF = (
    Listed("label", "the ware's name"),
    Listed("place", "where it lies now", name="lies_at"),
    Listed("opened", "whether some of it is gone", name="is_open"),
)
_LENGTH = Dimension.LENGTH

SHEETS: tuple[Sheet, ...] = (
    Documents("customers.csv", "a customer", "customer", Customer),
    Documents("bows.csv", "a bow", "bow", Bow),
    Documents("benches.csv", "a bench", "bench", BenchSpec),
    Documents("jobs.csv", "a job", "job", Job, frozenset({"format", "shop"})),
    Documents("sets.csv", "a set of lines", "set", LineSet, frozenset({"format"})),
    Documents("quotes.csv", "a quote, the newest", "quote", Quote, frozenset({"format"})),
    Parts("quote-jobs.csv", "a line that was offered", "quote", ("jobs",), QuotedJob),
    Parts("quote-lines.csv", "a line of a bill", "quote", ("lines", "discounts"), QuotedLine),
    Parts("quote-taxes.csv", "a tax of a bill", "quote", ("taxes",), QuotedTax),
    Parts("quote-wares.csv", "what a line takes of a ware", "quote", ("wares",), QuotedWare),
    Parts("quote-acts.csv", "a kind of work in a quote", "quote", ("acts",), QuotedAct),
    Logs(
        "orders.csv", "an order", "order", "customer",
        (
            Listed("number", "the number people say"),
            Listed("jobs", "its jobs"),
            Listed("made", "how many of its lines are built"),
            Listed("asked", "what the customer was asked and has not answered"),
            Listed("refused", "why the work was refused"),
        ),
        "order-opened", order.OrderOpened,
    ),
    Happenings("order-events.csv", "an event of an order", "order", order.BODIES | every.BODIES),
    Logs(
        "builds.csv", "a build", "build", "job",
        (
            Listed("ended_at", "when it was locked or put aside"),
            Listed("turns", "turns of twist in the line"),
            Listed("hand", "the hand of the twist"),
            Listed("steps", "steps that are done"),
            Listed("events", "how many events it has"),
        ),
    ),
    Happenings("build-events.csv", "an event at the jig", "build", bench.BODIES | every.BODIES),
    Happenings("readings.csv", "a reading that counts", "build", _READINGS, counting=True),
    Entries("service-entries.csv", "what became of a line", "service", service.BODIES),
    Logs(
        "fits.csv", "a fit of lines on a bow", "fit", "order_or_job",
        (
            Listed("jobs", "the jobs of its lines"),
            Listed("builds", "the builds of its lines"),
            Listed("shots", "shots since the lines came onto the bow"),
            Listed("done", "acts that are done"),
        ),
    ),
    Happenings("fit-events.csv", "an event of a fit", "fit", fit.BODIES | every.BODIES),
    Logs(
        "spools.csv", "a spool", "spool", "ware",
        (
            *_SHELF,
            Listed("left", "what is left on it", _LENGTH),
            Listed("left_u", "standard uncertainty of what is left", _LENGTH),
            Listed("free", "what is left and not promised, for sure", _LENGTH),
        ),
        "stock-received", stock.StockReceived,
    ),
    Happenings("spool-events.csv", "an event of a spool", "spool", stock.SPOOL | every.BODIES),
    Logs(
        "parts.csv", "small parts of one ware", "part", "ware",
        (
            *_SHELF,
            Listed("count", "how many lie there", name="there"),
            Listed("free_count", "how many of them are not promised"),
        ),
        "stock-received", stock.StockReceived,
    ),
    Happenings("part-events.csv", "an event of small parts", "part", stock.PART | every.BODIES),
)  # fmt: skip
#: Kinds that stand in no sheet, and why; a backup holds all of them.
NOT_HERE: dict[str, str] = {
    "account": "who may sign in is nobody's business in a spreadsheet",
    "audit": "the audit log is read in the app",
    "lesson": "builds left out of what the shop knows: a part of the app's own doing",
    "queue": "the queue changes by the hour",
    "shop": "terms, and how backups are taken: the app shows them",
    "take-off": "a take-off stands in its job",
}
