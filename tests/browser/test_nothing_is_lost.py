"""An acknowledged count is durable, a shown count is stored, and none is doubled."""

from __future__ import annotations

import os
import random
import re
from pathlib import Path

from at_the_jig import RIDGE, Jig, posts_set, ready_to_read
from bench_server import BenchServer
from chromium import KillableChromium
from complaints import Complaints, OpenPage
from playwright.sync_api import Playwright, Route, expect
from trials import Trial

#: Trials of the random kills in this run; thousands are a matter of hours
TRIALS = int(os.environ.get("STRANDWRIGHT_KILL_TRIALS", "2"))


def test_counting_goes_on_while_the_server_is_away(bench: BenchServer, open_page: OpenPage) -> None:
    """The whole winding and the step behind it can be done unanswered, and is stored once."""
    build = posts_set(bench)
    jig = Jig(open_page(bench.url)).open(bench, build)
    jig.shows_count("0")
    bench.kill()
    jig.wind(12)
    jig.shows_title("The winding is done")
    jig.do("Go on: Even out the strands")
    jig.do("Evened out at")
    jig.shows_title("Shift the skein round the posts")
    jig.shows_waiting(13)
    bench.start()
    jig.shows_saved()
    jig.shows_title("Shift the skein round the posts")
    assert 24 == bench.halves(build)
    assert 12 == len(bench.events(build, "rounds-laid"))
    assert ["even"] == [e["body"]["step"] for e in bench.events(build, "step-done")]


def test_a_refused_reading_is_shown_and_typed_again(
    bench: BenchServer, open_page: OpenPage, complaints: Complaints
) -> None:
    """What the server refuses stands there with its words and the text that was typed."""
    complaints.forgive("status of 422")
    build = ready_to_read(bench)
    jig = Jig(open_page(bench.url)).open(bench, build)
    jig.do("Read now anyway")
    jig.type("The tape reads", "57 and a bit")
    jig.do("This is what it reads")
    expect(jig.page.get_by_text("Not kept: the reading 57 and a bit.")).to_be_visible()
    told = jig.page.get_by_role("alert", name="Not kept")
    expect(told).to_contain_text("what the tape reads: 'and a bit' is not a unit of length; type")
    expect(told).not_to_contain_text("length-read")
    jig.page.reload()
    expect(jig.page.get_by_text("Not kept: the reading 57 and a bit.")).to_be_visible()
    jig.choose("Type it again")
    jig.do("Read now anyway")
    field = jig.page.get_by_label("The tape reads")
    expect(field).to_have_value("57 and a bit")
    field.fill("57 19/32 in")
    jig.do("This is what it reads")
    jig.shows_title("Read, and reckoned with")
    expect(jig.page.get_by_text("Not kept")).to_have_count(0)
    assert ["57 19/32 in"] == [e["body"]["length"] for e in bench.events(build, "length-read")]


def test_refused_posts_lead_back_to_the_posts(
    bench: BenchServer, open_page: OpenPage, complaints: Complaints
) -> None:
    """Nothing was wound: the step that was refused stands there, with what was typed."""
    complaints.forgive("status of 422")
    build = bench.begin(RIDGE)
    jig = Jig(open_page(bench.url)).open(bench, build)
    field = jig.page.get_by_label("As they stand", exact=False)
    for typed, said in (
        ("wide", "one number and a unit"),
        ("5719 in", "must lie between"),
        ("577 in", "mend it, or how far the posts go apart, at Bench"),
    ):
        field.fill(typed)
        jig.do("The posts stand so")
        told = jig.page.get_by_role("alert", name="Not kept")
        expect(told).to_contain_text(f"the posts at {typed}. the posts, outside to outside: ")
        expect(told).to_contain_text(said)
        jig.shows_title("Set the posts")
        expect(field).to_have_value(typed)
        expect(field).to_have_accessible_description(re.compile(said))
        expect(jig.page.get_by_text("build.wound_at")).to_have_count(0)
    field.fill("57 19/32 in")
    jig.do("The posts stand so")
    jig.shows_title("Wind the spruce")
    expect(jig.page.get_by_text("Not kept")).to_have_count(0)
    jig.shows_saved()
    assert ["57 19/32 in"] == [e["body"]["outside"] for e in bench.events(build, "posts-set")]


def test_a_refused_round_is_not_dropped_in_silence(
    bench: BenchServer, open_page: OpenPage, complaints: Complaints
) -> None:
    """A refusal among good rounds holds up none of them, and waits for the technician's word."""
    complaints.forgive("status of 422")
    build = posts_set(bench)
    page = open_page(bench.url)
    page.route("**/events", lambda route: route.fulfill(status=422, json={"said": "Not today."}))
    jig = Jig(page).open(bench, build)
    jig.shows_count("0")
    jig.wind(1)
    expect(page.get_by_text("Not kept: a round.")).to_be_visible()
    jig.shows_count("0")
    page.unroute("**/events")
    jig.wind(1)
    jig.shows_count("1")
    jig.choose("Send it again")
    jig.shows_count("2")
    expect(page.get_by_text("Not kept")).to_have_count(0)
    jig.shows_saved()
    assert 4 == bench.halves(build)


def test_an_answer_lost_on_the_way_doubles_nothing(bench: BenchServer, open_page: OpenPage) -> None:
    """The server stored the rounds, the page never heard of it: sent again they count once."""
    build = posts_set(bench)
    page = open_page(bench.url)
    swallowed: list[int] = []

    def swallow(route: Route) -> None:
        route.fetch()
        swallowed.append(str(route.request.post_data).count("rounds-laid"))
        route.abort()

    page.route("**/events", swallow)
    jig = Jig(page).open(bench, build)
    jig.shows_count("0")
    jig.wind(3)
    jig.shows_count("3")
    jig.shows_waiting(3)
    page.evaluate("dispatchEvent(new Event('online'))")  # sent again, and not heard of again
    jig.until(lambda: swallowed.count(3) >= 2, "the rounds were not sent again")
    assert 6 == bench.halves(build)
    page.unroute("**/events")
    jig.shows_saved()
    jig.shows_count("3")
    assert 6 == bench.halves(build)


def test_two_windows_on_one_build_show_one_count(bench: BenchServer, open_page: OpenPage) -> None:
    """Rounds laid in either window show in both, with and without the server."""
    build = posts_set(bench)
    one, two = (Jig(open_page(bench.url)).open(bench, build) for _ in range(2))
    one.shows_count("0")
    two.shows_count("0")
    one.wind(2)
    two.shows_count("2")
    two.wind(1)
    one.shows_count("3")
    bench.kill()
    one.wind(1)
    two.shows_count("4")
    two.wind(1)
    one.shows_count("5")
    bench.start()
    for jig in (one, two):
        jig.shows_saved()
        jig.shows_count("5")
    assert 10 == bench.halves(build)
    assert 5 == len(bench.events(build, "rounds-laid"))


def test_two_benches_on_one_build_add_up(bench: BenchServer, open_page: OpenPage) -> None:
    """A round laid by another computer shows here by itself."""
    build = posts_set(bench)
    jig = Jig(open_page(bench.url)).open(bench, build)
    jig.shows_count("0")
    jig.wind(1)
    jig.shows_count("1")
    bench.record(build, "rounds-laid", run=0, halves=2)
    jig.shows_count("2")


def test_the_page_opens_again_with_nobody_there(bench: BenchServer, open_page: OpenPage) -> None:
    """With the server dead a closed page comes back whole: screen, count and waiting acts."""
    build = posts_set(bench)
    page = open_page(bench.url)
    jig = Jig(page).open(bench, build).kept_for_dead_server()
    jig.wind(2)
    jig.shows_count("2")
    jig.shows_saved()
    bench.kill()
    jig.wind(1)
    jig.shows_count("3")
    page.close()
    again = Jig(open_page(f"{bench.url}/#/jig/{build}"))
    again.shows_title("Wind the spruce")
    again.shows_count("3")
    again.shows_waiting(1)
    bench.start()
    again.shows_saved()
    assert 6 == bench.halves(build)


def test_random_kills_lose_and_double_nothing(
    bench: BenchServer, chromium_path: str, playwright: Playwright, tmp_path: Path
) -> None:
    """Server and browser are killed at random; every count and reading seen is stored once."""
    for seed in range(TRIALS):
        profile = tmp_path / f"profile {seed}"
        profile.mkdir()
        browser = KillableChromium(chromium_path, profile, playwright)
        try:
            kills = Trial(random.Random(seed), bench, browser).run()
        finally:
            browser.kill()
        # Else server or browser was killed while nothing was at stake.
        assert kills.server_at_stake >= 1
        assert kills.browser_at_stake >= 1
