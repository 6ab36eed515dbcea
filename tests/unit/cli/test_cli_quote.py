"""The command quote: the bill as text, as JSON and on paper; what is missing is named."""

from __future__ import annotations

import json
import re
import shlex
import shutil
from pathlib import Path

import pytest

from bench_work import Work
from finished_line import finish
from quoted_lines import TERMS
from strandwright.planning.quote.keeping import keep_terms
from strandwright.store.open import open_store
from strandwright.workshop.terms import read_terms, terms_table

HOW_TO = Path(__file__).parents[3] / "docs" / "how-to"
AT = "2026-11-28T12:00:00.000Z"


@pytest.fixture
def terms(tmp_path: Path) -> str:
    """Write the shop's terms into the folder."""
    path = tmp_path / "terms.toml"
    path.write_text(TERMS, encoding="utf-8")
    return str(path)


@pytest.fixture
def quoted(run, example, terms):
    """Run the command on the crag string."""

    def ran(*options: str, job: str = "crag-string"):
        return run("quote", example(job), "--terms", terms, "--on", "2026-11-28", *options)

    return ran


def test_the_bill_is_told(quoted):
    """What is taken, how long it takes, and the sums worked out by hand elsewhere."""
    said = quoted("--id", "K7M2QX")
    assert 0 == said.exit_code, said.output
    text = " ".join(said.output.split())
    assert text.startswith("quote K7M2QX for the smith at Upper Thorne, 2026-11-28")
    for part in (
        "CRAG-1 hmpe-lcp, heather 56.7 \u00b1 0.4 ft 55 \u00b1 8 gr -",
        "in all 98 \u00b1 71 min",
        "HMPE/LCP blend, heather 3.58 g 32.00 EUR per 113.4 g 1.01 EUR",
        "subtotal 93.94 EUR",
        "VAT 19 % 17.85 EUR",
        "total 111.79 EUR",
        "33.54 EUR of it is due when it is accepted.",
        "is not charged: chance CRAG-1 under 1 %",
    ):
        assert part in text
    assert "Not set" not in text


def test_everything_else_is_charged_as_it_is_said(quoted):
    """Parts, fitting, posting, a discount: 93.94 + 8.00 + 72.00 + 6.90 = 180.84, less 5 %."""
    said = quoted(
        "--part", "silencer=2", "--fit", "90 min", "--also", "posting=6.90", "--off", "5 %",
        "--json",
    )  # fmt: skip
    table = json.loads(said.output)
    assert ["-9.04"] == [line["amount"] for line in table["discounts"]]
    assert "171.80" == table["subtotal"]
    usual = json.loads(quoted("--fit", "usual", "--off", "10.00", "--json").output)
    assert ["96.00"] == [x["amount"] for x in usual["lines"] if x["kind"] == "fitting"]
    assert "179.94" == usual["subtotal"]


def test_several_lines_are_one_quote(run, example, terms):
    """Each with its work."""
    names = ("crag-string", "crag-upper-cable", "crag-lower-cable")
    said = run("quote", *map(example, names), "--terms", terms, "--json")
    table = json.loads(said.output)
    assert ["CRAG-1", "CRAG-2", "CRAG-3"] == [job["job"] for job in table["jobs"]]
    assert 3 == sum(line["kind"] == "work" for line in table["lines"])


def test_it_is_printed_on_paper(quoted, tmp_path):
    """A PDF beside the text."""
    said = quoted("--sheet", "quote.pdf")
    assert "wrote quote.pdf" in said.output
    assert (tmp_path / "quote.pdf").read_bytes().startswith(b"%PDF")


@pytest.mark.parametrize(
    ("options", "named"),
    [
        (("--on", "28.11.2026"), "--on"),
        (("--due", "2026-11-27"), "due"),
        (("--part", "=2"), "--part"),
        (("--part", "silencer=0"), "--part"),
        (("--part", "wheel"), "price of wheel"),
        (("--also", "6.90"), "--also"),
        (("--also", "posting=6,90"), "--also"),
        (("--off", "105 %"), "--off"),
        (("--off", "9999"), "discount"),
        (("--fit", "long"), "--fit"),
        (("--sheet", "quote.txt"), "output"),
        (("--id", "a b"), "id"),
    ],
)
def test_what_cannot_be_used_is_named(quoted, options, named):
    """Exit code 2, one line, and nothing is written."""
    said = quoted(*options)
    assert 2 == said.exit_code, said.output
    assert said.output.startswith(f"{named}:")
    assert 1 == len(said.output.splitlines())


def test_terms_that_say_nothing_are_asked_for_all_at_once(run, example, tmp_path):
    """Currency and rate, each on its line."""
    (tmp_path / "terms.toml").write_text('name = "Thorne"\n', encoding="utf-8")
    said = run("quote", example("crag-string"), "--terms", "terms.toml")
    assert 2 == said.exit_code
    assert ["terms.currency", "terms.hourly_rate"] == [
        line.partition(":")[0] for line in said.output.splitlines()
    ]


def test_the_store_s_terms_and_builds_are_taken(run, example, tmp_path):
    """Without a file the terms are the store's; a build that was finished there is counted."""
    place = str(tmp_path / "shop.sqlite3")
    store = open_store(place)
    store.take_in(finish(Work()).desk.store.contents())
    keep_terms(store, terms_table(read_terms(TERMS)), 0, AT)
    store.close()
    said = run("quote", example("ridge-string"), "--store", place)
    assert 0 == said.exit_code, said.output
    assert "the logs of 1 build of this shop" in " ".join(said.output.split())
    assert "EUR" in said.output


def test_the_page_that_shows_how_holds(run, example, tmp_path):
    """Its terms are read, its commands run with them, and the numbers it tells are told."""
    page = (HOW_TO / "quote-a-job.md").read_text(encoding="utf-8")
    (block,) = re.findall(r"^```toml\n(.*?)^```", page, re.DOTALL | re.MULTILINE)
    (tmp_path / "terms.toml").write_text(block, encoding="utf-8")
    for name in ("ridge-string", "ridge-upper-cable", "ridge-lower-cable"):
        shutil.copy(example(name), tmp_path / f"{name}.toml")
    shown = re.findall(r"^```console\n(.*?)^```", page, re.DOTALL | re.MULTILINE)
    lines = "".join(shown).replace("\\\n", " ").splitlines()
    assert len(lines) == 3
    told = [run(*shlex.split(line.removeprefix("$ strandwright "))) for line in lines]
    assert [0, 0, 0] == [said.exit_code for said in told], [said.output for said in told]
    assert "98 \u00b1 71 min" in page
    assert "in all 98 \u00b1 71 min" in " ".join(told[0].output.split())
