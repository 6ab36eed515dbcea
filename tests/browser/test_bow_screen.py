"""The bow of a line: drawn, looked at with other lines, brought home, and learned from."""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from at_the_bow import FIRST, BowPage
from at_the_desk import PATIENCE, RIDGE, Desk, until
from at_the_jig import slashed
from bench_server import BenchServer
from complaints import Complaints, OpenPage
from playwright.sync_api import Browser, Page, Route, expect
from server_nursery import know_bow

AXE = Path(__file__).parent / "vendor" / "axe.min.js"
#: What a browser says of an answer that refuses.
REFUSED = "the server responded with a status of 422"


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[BenchServer]:
    """Give a server for all of these tests, so that bows are looked for once."""
    know_bow(RIDGE)
    server = BenchServer(tmp_path_factory.mktemp("bow") / "workshop.db")
    server.start()
    yield server
    server.stop()


@pytest.fixture
def as_new(shop: BenchServer) -> Callable[[str], None]:
    """Put a job's bow back to what it was in the example."""

    def put_back(job: str) -> None:
        # What the page before sent as it closed may still be on its way.
        for _ in range(3):
            try:
                return once(job)
            except AssertionError as refused:
                if "was changed elsewhere" not in str(refused):
                    raise
        once(job)

    def once(job: str) -> None:
        kept = shop.get(f"/api/jobs/{job}")
        typed = ("now", "wanted", "trials", "arrow", "shot", "draw_board")
        names = [n for n in typed if n in kept["job"]["bow"]]
        changes = [{"field": f"bow.{name}", "value": None} for name in names]
        if changes:
            sent = {"revision": kept["revision"], "changes": changes}
            shop.post(f"/api/jobs/{job}/change", sent)

    return put_back


@pytest.fixture
def ridge(shop: BenchServer, open_page: OpenPage, as_new: Callable[[str], None]) -> BowPage:
    """Give the page of the ridge bow, with nothing measured."""
    page = BowPage(open_page("about:blank"), shop).keep()
    as_new(RIDGE)
    return page.open()


def test_the_bow_opens_from_its_line(shop: BenchServer, open_page: OpenPage) -> None:
    """The way there and back are links; while bows are looked for the page says so."""
    page = open_page(shop.url)
    bow = BowPage(page, shop).keep()
    held: list[Route] = []
    page.route(f"**/api/jobs/{RIDGE}/bow?*", lambda route: held.append(route))
    Desk(page, shop).open()
    page.get_by_role("link", name="The bow of this line").click()
    expect(page.get_by_text("Looking for bows that agree with yours")).to_be_visible()
    until(lambda: (page.wait_for_timeout(50), bool(held))[1], "nothing was asked")
    held.pop().continue_()
    page.unroute(f"**/api/jobs/{RIDGE}/bow?*")
    bow.is_drawn()
    expect(page.get_by_role("heading", level=1, name="ridge bow")).to_be_visible()
    expect(page).to_have_title(re.compile("ridge bow"))
    page.get_by_role("link", name="Back to the line").click()
    expect(Desk(page, shop).strip).to_be_visible(timeout=PATIENCE)


def test_a_recurve_shows_its_brace_height_by_turns(
    shop: BenchServer, open_page: OpenPage, as_new: Callable[[str], None]
) -> None:
    """Turns for what is wanted, drawn and as a table that unfolds."""
    page = open_page("about:blank")
    mere = BowPage(page, shop, "MERE-1").keep()
    as_new("MERE-1")
    mere.open()
    part = page.locator("#bow-braces")
    expect(part.get_by_role("heading", name="Brace height by turns")).to_be_visible()
    mere.key("brace height now", "8 1/8")
    mere.key("brace height wanted", "8 3/8")
    expect(part.get_by_text("put in")).to_be_visible(timeout=FIRST)
    part.get_by_text("Turn by turn, as a table").click()
    row = part.get_by_role("row").filter(has_text="as it is")
    expect(row).to_contain_text("in its range")
    expect(part.locator("svg")).to_be_visible()


def test_the_draw_is_scrubbed_by_keys_without_asking(ridge: BowPage) -> None:
    """Arrow keys draw the bow: picture, words and marker go along, and nothing is fetched."""
    ridge.page.wait_for_timeout(500)  # drawn anew once the window rests
    asked: list[str] = []
    ridge.page.on("request", lambda request: asked.append(request.url))
    expect(ridge.scrub).to_have_attribute("aria-valuetext", re.compile(r"^8 13/16 in, 0\.0 lbf$"))
    places, pictures = [ridge.marker()], [ridge.drawn.locator("svg").first.inner_html()]
    ridge.scrub.focus()
    for _ in range(10):
        ridge.page.keyboard.press("ArrowRight")
        places.append(ridge.marker())
    pictures.append(ridge.drawn.locator("svg").first.inner_html())
    across = [x for x, _ in places]
    assert across == sorted(across) and len(set(across)) == len(across)
    # Force rises from nothing: the marker goes up the plot, which is down its coordinate.
    assert places[5][1] < places[0][1] - 50.0
    assert pictures[0] != pictures[1]
    ridge.page.keyboard.press("End")
    words = ridge.scrub.get_attribute("aria-valuetext")
    assert words is not None and words.startswith(("28 ", "29 "))
    expect(ridge.drawn.get_by_text(slashed(words.split(", ")[0]), exact=True)).to_be_visible()
    assert [] == [url for url in asked if "/bow" in url]


def test_a_longer_line_changes_figures_and_pictures(ridge: BowPage) -> None:
    """A step and a typed fraction change the bow; put back, it is what it was."""
    draw_length = ridge.figure("draw length")
    was = draw_length.get_by_role("cell").nth(0).inner_text()
    picture = ridge.drawn.locator("svg").nth(1).inner_html()
    for _ in range(2):
        ridge.button("string 1/16 in longer").click()
    expect(ridge.field("string longer by")).to_have_value("1/8 in")
    expect(draw_length.get_by_role("cell").nth(1)).to_have_text(re.compile(r"^\+0\.0[5-9]\d ± "))
    assert picture != ridge.drawn.locator("svg").nth(1).inner_html()
    ridge.key("string longer by", "-3/16")
    expect(draw_length.get_by_role("cell").nth(1)).to_have_text(re.compile("^\u22120\\.1"))
    expect(ridge.field("string longer by")).to_have_value("-3/16 in")
    ridge.field("string longer by").press("ArrowUp")
    expect(ridge.field("string longer by")).to_have_value("-1/8 in")
    ridge.button("Put every line back").click()
    expect(ridge.field("string longer by")).to_have_value("")
    expect(draw_length.get_by_role("cell").nth(0)).to_have_text(was)
    expect(draw_length.get_by_role("cell").nth(1)).to_have_text("–")


def test_typed_nonsense_is_answered_beside_its_field_and_kept(
    ridge: BowPage, complaints: Complaints
) -> None:
    """What cannot be read stays typed with its reason; a stepper and a reading alike."""
    complaints.forgive(REFUSED)
    ridge.key("upper cable longer by", "soon")
    stepper = ridge.field("upper cable longer by")
    expect(stepper).to_have_attribute("aria-invalid", "true")
    expect(stepper).to_have_value("soon")
    expect(stepper).to_have_accessible_description(re.compile("one number and a unit"))
    ridge.button("string 1/16 in longer").click()
    expect(ridge.figure("draw length").get_by_role("cell").nth(1)).to_contain_text("±")
    expect(stepper).to_have_value("soon")
    ridge.key("brace height now", "a hand")
    reading = ridge.field("brace height now")
    expect(reading).to_have_attribute("aria-invalid", "true")
    expect(reading).to_have_value("a hand")
    expect(reading).to_have_accessible_description(re.compile("one number and a unit"))
    ridge.page.reload()
    ridge.is_drawn()
    expect(ridge.field("brace height now")).to_have_value("a hand")
    ridge.key("brace height now", "6 3/4")
    expect(ridge.field("brace height now")).to_have_value("6 3/4 in")
    expect(ridge.field("brace height now")).not_to_have_attribute("aria-invalid", "true")


def test_a_late_answer_never_overwrites_a_newer_one(ridge: BowPage) -> None:
    """What was asked before every line was put back is not shown when it comes."""
    late: list[Route] = []
    where = f"**/api/jobs/{RIDGE}/bow/what-if"
    ridge.page.route(where, lambda route: late.append(route))
    ridge.button("string 1/16 in longer").click()
    until(lambda: (ridge.page.wait_for_timeout(50), bool(late))[1], "nothing was asked")
    ridge.button("Put every line back").click()
    with ridge.page.expect_response(where, timeout=PATIENCE):
        late[0].continue_()
    ridge.page.wait_for_timeout(300)
    expect(ridge.figure("draw length").get_by_role("cell").nth(1)).to_have_text("–")


def test_what_it_measures_and_what_is_wanted_bring_turns(ridge: BowPage) -> None:
    """From the first act on: readings, then what is wanted, then turns with their odds."""
    page = ridge.page
    ridge.button("Measure the bow as it stands").click()
    expect(ridge.field("brace height now")).to_be_focused()
    ridge.key("draw length now", "29 1/8")
    # Nothing else said, what it measured before is wanted.
    expect(ridge.field("draw length wanted")).to_have_attribute("placeholder", "29 in")
    ridge.key("draw weight now", "60.5 lbf")
    ridge.key("draw weight wanted", "60 lbf")
    asked = page.locator(".bow-asked").first
    expect(asked.get_by_text(re.compile("put in|take out")).first).to_be_visible()
    expect(page.get_by_role("note").filter(has_text="Never dry fire the bow")).to_be_visible()
    odds = page.get_by_role("table", name="What to expect").get_by_role("row")
    expect(odds.filter(has_text="draw length")).to_contain_text(
        re.compile(r"chance (over |under )?\d+ %")
    )
    expect(page.get_by_role("list", name="Order of work")).to_contain_text("settle, and read again")
    assert "29 1/8 in" == ridge.kept()["now"]["draw_length"]


def test_a_trial_is_logged_and_learned_from(ridge: BowPage, complaints: Complaints) -> None:
    """Turns and readings since make a trial; what turns do is then known from it too."""
    complaints.forgive(REFUSED)
    ridge.key("draw weight now", "60.5 lbf")
    expect(ridge.field("draw weight now")).to_have_value("60.5 lbf")
    expect(ridge.page.get_by_text("saved", exact=True)).to_be_visible()
    ridge.button("Log the trial").click()
    first = ridge.field("turns put into string")
    expect(first).to_have_accessible_description(re.compile("put into one line at least"))
    first.fill("4")
    ridge.field("draw weight since").fill("much")
    ridge.button("Log the trial").click()
    since = ridge.field("draw weight since")
    expect(since).to_have_accessible_description(re.compile("one number and a unit"))
    expect(since).to_have_value("much")
    since.fill("59.1 lbf")
    since.press("Enter")
    expect(ridge.page.get_by_text("draw weight 60.5 lbf to 59.1 lbf")).to_be_visible()
    expect(ridge.field("draw weight now")).to_have_value("59.1 lbf")
    learned = ridge.page.get_by_role("table").filter(has_text="One turn put into a line")
    expect(learned.get_by_text("1 trial on this bow")).to_be_visible()
    (trial,) = ridge.kept()["trials"]
    assert [{"line": "string", "turns": 4.0}] == trial["turns"]
    assert ("60.5 lbf", "59.1 lbf") == tuple(trial[k]["draw_weight"] for k in ("before", "after"))
    ridge.button("Take out trial 1").click()
    expect(ridge.button("Take out trial 1")).to_have_count(0)
    assert "trials" not in ridge.kept()


def test_a_shot_over_a_chronograph_is_taken_in(ridge: BowPage) -> None:
    """Arrow and speed are kept, and the speed is then said to be as shot."""
    ridge.key("mass of the arrow", "350 gr")
    expect(ridge.page.get_by_text("with 350 gr arrow").or_(
        ridge.page.get_by_text("with a 350 gr arrow")).first).to_be_visible()  # fmt: skip
    ridge.key("speed over the chronograph", "272 ft/s")
    expect(ridge.page.get_by_text("as shot over the chronograph")).to_be_visible()
    assert ("350 gr", "272 ft/s") == (ridge.kept()["arrow"], ridge.kept()["shot"])


def test_what_is_missing_is_asked_for_and_then_answered(
    shop: BenchServer, open_page: OpenPage, complaints: Complaints
) -> None:
    """A bow without a draw length names it; given there, the bow is drawn."""
    complaints.forgive(REFUSED)
    cable = BowPage(open_page("about:blank"), shop, "RIDGE-2").keep()
    cable.page.goto(f"{shop.url}/#/bow/RIDGE-2")
    expect(cable.page.get_by_text("is needed to find bows that agree")).to_be_visible()
    cable.key("draw length", "29")
    cable.is_drawn()
    assert "29 in" == cable.kept()["draw_length"]
    # A cable's mass sits at the wheels: nothing is said of speed.
    expect(cable.page.get_by_role("heading", name="Arrow speed")).to_have_count(0)


def test_figures_that_no_bow_has_can_be_mended_where_it_is_said(
    shop: BenchServer, open_page: OpenPage, complaints: Complaints
) -> None:
    """Energy that cannot be is told with the figures; taken out there, the bow is drawn."""
    complaints.forgive(REFUSED)
    BowPage(page := open_page("about:blank"), shop).keep()
    kept = shop.get(f"/api/jobs/{RIDGE}")["job"]
    bow = {**kept["bow"], "stored_energy": "300 J"}
    shop.post("/api/jobs", {"job": {**kept, "id": "ODD-1", "bow": bow}})
    page.goto(f"{shop.url}/#/bow/ODD-1")
    odd = BowPage(page, shop, "ODD-1")
    why = page.get_by_role("region", name="Why there is no answer")
    expect(why).to_contain_text("Hardly any bow agrees", timeout=FIRST)
    expect(odd.field("let-off")).to_have_value("80 %")
    odd.key("stored energy", "")
    odd.is_drawn()
    assert "stored_energy" not in odd.kept()


def test_a_crossbow_is_asked_for_its_kind_and_drawn(
    shop: BenchServer, open_page: OpenPage, complaints: Complaints
) -> None:
    """Limbs alone or wheels is asked where it is missing; said, it is drawn to its latch."""
    complaints.forgive(REFUSED)
    BowPage(page := open_page("about:blank"), shop, "FELL-1").keep()
    kept = shop.get("/api/jobs/FELL-1")["job"]
    bow = {name: value for name, value in kept["bow"].items() if name != "crossbow"}
    shop.post("/api/jobs", {"job": {**kept, "id": "CROSS-1", "bow": bow}})
    Desk(page, shop, "CROSS-1").open()
    page.get_by_role("link", name="The bow of this line").click()
    why = page.get_by_role("region", name="Why there is no answer")
    expect(why).to_contain_text("recurve or compound", timeout=FIRST)
    cross = BowPage(page, shop, "CROSS-1")
    cross.key("crossbow", "compound")
    cross.is_drawn()
    assert "compound" == cross.kept()["crossbow"]
    expect(page.get_by_text("at the latch").first).to_be_visible()
    expect(page.get_by_role("heading", name="Bolt speed")).to_be_visible()


def test_points_of_a_draw_board_are_typed_mended_and_taken_out(
    ridge: BowPage, complaints: Complaints
) -> None:
    """Rows of draw, weight and ±; the bows are held to them, and what is wrong stays typed."""
    complaints.forgive(REFUSED)
    page = ridge.page
    page.get_by_role("heading", name="Draw board").click()
    expect(page.get_by_role("note").filter(has_text="draw board is loaded")).to_be_visible()
    for draw, weight, give in (("16", "42", "1"), ("20", "59", ""), ("24", "58", "")):
        ridge.field("draw, a further point").fill(draw)
        ridge.field("weight, a further point").fill(weight)
        ridge.field("± of the weight, a further point").fill(give)
        ridge.field("weight, a further point").press("Enter")
        expect(ridge.field("draw, a further point")).to_have_value("")
    expect(ridge.field("draw, point 3")).to_have_value("24 in")
    expect(ridge.field("± of the weight, point 1")).to_have_value("1")
    kept = ridge.kept()["draw_board"]
    assert [point["force"] for point in kept] == ["42 lbf +- 1", "59 lbf", "58 lbf"]
    expect(page.get_by_text("The points are yours, from the draw board.")).to_be_visible()

    ridge.key("weight, point 2", "heavy")
    wrong = ridge.field("weight, point 2")
    expect(wrong).to_have_accessible_description(re.compile("one number and a unit"))
    expect(wrong).to_have_value("heavy")
    wrong.fill("60")
    ridge.field("± of the weight, point 2").fill("1/2")
    ridge.field("± of the weight, point 2").press("Enter")
    expect(wrong).to_have_value("60 lbf")
    until(
        lambda: (page.wait_for_timeout(50), ridge.kept()["draw_board"][1]["force"])[1]
        == "60 lbf +- 1/2",
        "the ± was not kept",
    )
    ridge.button("Take out point 1").click()
    expect(ridge.button("Take out point 3")).to_have_count(0)
    expect(ridge.field("draw, point 1")).to_have_value("20 in")
    assert len(ridge.kept()["draw_board"]) == 2


#: What is typed into which field of a further point, and words of the answer; none is answered as
#: the one before.
NONSENSE = (
    ("draw", "soon", "one number and a unit"),
    ("draw", "", "needs its draw"),
    ("draw", "90", "50 in"),
    ("weight", "-5", "must not be negative"),
    ("weight", "6000", "600 lbf"),
    ("weight", "<b>41</b>", "one number and a unit"),
    ("± of the weight", "0", "more than zero"),
    ("± of the weight", "much", "one number and a unit"),
)


def test_nonsense_at_a_further_point_is_told_there_and_kept(
    ridge: BowPage, complaints: Complaints
) -> None:
    """Nothing of it is saved; what was typed stands in its field with rule and remedy."""
    complaints.forgive(REFUSED)
    ridge.page.get_by_role("heading", name="Draw board").click()
    for part, text, words in NONSENSE:
        typed = {"draw": "20", "weight": "59", "± of the weight": ""} | {part: text}
        for name, value in typed.items():
            ridge.field(f"{name}, a further point").fill(value)
        ridge.button("Add it").click()
        wrong = ridge.page.locator(".bow-point .wrong")
        expect(wrong).to_contain_text(words)
        expect(wrong).to_have_count(1)
        for name, value in typed.items():
            expect(ridge.field(f"{name}, a further point")).to_have_value(value)
        assert "draw_board" not in ridge.kept()


def test_a_point_past_the_wall_is_mended_where_it_stands(
    ridge: BowPage, complaints: Complaints
) -> None:
    """The bow cannot be answered from it; the row says so, and taken out, the bow is drawn."""
    complaints.forgive(REFUSED)
    ridge.page.get_by_role("heading", name="Draw board").click()
    ridge.field("draw, a further point").fill("40")
    ridge.field("weight, a further point").fill("20")
    ridge.button("Add it").click()
    far = ridge.field("draw, point 1")
    expect(far).to_have_accessible_description(
        re.compile("between brace height and draw length"), timeout=FIRST
    )
    ridge.button("Take out point 1").click()
    ridge.is_drawn()


def test_a_bow_that_cannot_be_asked_is_tuned_by_its_readings(
    shop: BenchServer, open_page: OpenPage, complaints: Complaints
) -> None:
    """First it says which trial to make; the trial logged, turns are advised from it alone."""
    complaints.forgive(REFUSED)
    BowPage(page := open_page("about:blank"), shop).keep()
    kept = shop.get(f"/api/jobs/{RIDGE}")["job"]
    bow = {k: v for k, v in kept["bow"].items() if k not in ("axle_to_axle", "now", "wanted")}
    shop.post("/api/jobs", {"job": {**kept, "id": "READ-1", "bow": bow}})
    page.goto(f"{shop.url}/#/bow/READ-1")
    odd = BowPage(page, shop, "READ-1")
    expect(page.get_by_text("From your readings only: no bow")).to_be_visible(timeout=FIRST)
    expect(page.get_by_text("put 2 turns into the string")).to_be_visible()
    expect(page.get_by_role("note").filter(has_text="Never dry fire")).to_be_visible()
    odd.key("draw weight now", "62.8")
    expect(odd.field("draw weight now")).to_have_value("62.8 lbf")
    odd.key("draw weight wanted", "60 +- 1/2")
    expect(odd.field("draw weight wanted")).to_have_value("60 lbf +- 1/2")
    odd.field("turns put into string").fill("2")
    odd.field("draw weight since").fill("62")
    odd.button("Log the trial").click()
    expect(page.get_by_role("list").filter(has_text="string 2 turns in")).to_be_visible()
    asked = page.locator(".bow-asked").first
    expect(asked).to_contain_text("string")
    expect(asked).to_contain_text("put in")
    expect(page.get_by_text("by your readings only; 1 trial on this bow")).to_be_visible()
    odd.key("axle to axle", "33")
    odd.is_drawn()
    expect(page.get_by_text("From your readings only: no bow")).to_have_count(0)


@pytest.mark.parametrize("scheme", ["light", "dark", "sun"])
def test_the_screen_has_no_barrier_and_fits(
    browser: Browser, shop: BenchServer, complaints: Complaints, scheme: Any
) -> None:
    """A checker of roles, names and contrasts finds nothing; the page never scrolls sideways."""
    BowPage(fresh := _page(browser, WIDTHS[0], scheme, complaints), shop).keep()
    kept = shop.get(f"/api/jobs/{RIDGE}")
    fields = {"bow.now.draw_length": "29 3/16 in", "bow.wanted.draw_length": "29 in"}
    changes = [{"field": field, "value": value} for field, value in fields.items()]
    shop.post(f"/api/jobs/{RIDGE}/change", {"revision": kept["revision"], "changes": changes})
    bow = BowPage(fresh, shop).open()
    _look_through(bow, WIDTHS[0])
    for width in WIDTHS[1:]:
        fresh.set_viewport_size({"width": width, "height": 900})
        fresh.reload()
        _look_through(bow.is_drawn(), width)
    fresh.context.close()


#: From a phone to a desk [CSS px]
WIDTHS = (390, 800, 1440)


def _look_through(bow: BowPage, width: int) -> None:
    """Open what can be opened, and look."""
    bow.button("lower cable 1/16 in shorter").click()
    expect(bow.figure("draw length").get_by_role("cell").nth(1)).to_contain_text("±")
    bow.page.get_by_role("heading", name="Draw board").click()
    bow.page.get_by_text("If tracks hold the twist").click()
    bow.page.wait_for_timeout(300)  # drawn anew once the window rests
    assert bow.page.evaluate("document.documentElement.scrollWidth") <= width
    assert 1 == bow.page.locator(".next:visible").count()
    looked = bow.page.evaluate("async () => await axe.run()")
    assert looked["passes"]
    found = {
        one["id"]: [node["html"][:160] for node in one["nodes"]] for one in looked["violations"]
    }
    assert {} == found, f"at {width} px: {json.dumps(found, indent=2)}"


def _page(browser: Browser, width: int, scheme: Any, complaints: Complaints) -> Page:
    # Only the checker needs more than the pages' own policy allows.
    viewport: Any = {"width": width, "height": 900}
    device: Any = "light" if scheme == "sun" else scheme
    context = browser.new_context(
        viewport=viewport,
        bypass_csp=True,
        color_scheme=device,
        reduced_motion="reduce",
        # In one light the page keeps itself for the time without a server, as in a shop.
        service_workers="allow" if scheme == "sun" else "block",
    )
    context.add_init_script(path=AXE)
    if scheme == "sun":
        # A page that has no address yet may keep nothing.
        keep = "try { localStorage.setItem('strandwright.theme', 'sun') } catch {}"
        context.add_init_script(keep)
    return complaints.listen(context.new_page())


def test_everything_is_reached_by_keyboard(ridge: BowPage) -> None:
    """Tab goes from the first reading on to every stepper, and focus is always seen."""
    ridge.field("brace height now").focus()
    reached: list[str] = ["brace height now"]
    while reached[-1] != "lower cable longer by" and len(reached) < 60:
        ridge.page.keyboard.press("Tab")
        reached.append(
            ridge.page.evaluate(
                "() => { const e = document.activeElement;"
                " return getComputedStyle(e).outlineStyle === 'none' ? '' :"
                " e.ariaLabel ?? e.textContent; }"
            )
        )
    for name in (
        "string longer by",
        "lower cable longer by",
        "brace height now",
        "draw weight wanted",
    ):
        assert name in reached
    assert "" not in reached


def test_what_is_known_of_the_bow_can_be_mended_there(
    ridge: BowPage, complaints: Complaints
) -> None:
    """Nonsense keeps standing with its reason; a let-off that is given is answered from."""
    complaints.forgive(REFUSED)
    ridge.page.get_by_role("heading", name="What is known of the bow").click()
    known = ridge.field("let-off of the bow")
    expect(known).to_have_value("80 %")
    ridge.key("let-off of the bow", "180 %")
    expect(known).to_have_accessible_description(re.compile("between 0 % and 100 %"))
    expect(known).to_have_value("180 %")
    ridge.key("let-off of the bow", "75 %")
    expect(ridge.figure("let-off").get_by_role("cell").nth(0)).to_contain_text("75", timeout=FIRST)
    ridge.key("let-off of the bow", "80 %")
    expect(ridge.figure("let-off").get_by_role("cell").nth(0)).to_contain_text("80", timeout=FIRST)


def test_the_string_stop_is_measured_on_the_screen(
    ridge: BowPage, shop: BenchServer, complaints: Complaints
) -> None:
    """Its serving asks for the stop's place; given there, the same words stand on the line."""
    complaints.forgive(REFUSED)
    page = ridge.page
    asked = page.get_by_role("list", name="What the bow asks of the servings")
    stop = asked.get_by_role("listitem").filter(has_text="measure where the string stop sits")
    expect(stop).to_have_count(1)
    page.get_by_role("heading", name="Cable guard and string stop").click()
    ridge.key("string stop over the pivot, − below it", "-5 7/8")
    expect(stop).to_have_count(0)
    words = asked.get_by_role("listitem").all_inner_texts()
    page.get_by_role("link", name="Back to the line").click()
    line = page.get_by_role("region", name="What the bow asks of the servings")
    expect(line).to_have_attribute("aria-busy", "false", timeout=PATIENCE)
    found = line.get_by_role("listitem").all_inner_texts()
    assert [text.split() for text in words] == [text.split() for text in found]
    kept = shop.get(f"/api/jobs/{RIDGE}")
    changes = [{"field": "bow.string_stop", "value": None}]
    shop.post(f"/api/jobs/{RIDGE}/change", {"revision": kept["revision"], "changes": changes})


def test_a_count_too_long_for_a_number_is_refused_and_kept(
    ridge: BowPage, complaints: Complaints
) -> None:
    """It is not taken as nothing; a fraction of a turn is taken."""
    complaints.forgive(REFUSED)
    ridge.page.get_by_role("heading", name="Limb bolts").click()
    ridge.key("both bolts, turns out", "9" * 400)
    out = ridge.field("both bolts, turns out")
    expect(out).to_have_accessible_description(re.compile("must be a number"))
    expect(out).to_have_value("9" * 400)
    ridge.key("both bolts, turns out", "2 1/4")
    expect(out).to_have_value("2.25")
    ridge.key("both bolts, turns out", "")
    expect(out).to_have_value("")
