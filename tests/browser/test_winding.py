"""Winding by keyboard and touch: one press is one round, and no press is taken on trust."""

from __future__ import annotations

import pytest
from at_the_jig import Jig, posts_set, slashed
from bench_server import BenchServer
from complaints import OpenPage
from playwright.sync_api import expect


@pytest.mark.usefixtures("own_profile")
def test_a_line_is_wound_by_keyboard_through_a_reload_and_a_crash(
    bench: BenchServer, open_page: OpenPage
) -> None:
    """Twelve rounds in two colours are counted right though the server dies on the way."""
    build = posts_set(bench)
    jig = Jig(open_page(bench.url)).open(bench, build).kept_for_dead_server()
    jig.shows_title("Wind the spruce")
    jig.wind(3)
    jig.shows_count("3")
    jig.shows_saved()
    bench.kill()
    jig.wind(2)
    jig.shows_count("5")
    jig.shows_waiting(2)
    jig.page.reload()
    jig.shows_title("Wind the spruce")
    jig.shows_count("5")
    jig.wind(1)
    jig.shows_title("Wind the straw")
    jig.shows_count("0")
    jig.wind(1)
    jig.shows_strands(14)
    bench.start()
    jig.wind(5)
    jig.shows_title("The winding is done")
    expect(jig.page.locator(".jig-huge")).to_have_text("24 of 24 strands")
    jig.shows_saved()
    assert 24 == bench.halves(build)
    assert 12 == len(bench.events(build, "rounds-laid"))


def test_a_key_held_down_counts_once(standing: BenchServer, open_page: OpenPage) -> None:
    """The keyboard's own repeats are no rounds."""
    build = posts_set(standing)
    jig = Jig(open_page(standing.url)).open(standing, build)
    jig.shows_count("0")
    jig.hold()
    jig.shows_count("1")
    jig.wind(1)
    jig.shows_count("2")
    jig.shows_saved()
    assert 2 == len(standing.events(build, "rounds-laid"))


def test_a_press_too_soon_is_asked_about(standing: BenchServer, open_page: OpenPage) -> None:
    """A second press at once counts only at the technician's word; another press says no."""
    build = posts_set(standing)
    jig = Jig(open_page(standing.url)).open(standing, build)
    jig.shows_count("0")
    doubt = jig.page.get_by_text("after the last: count it?")
    jig.press()
    jig.press(apart=0.0)
    expect(doubt).to_be_visible()
    jig.shows_count("1")
    jig.choose("Yes, count it")
    jig.shows_count("2")
    jig.press()
    jig.press(apart=0.0)
    expect(doubt).to_be_visible()
    jig.press()
    expect(doubt).to_be_hidden()
    jig.shows_count("4")
    jig.press()
    jig.press(apart=0.0)
    jig.choose("No")
    jig.shows_count("5")
    jig.shows_saved()
    assert 10 == standing.halves(build)


def test_any_key_of_a_pedal_counts(standing: BenchServer, open_page: OpenPage) -> None:
    """Letters, digits, function keys, arrows and page keys count; Tab, Shift, Control do not."""
    build = posts_set(standing)
    jig = Jig(open_page(standing.url)).open(standing, build)
    jig.shows_count("0")
    for key in ("b", "7", "F9", "PageDown", "ArrowRight"):
        jig.press(key)
    jig.shows_count("5")
    for key in ("Tab", "Shift", "Control"):
        jig.press(key)
    jig.page.keyboard.press("Control+a")
    jig.shows_count("5")
    jig.shows_saved()
    assert 10 == standing.halves(build)


def test_the_browsers_own_keys_count_and_do_nothing_else(
    standing: BenchServer, open_page: OpenPage
) -> None:
    """F5, F11, F12 and Escape are rounds, the page stays; with Ctrl they are the browser's."""
    build = posts_set(standing)
    jig = Jig(open_page(standing.url)).open(standing, build)
    jig.shows_count("0")
    jig.page.evaluate(
        """() => { window.same = true; window.kept = [];
           const heard = (e) => kept.push([e.key, e.ctrlKey, e.defaultPrevented]);
           addEventListener("keydown", heard); }"""
    )
    for key in ("F5", "F11", "F12", "Escape"):
        jig.press(key)
    jig.shows_count("4")
    # Sent to the page only: what the browser itself would do with it is not asked for here.
    jig.page.evaluate(
        """() => document.body.dispatchEvent(new KeyboardEvent("keydown",
           { key: "F5", ctrlKey: true, bubbles: true, cancelable: true }))"""
    )
    kept = [[key, False, True] for key in ("F5", "F11", "F12", "Escape")]
    assert [*kept, ["F5", True, False]] == jig.page.evaluate("kept")
    assert jig.page.evaluate("same")
    jig.shows_count("4")
    jig.shows_saved()
    assert 8 == standing.halves(build)


def test_escape_shuts_and_leaves_before_it_counts(
    standing: BenchServer, open_page: OpenPage
) -> None:
    """In an open drawer and away from the next act the key leads back, and is no round."""
    build = posts_set(standing)
    jig = Jig(open_page(standing.url)).open(standing, build)
    jig.shows_count("0")
    jig.page.get_by_text("Weigh a spool").click()
    field = jig.page.get_by_label("The spruce spool lost")
    expect(field).to_be_focused()
    jig.press("Escape")
    expect(field).to_be_hidden()
    jig.choose("Route")
    jig.press("Escape")
    jig.shows_count("0")
    jig.press("Escape")
    jig.shows_count("1")
    jig.shows_saved()
    assert 2 == standing.halves(build)


def test_touch_counts_and_typing_does_not(standing: BenchServer, open_page: OpenPage) -> None:
    """The lower third is a counter; letters stay in their field."""
    build = posts_set(standing)
    jig = Jig(open_page(standing.url)).open(standing, build)
    jig.shows_count("0")
    jig.touch(720, 800)
    jig.shows_count("1")
    jig.page.get_by_text("Weigh a spool").click()
    field = jig.page.get_by_label("The spruce spool lost")
    expect(field).to_be_focused()
    field.press_sequentially("57 gr")
    jig.shows_count("1")
    jig.press("F9")
    jig.shows_count("2")
    expect(field).to_have_value("57 gr")
    field.press("Enter")
    expect(jig.page.get_by_text("spruce: 57 gr noted")).to_be_visible()
    jig.shows_count("2")
    jig.press()
    jig.shows_count("3")
    jig.shows_saved()
    assert ["57 gr"] == [e["body"]["lost"] for e in standing.events(build, "mass-read")]


def test_the_pedal_counts_before_a_weight_is_said_to_be_noted(
    standing: BenchServer, open_page: OpenPage
) -> None:
    """The field gives the keys back at once: a press between Enter and the word counts too."""
    build = posts_set(standing)
    jig = Jig(open_page(standing.url)).open(standing, build)
    jig.shows_count("0")
    jig.page.get_by_text("Weigh a spool").click()
    field = jig.page.get_by_label("The spruce spool lost")
    expect(field).to_be_focused()
    field.fill("57 gr")
    # Between Enter and the next press the page gets no turn to do anything later.
    focused = field.evaluate(
        """(field) => {
             field.form.requestSubmit();
             const next = document.activeElement;
             const press = { key: " ", bubbles: true, cancelable: true };
             next.dispatchEvent(new KeyboardEvent("keydown", press));
             return next.tagName;
           }"""
    )
    jig.pressed_otherwise()
    assert "BODY" == focused
    jig.shows_count("1")
    expect(jig.page.get_by_text("spruce: 57 gr noted")).to_be_visible()
    jig.press("Enter")
    jig.shows_count("2")
    jig.shows_saved()
    assert ["57 gr"] == [e["body"]["lost"] for e in standing.events(build, "mass-read")]
    assert 4 == standing.halves(build)


def test_half_rounds_make_an_odd_count(standing: BenchServer, open_page: OpenPage) -> None:
    """The half-round key lays half; the last half of a colour needs no other key."""
    build = posts_set(standing)
    jig = Jig(open_page(standing.url)).open(standing, build)
    jig.shows_count("0")
    jig.press("h")
    jig.shows_count("1/2")
    jig.wind(5)
    jig.shows_count("5 1/2")
    expect(jig.page.locator(".jig-act")).to_have_text("Pedal, space or touch: the last half round")
    jig.press()
    jig.shows_title("Wind the straw")
    jig.shows_saved()
    laid = [e["body"]["halves"] for e in standing.events(build, "rounds-laid")]
    assert [1, 2, 2, 2, 2, 2, 1] == laid


def test_the_last_round_can_be_taken_back(bench: BenchServer, open_page: OpenPage) -> None:
    """Taking back works again and again, over a colour change, and while the server is dead."""
    build = posts_set(bench)
    jig = Jig(open_page(bench.url)).open(bench, build)
    jig.shows_count("0")
    jig.wind(7)
    jig.shows_title("Wind the straw")
    jig.shows_count("1")
    jig.press("Backspace")
    jig.shows_count("0")
    jig.press("u")
    jig.shows_title("Wind the spruce")
    jig.shows_count("5")
    jig.shows_saved()
    bench.kill()
    jig.press("u")
    jig.shows_count("4")
    jig.wind(1)
    jig.shows_count("5")
    jig.press("u")
    jig.press("u")
    jig.shows_count("3")
    bench.start()
    jig.shows_saved()
    jig.shows_count("3")
    assert 6 == bench.halves(build)
    # Nothing was erased: every round and every withdrawal stands in the log.
    assert 8 == len(bench.events(build, "rounds-laid"))
    assert 5 == len(bench.events(build, "withdrawn"))


@pytest.mark.usefixtures("own_profile")
def test_a_foot_ahead_of_the_disk_loses_no_round(
    standing: BenchServer, open_page: OpenPage
) -> None:
    """Presses that wait for a slow disk go on over a change of colour; one too many asks."""
    build = posts_set(standing)
    page = open_page(standing.url)
    # A disk that needs longer for a round than the winder does.
    page.add_init_script(
        """const add = IDBObjectStore.prototype.add;
           IDBObjectStore.prototype.add = function (item) {
             for (let other = 0; other < 300; other += 1) this.getAll();
             return add.call(this, item);
           }"""
    )
    page.reload()
    jig = Jig(page).open(standing, build)
    jig.shows_count("0")
    jig.wind(13)
    jig.shows_title("The winding is done")
    expect(page.get_by_text("one more than planned: count it?")).to_be_visible()
    jig.choose("No")
    jig.shows_saved()
    laid = standing.get(f"/api/builds/{build}")["winding"]["runs"]
    assert [12, 12] == [run["laid"] for run in laid]


def test_one_round_more_than_planned_is_asked_about(
    standing: BenchServer, open_page: OpenPage
) -> None:
    """After the last round the pedal neither counts nor goes on to the next step."""
    build = posts_set(standing)
    jig = Jig(open_page(standing.url)).open(standing, build)
    jig.shows_count("0")
    jig.wind(11)
    expect(jig.page.locator(".jig-warn")).to_contain_text("One round more, then stop")
    jig.wind(1)
    jig.shows_title("The winding is done")
    for key in (" ", "Enter", "b"):
        jig.press(key)
        expect(jig.page.get_by_text("one more than planned: count it?")).to_be_visible()
        jig.choose("No")
    jig.shows_title("The winding is done")
    jig.shows_saved()
    assert 24 == standing.halves(build)
    jig.press()
    jig.choose("Yes, count it")
    expect(jig.page.locator(".jig-huge")).to_have_text("26 of 24 strands")
    jig.shows_saved()
    assert 26 == standing.halves(build)
    jig.do("Go on: Even out the strands")
    expect(jig.page.get_by_text("First load of a new skein")).to_be_visible()


def test_the_colour_change_is_told_in_words(standing: BenchServer, open_page: OpenPage) -> None:
    """One round before a change, and at it, the screen says what comes; colours have names."""
    build = posts_set(standing)
    jig = Jig(open_page(standing.url)).open(standing, build)
    jig.shows_count("0")
    jig.wind(5)
    expect(jig.page.locator(".jig-warn")).to_have_text("One round more, then the straw")
    jig.wind(1)
    expect(jig.page.locator(".jig-warn")).to_contain_text("Change: the spruce is full.")
    for name in ("spruce 6", "straw 6"):
        expect(jig.page.locator(".jig-run-name", has_text=slashed(name))).to_be_visible()
    # Pieces of two colours differ by more than colour.
    patterns = jig.page.eval_on_selector_all(
        ".jig-run", "runs => runs.map(r => getComputedStyle(r.querySelector('i')).backgroundImage)"
    )
    assert 2 == len(set(patterns))
