"""What is read and begun while nobody answers waits, and nothing is built on it unheard."""

from __future__ import annotations

from at_the_jig import RIDGE, Jig, posts_set, ready_to_read
from bench_server import BenchServer
from complaints import Complaints, OpenPage
from playwright.sync_api import expect


def test_a_reading_made_unanswered_holds_up_what_is_built_on_it(
    bench: BenchServer, open_page: OpenPage
) -> None:
    """A length read while the server is dead is kept; no later act is there before it is heard."""
    build = ready_to_read(bench)
    jig = Jig(open_page(bench.url)).open(bench, build).kept_for_dead_server()
    jig.do("Read now anyway")
    bench.kill()
    jig.type("The tape reads", "57 19/32 in")
    jig.do("This is what it reads")
    waits = "The reading waits to be heard: go on when it is"
    jig.shows_title(waits)
    act = jig.page.locator(".jig-act")
    expect(act).to_have_count(0)
    jig.page.reload()
    jig.shows_title(waits)
    # Nor is one there for whoever looks at a later step.
    for step in ("Serve the loops", "Twist"):
        jig.choose("Route")
        jig.page.locator(".jig-route button", has_text=step).first.click()
        jig.shows_title(waits)
        expect(act).to_have_count(0)
    jig.choose("Route")
    jig.page.locator(".jig-route button", has_text="Wind the straw").click()
    jig.shows_title("Wind the straw")
    expect(act).to_have_count(1)
    jig.press("Escape")
    bench.start()
    jig.shows_title("Read, and reckoned with")
    jig.shows_saved()
    assert ["57 19/32 in"] == [e["body"]["length"] for e in bench.events(build, "length-read")]
    assert ["even", "shift", "stretch-bare"] == [
        e["body"]["step"] for e in bench.events(build, "step-done")
    ]


def test_a_surprising_reading_made_unanswered_is_asked_about_first(
    bench: BenchServer, open_page: OpenPage
) -> None:
    """Once heard it is questioned; the answer given to a dead server is not asked for again."""
    build = ready_to_read(bench)
    jig = Jig(open_page(bench.url)).open(bench, build)
    jig.do("Read now anyway")
    bench.kill()
    jig.type("The tape reads", "58 1/4 in")
    jig.do("This is what it reads")
    jig.shows_title("The reading waits to be heard: go on when it is")
    bench.start()
    jig.shows_title("That reading surprises")
    bench.kill()
    jig.choose("It stands: read again, the same")
    jig.shows_title("The reading waits to be heard: go on when it is")
    expect(jig.page.locator(".jig-act")).to_have_count(0)
    bench.start()
    jig.shows_title("Read, and reckoned with")
    jig.shows_saved()
    assert [True] == [r["counts"] for r in bench.get(f"/api/builds/{build}")["readings"]]


def test_rounds_are_counted_on_while_a_reading_waits(
    bench: BenchServer, open_page: OpenPage
) -> None:
    """A length read in the middle of the winding holds up no round, but what follows."""
    build = posts_set(bench)
    jig = Jig(open_page(bench.url)).open(bench, build)
    jig.shows_count("0")
    jig.wind(10)
    jig.shows_count("4")
    jig.shows_saved()
    jig.choose("Route")
    jig.page.locator(".jig-route button", has_text="Read").first.click()
    expect(jig.page.get_by_label("The tape reads")).to_be_visible()
    bench.kill()
    jig.type("The tape reads", "57 19/32 in")
    jig.do("This is what it reads")
    jig.page.get_by_role("button", name="Go to the next act: Wind the straw").click()
    jig.shows_count("4")
    jig.wind(2)
    jig.shows_title("The reading waits to be heard: go on when it is")
    expect(jig.page.locator(".jig-act")).to_have_count(0)
    jig.shows_waiting(3)
    bench.start()
    jig.shows_saved()
    assert 24 == bench.halves(build)


def test_a_build_begun_at_a_dead_server_begins_when_it_is_back(
    bench: BenchServer, open_page: OpenPage
) -> None:
    """The wish is kept over a closed page, begins one build, and is not offered twice."""
    bench.post("/api/jobs", RIDGE)
    page = open_page(f"{bench.url}/#/line/RIDGE-1")
    page.evaluate("navigator.serviceWorker.ready.then(() => true)")
    start = page.get_by_role("button", name="Start building")
    expect(start).to_be_visible()
    bench.kill()
    start.dblclick()
    waits = page.get_by_role("heading", name="The build begins when the bench computer answers")
    expect(waits).to_be_visible()
    page.go_back()
    expect(page.get_by_text("could not be fetched").or_(start)).to_be_visible()
    page.go_forward()
    expect(waits).to_be_visible()
    address = page.url
    page.close()
    page = open_page(address)
    expect(
        page.get_by_role("heading", name="The build begins when the bench computer answers")
    ).to_be_visible()
    bench.start()
    expect(page.get_by_role("heading", name="Set the posts")).to_be_visible(timeout=20_000)
    page.goto(f"{bench.url}/#/line/RIDGE-1")
    expect(page.get_by_role("link", name="Go on at the jig")).to_be_visible()
    assert [address.rsplit("/", 1)[1]] == [b["id"] for b in bench.get("/api/builds")["builds"]]


def test_a_build_that_cannot_begin_says_why(
    bench: BenchServer, open_page: OpenPage, complaints: Complaints
) -> None:
    """A refused beginning stands at the jig with its words and leads back to the line."""
    complaints.forgive("status of 422")
    complaints.forgive("status of 404")
    bench.post("/api/jobs", RIDGE)
    page = open_page(f"{bench.url}/#/line/RIDGE-1")
    answer = {"said": "The beam is too short.", "errors": []}
    page.route("**/api/jobs/RIDGE-1/builds", lambda route: route.fulfill(status=422, json=answer))
    page.get_by_role("button", name="Start building").click()
    expect(page.get_by_role("heading", name="The build was not begun")).to_be_visible()
    expect(page.get_by_text("The beam is too short.")).to_be_visible()
    page.unroute("**/api/jobs/RIDGE-1/builds")
    page.get_by_role("button", name="Go to the line").click()
    page.get_by_role("button", name="Start building").click()
    expect(page.get_by_role("heading", name="Set the posts")).to_be_visible()
    assert 1 == len(bench.get("/api/builds")["builds"])
