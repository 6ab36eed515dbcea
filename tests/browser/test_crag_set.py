"""The lines of the crag bow, a string and two split cables: taken off, set together, built, proved.

Every screen on the way is opened and its acts are pressed. Between the posts and the proof the
acts at the jig are sent as from another bench, each as the program asks for it next: tests of the
jig, of split yokes and of winding press those steps already.
"""

from __future__ import annotations

import re
from typing import Any

from at_the_desk import PATIENCE, until
from at_the_jig import Jig
from bench_server import BenchServer
from complaints import Complaints, OpenPage
from playwright.sync_api import Page, expect

STRING = "55 1/4: 0-15 3/4, 19 3/4-21 1/4, 25 5/8-29 1/2, 15 3/4-0"
CABLE = "35 1/2: 0-9 1/4, 14 3/4-20 1/2, 25 3/8-26 7/8, 3 3/4-0"
JOBS = ("CRAG-1", "CRAG-2", "CRAG-3")
#: Steps that one line asks for at most, some of them again
MOST_ACTS = 40


def take_off(page: Page, bench: BenchServer, id: str) -> None:
    """Type what was read of one worn line, and make it."""
    page.goto(f"{bench.url}/#/new")
    expect(page.locator("#new-shorthand")).to_be_visible()
    told = {"id": id, "loop": "7/8 in", "bowName": "crag bow", "drawWeight": "60 lbf"}
    told["shorthand"] = STRING if id == "CRAG-1" else CABLE
    if id != "CRAG-1":
        page.locator("#new-kind").select_option("yoke")
        told |= {"leg": "8 5/8 in", "span": "2 3/8 in"}
        told["name"] = f"{'Upper' if id == 'CRAG-2' else 'Lower'} cable for the crag bow"
    page.locator("#new-bowKind").select_option("two-cam")
    page.locator("#new-strand").select_option("hmpe-lcp")
    page.locator("#new-thread").select_option("braid-018")
    if bench.get("/api/benches")["benches"]:
        expect(page.locator("#new-bench")).to_be_visible()
    else:
        told |= {"benchName": "long beam", "zeroPost": "1/2 in", "longest": "120 in"}
        told["rating"] = "600 lbf"
        page.locator("#new-gauge").select_option("load cell")
    for field, text in told.items():
        page.locator(f"#new-{field}").fill(text)
    _two_colours(page)
    page.get_by_role("button", name="Make the line").click()
    expect(page.get_by_role("region", name="The line on its strip")).to_be_visible()


def _two_colours(page: Page) -> None:
    """Half the strands of each of two colours."""
    page.get_by_role("button", name="Add a colour").click()
    for k, name in ((1, "heather"), (2, "birch")):
        page.get_by_label(f"name of colour {k}", exact=True).fill(name)
        page.get_by_label(f"strands of colour {k}", exact=True).fill("12")


def make_the_set(page: Page, bench: BenchServer) -> None:
    """Tick two of the lines and keep the set of them."""
    page.goto(f"{bench.url}/#/")
    page.get_by_role("button", name="Make a set").click()
    page.get_by_role("checkbox", name="String for the crag bow").check()
    page.get_by_role("checkbox", name="Upper cable for the crag bow").check()
    page.get_by_role("button", name="Keep the set").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Lines of the crag bow")


def change_the_set(page: Page) -> None:
    """Put in the third line and pair the cables; what is refused is mended where it stands."""
    page.get_by_role("button", name="Change lines and pairs").click()
    keep = page.get_by_role("button", name="Keep the changes")
    expect(keep).to_be_disabled()
    page.get_by_role("button", name="Make a pair").click()
    page.get_by_label("One of the pair").select_option("CRAG-2")
    page.get_by_label("Strand on a full spool").fill("4 parsec")
    keep.click()
    expect(page.locator("#set-pair-0-other-wrong")).to_contain_text("choose it, or undo the pair")
    page.get_by_label("Its fellow").select_option("CRAG-1")
    keep.click()
    wrong = page.locator("#set-spool-wrong")
    expect(wrong).to_contain_text("'parsec' is not a unit of mass; type a unit")
    # A reload loses nothing of it.
    page.reload()
    expect(page.get_by_label("Strand on a full spool")).to_have_value("4 parsec")
    page.get_by_label("Strand on a full spool").fill("4 oz")
    page.get_by_label("Put in another line").select_option("CRAG-3")
    page.get_by_role("button", name="Put it in").click()
    page.get_by_label("Its fellow").select_option("CRAG-3")
    keep.click()
    expect(keep).to_have_count(0)
    expect(page.locator(".set-strip svg")).to_have_count(3)


def build_to_the_proof(page: Page, bench: BenchServer, job: str) -> str:
    """Begin from the set screen, set the posts, and go on to the proof; gives the build."""
    row = page.locator(".set-lines li").filter(has_text=job)
    row.get_by_role("link", name="Look it over and start").click()
    page.get_by_role("button", name="Start building").click()
    page.wait_for_url(re.compile(r"#/jig/[0-9a-f]{32}"))
    build = page.url.rpartition("/")[2]
    until(lambda: build in {b["id"] for b in bench.get("/api/builds")["builds"]}, "not begun")
    page.locator(".jig-act").wait_for()
    page.wait_for_timeout(650)
    page.locator(".jig-act").click()
    until(lambda: _act(bench, build)["ask"]["kind"] != "posts", "the posts were not kept")
    for _ in range(MOST_ACTS):
        act = _act(bench, build)
        if act["ask"]["stage"] == "proof":
            return build
        kind, body = as_asked(act, bench.get(f"/api/builds/{build}")["winding"]["runs"])
        bench.record_long_ago(build, kind, **body)
    raise AssertionError(f"no proof was asked for; the last act is {_act(bench, build)['title']}")


def _act(bench: BenchServer, build: str) -> dict[str, Any]:
    act: dict[str, Any] = bench.get(f"/api/builds/{build}")["act"]
    return act


def as_asked(act: dict[str, Any], runs: list[dict[str, Any]]) -> tuple[str, dict[str, Any]]:
    """Give what happens where the next act goes as it was planned, whatever it is called."""
    ask = act["ask"]
    match ask["kind"]:
        case "count":
            return "rounds-laid", {"run": act["run"], "halves": runs[act["run"]]["halves"]}
        case "length":
            return "length-read", {"stage": ask["stage"], "length": _middle(ask["expected_text"])}
        case "legs":
            return "legs-read", {"left": "36 1/2 in", "right": "36 1/2 in", "hung": "one by one"}
        case "turns":
            return "turned", {"turns": act["turns"]}
        case _:
            return "step-done", {"step": act["step"]}


def _middle(text: str) -> str:
    """Give the value without its spread."""
    return text.partition(" \u00b1")[0] + (" in" if "\u00b1" in text else "")


def prove_and_lock(page: Page, bench: BenchServer, build: str) -> None:
    """Read the proof at the jig as it is asked for, and lock the line."""
    jig = Jig(page).open(bench, build)
    jig.read_the_news()
    act = _act(bench, build)
    jig.type("The tape reads", _middle(act["headline"]))
    jig.do("This is what it reads")
    expect(page.locator(".jig[data-step=news]")).to_be_visible()
    jig.do("Go on")
    jig.do("Lock")
    expect(page.locator(".jig[data-step=over]")).to_be_visible()
    jig.shows_saved()
    assert "proved" == bench.get(f"/api/builds/{build}")["verdict"]


def test_the_lines_of_the_crag_bow_go_from_take_off_to_three_proofs(
    bench: BenchServer, open_page: OpenPage, complaints: Complaints
) -> None:
    """The set shows where each line stands, and at the end how well the cables match."""
    complaints.forgive("status of 422")
    page = open_page(bench.url)
    page.set_default_timeout(PATIENCE)
    for job in JOBS:
        take_off(page, bench, job)
    make_the_set(page, bench)
    change_the_set(page)
    expect(page.locator(".set-stand")).to_have_text("0 of 3 lines built · 3 to start")
    (pair,) = bench.get("/api/sets/CRAG-BOW")["pairs"]
    assert (("CRAG-2", "CRAG-3"), False) == ((pair["one"], pair["other"]), pair["is_read"])

    for done, job in enumerate(JOBS):
        build = build_to_the_proof(page, bench, job)
        page.goto(f"{bench.url}/#/set/CRAG-BOW")
        row = page.locator(".set-lines li").filter(has_text=job)
        expect(row.locator(".set-going")).to_contain_text("Prove the length")
        expect(page.locator(".set-stand")).to_contain_text(f"{done} of 3 lines built")
        expect(page.locator(".act.next")).to_have_text("Go on at the jig")
        prove_and_lock(page, bench, build)
        page.goto(f"{bench.url}/#/set/CRAG-BOW")
        expect(row.locator(".set-done")).to_contain_text("built and proved")

    expect(page.locator(".set-stand")).to_have_text("3 of 3 lines built")
    expect(page.locator(".set-cautions")).to_have_count(0)
    (pair,) = bench.get("/api/sets/CRAG-BOW")["pairs"]
    assert pair["is_read"]
    assert abs(pair["difference_m"]) <= pair["bound_m"]
