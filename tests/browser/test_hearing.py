"""A load heard at the jig: plucked, shown, recorded; and what stands there when it cannot be."""

from __future__ import annotations

import json
import re
import sys
from collections.abc import Callable, Iterator
from contextlib import closing
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from at_the_ear import EarAtTheJig, fresh_context, heard_at, hearing_browser, read_entry
from at_the_jig import Jig, build_at, posts_set
from bench_server import BenchServer
from chromium import ARGS
from complaints import Complaints
from playwright.sync_api import Browser, Playwright, expect
from plucked import Skein, knocks, plucks, write_flac, write_wav

AXE = Path(__file__).parent / "vendor" / "axe.min.js"
SIZES = {"desk": (1440, 900), "tablet": (800, 900), "phone": (390, 844)}
#: What the line is really held by; the program is told it by nothing but the sound [lbf]
TRUE_LOAD = 93.0
#: From post to post at the first reading: the example's own, outside to outside less a post [in]
SKEIN = Skein(load=TRUE_LOAD, between=57.6 - 0.5)

OpenEar = Callable[..., EarAtTheJig]


@pytest.fixture(scope="module")
def sound(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Give a recording of three plucks."""
    return write_wav(tmp_path_factory.mktemp("sound") / "plucks.wav", plucks(SKEIN))


@pytest.fixture(scope="module")
def browser(playwright: Playwright, whole_chromium: str) -> Iterator[Browser]:
    """Give a browser that can be asked for a microphone, and has none."""
    running = playwright.chromium.launch(executable_path=whole_chromium, args=ARGS)
    yield running
    running.close()


@pytest.fixture(scope="module")
def listening(playwright: Playwright, whole_chromium: str, sound: Path) -> Iterator[Browser]:
    """Give a browser whose microphone hears the three plucks."""
    running = hearing_browser(playwright, whole_chromium, sound)
    yield running
    running.close()


@pytest.fixture
def open_jig(complaints: Complaints) -> Iterator[Callable[..., EarAtTheJig]]:
    """Open a build's page in a browser: ``open_jig(browser, bench, build, script)``."""
    opened = []

    def jig(
        browser: Browser, bench: BenchServer, build: str, script: str = "", *, keeps: bool = False
    ) -> EarAtTheJig:
        context = fresh_context(browser, keeps=keeps)
        opened.append(context)
        if script:
            context.add_init_script(script)
        page = complaints.listen(context.new_page())
        return EarAtTheJig(Jig(page).open(bench, build))

    yield jig
    for context in opened:
        context.close()


def _wound(bench: BenchServer) -> str:
    """Give a build that is wound, before its strands are evened out."""
    build = posts_set(bench)
    for run in (0, 1):
        bench.record(build, "rounds-laid", run=run, halves=12)
    return build


@pytest.fixture
def stretched(standing: BenchServer) -> str:
    """Give a build at its bare reading, long rested."""
    build = _wound(standing)
    for step in ("even", "shift", "stretch-bare"):
        standing.record_long_ago(build, "step-done", step=step)
    return build


def test_a_load_is_heard_and_goes_into_the_reading(
    standing: BenchServer, listening: Browser, open_jig: OpenEar, stretched: str
) -> None:
    """Three plucks that agree put the load into its field; it is recorded as heard."""
    ear = open_jig(listening, standing, stretched)
    ear.jig.type("The tape reads", "57 11/16")
    ear.open()
    expect(ear.page.locator(".ear-how")).to_contain_text(re.compile("pluck", re.IGNORECASE))
    ear.hears(1)
    load, spread = ear.shows_load()
    assert abs(load - TRUE_LOAD) <= spread
    assert spread < 0.2 * TRUE_LOAD
    expect(ear.page.locator(".ear-say")).to_have_text(re.compile("tighten", re.IGNORECASE))
    ear.hears(3)
    expect(ear.page.locator(".ear [aria-live=polite]")).to_contain_text("lbf: tighten a little")
    expect(ear.page.locator(".ear-together")).to_contain_text("Together")
    expect(ear.field()).to_have_value(re.compile("lbf"))
    ear.shut()
    together, spread = read_entry(ear.field().input_value())
    assert abs(together - TRUE_LOAD) <= spread
    expect(ear.page.locator("#jig-length")).to_have_value("57 11/16")
    ear.jig.do("This is what it reads")
    ear.jig.until(lambda: bool(standing.events(stretched, "length-read")), "nothing was recorded")
    body = standing.events(stretched, "length-read")[0]["body"]
    assert body["heard"] is True
    assert (together, spread) == read_entry(body["load"])


def test_the_load_stands_early_and_is_shown_at_once(
    standing: BenchServer, listening: Browser, open_jig: OpenEar, stretched: str
) -> None:
    """A pluck is asked about more than once while it rings; an answer is not kept waiting."""
    ear = open_jig(listening, standing, stretched).open()
    ear.hears(2)
    samples, shown = (heard_at(ear.page, f"ear:{name}") for name in ("samples", "shown"))
    assert len(samples) >= 5
    waits = [min(s for s in shown if s >= one) - one for one in samples[:5]]
    told = ", ".join(f"{wait:.0f}" for wait in waits)
    sys.stdout.write(f"from samples to the load shown: {told} ms\n")
    assert max(waits) < 2000.0
    first_pluck = samples[:3]
    assert all(late - early > 300.0 for early, late in pairwise(first_pluck))
    assert first_pluck[2] - first_pluck[0] < 2500.0


def test_the_microphone_is_asked_for_as_it_is_and_let_go(
    standing: BenchServer, listening: Browser, open_jig: OpenEar, stretched: str
) -> None:
    """No processing, one channel; closed with the ear, and when the step is left."""
    ear = open_jig(listening, standing, stretched).open()
    ear.hears(1)
    asked = ear.page.evaluate("window.asked.audio")
    for processing in ("echoCancellation", "noiseSuppression", "autoGainControl"):
        assert asked[processing] is False
    assert 1 == asked["channelCount"]
    assert 1 == ear.listens()
    ear.shut()
    assert 0 == ear.listens()
    expect(ear.page.get_by_role("button", name="Hear the load")).to_be_focused()
    ear.open()
    ear.jig.until(lambda: ear.listens() == 1, "the microphone was not opened again")
    ear.jig.choose("Route")
    expect(ear.gauge).to_have_count(0)
    assert 0 == ear.listens()


def test_a_pluck_can_be_dropped_and_a_typed_load_is_not_overwritten(
    standing: BenchServer, listening: Browser, open_jig: OpenEar, stretched: str
) -> None:
    """What comes by itself gives way to a hand; typed over, a load is no more heard."""
    ear = open_jig(listening, standing, stretched)
    ear.page.get_by_text("Also, if you have it").click()
    ear.jig.type("At a load of", "97 lbf")
    ear.open()
    ear.hears(3)
    expect(ear.page.locator(".ear-together")).to_contain_text("Together")
    expect(ear.field()).to_have_value("97 lbf")
    ear.page.get_by_role("button", name="Use this load").click()
    expect(ear.field()).to_have_value(re.compile("±"))
    expect(ear.page.locator(".ear-used")).to_contain_text("as heard")
    first = ear.plucks.first.locator(".act")
    expect(first).to_have_accessible_name("Drop pluck 1")
    ear.page.evaluate("window.streams.forEach((s) => s.getTracks().forEach((t) => t.stop()))")
    count = ear.plucks.count()
    first.click()
    expect(ear.plucks).to_have_count(count - 1)
    ear.shut()
    ear.jig.type("At a load of", "96 lbf")
    ear.jig.type("The tape reads", "57 11/16")
    ear.jig.do("This is what it reads")
    ear.jig.until(lambda: bool(standing.events(stretched, "length-read")), "nothing was recorded")
    body = standing.events(stretched, "length-read")[0]["body"]
    assert "96 lbf" == body["load"]
    assert not body.get("heard", False)


def test_a_load_that_is_heard_at_the_evening_out_goes_with_the_step(
    standing: BenchServer, listening: Browser, open_jig: OpenEar
) -> None:
    """At a load step the ear fills the step's load."""
    build = _wound(standing)
    ear = open_jig(listening, standing, build).open()
    ear.hears(1)
    ear.page.get_by_role("button", name="Use this load").click()
    ear.shut()
    load, spread = read_entry(ear.field().input_value())
    assert abs(load - TRUE_LOAD) <= spread
    ear.jig.do("Evened out at")
    ear.jig.until(lambda: bool(standing.events(build, "step-done")), "nothing was recorded")
    assert (load, spread) == read_entry(standing.events(build, "step-done")[0]["body"]["load"])


def test_a_load_that_is_heard_at_the_serving_goes_with_it(
    standing: BenchServer, listening: Browser, open_jig: OpenEar
) -> None:
    """Where no field asks for the load it stands beside the servings, over a reload too."""
    build = build_at(standing, "serve")
    ear = open_jig(listening, standing, build)
    if ear.jig.has_news():
        ear.jig.do("Go on")
    ear.open()
    ear.hears(1)
    ear.page.get_by_role("button", name="Use this load").click()
    ear.shut()
    kept = ear.page.get_by_text(re.compile("^Served at .* as heard"))
    expect(kept).to_be_visible()
    ear.page.reload()
    expect(kept).to_be_visible()
    load = read_entry(kept.inner_text().split(", as")[0])
    for box in ear.page.locator(".jig-rows input").all():
        box.check()
    ear.jig.do("All servings are on")
    ear.jig.until(lambda: bool(_served(standing, build)), "nothing was recorded")
    assert load == read_entry(_served(standing, build)[0]["load"])


def _served(bench: BenchServer, build: str) -> list[dict[str, Any]]:
    """Give what was recorded of the serving."""
    bodies = [event["body"] for event in bench.events(build, "step-done")]
    return [body for body in bodies if body["step"] == "serve"]


def test_a_load_that_is_heard_while_the_line_stands_is_for_the_watch(
    standing: BenchServer, listening: Browser, open_jig: OpenEar
) -> None:
    """Before the clock it is the step's load; after, what the line has let go of is its own."""
    build = _wound(standing)
    for step in ("even", "shift"):
        standing.record_long_ago(build, "step-done", step=step)
    ear = open_jig(listening, standing, build).open()
    ear.hears(1)
    ear.page.get_by_role("button", name="Use this load").click()
    act = ear.page.locator(".jig-act")
    expect(act).to_have_text(re.compile(r"It stands at [0-9.]+ lbf ± [0-9.]+ lbf: start the clock"))
    ear.shut()
    ear.jig.do("start the clock")
    stands_at = ear.page.locator(".jig-under").inner_text()
    ear.open()
    ear.hears(3)
    watched = ear.page.get_by_label("The load now")
    expect(watched).to_have_value(re.compile("±"))
    load, spread = read_entry(watched.input_value())
    assert abs(load - TRUE_LOAD) <= spread
    expect(ear.page.locator(".jig-under")).to_have_text(stands_at)


def test_a_recording_is_heard_where_there_is_no_microphone(
    standing: BenchServer, browser: Browser, open_jig: OpenEar, stretched: str, sound: Path,
    tmp_path: Path,
) -> None:  # fmt: skip
    """A computer without a microphone says so; a recording is answered the same way."""
    ear = open_jig(browser, standing, stretched).open()
    expect(ear.trouble).to_contain_text("No microphone was found")
    ear.bring(sound)
    ear.hears(1)
    load, spread = ear.shows_load()
    assert abs(load - TRUE_LOAD) <= spread
    ear.page.get_by_role("button", name="Use this load").click()
    assert read_entry(ear.field().input_value()) == pytest.approx((load, spread), abs=2.0)
    tighter = Skein(load=1.1 * TRUE_LOAD, between=SKEIN.between)
    ear.bring(write_flac(tmp_path / "tighter.flac", plucks(tighter, (0.0,))))
    ear.hears(2)
    load, spread = ear.shows_load()
    assert abs(load - tighter.load) <= spread
    expect(ear.page.locator(".ear-together")).to_contain_text("at another load, are left out")
    ear.page.get_by_role("button", name="Use this load").click()
    assert read_entry(ear.field().input_value()) == pytest.approx((load, spread), abs=2.0)


def test_what_is_no_sound_or_no_pluck_is_said_in_words(
    standing: BenchServer, browser: Browser, open_jig: OpenEar, complaints: Complaints,
    stretched: str, tmp_path: Path,
) -> None:  # fmt: skip
    """Another file, a broken one, a knock: each has its reason, and what was typed stays."""
    complaints.forgive("status of 4")
    ear = open_jig(browser, standing, stretched)
    ear.jig.type("The tape reads", "57 11/16")
    ear.open()
    text = tmp_path / "notes.wav"
    text.write_text("not a sound at all")
    ear.bring(text)
    expect(ear.trouble.last).to_contain_text("notes.wav is neither a WAV nor a FLAC file")
    broken = write_wav(tmp_path / "broken.wav", plucks(SKEIN))
    broken.write_bytes(broken.read_bytes()[:30])
    ear.bring(broken)
    expect(ear.trouble.last.locator("b").last).not_to_be_empty()
    expect(ear.trouble.last).not_to_contain_text("notes.wav")
    ear.bring(write_wav(tmp_path / "knocks.wav", knocks()))
    expect(ear.page.locator(".ear-huge")).to_have_text("Not heard")
    expect(ear.page.locator(".ear-say")).to_have_text(re.compile(r"\w+ \w+ \w+"))
    expect(ear.page.get_by_role("button", name="Use this load")).to_be_disabled()
    expect(ear.page.locator("#jig-length")).to_have_value("57 11/16")


def test_too_large_a_file_is_not_sent(
    standing: BenchServer, browser: Browser, open_jig: OpenEar, stretched: str, tmp_path: Path
) -> None:
    """Over the limit it is told of before it goes."""
    ear = open_jig(browser, standing, stretched).open()
    large = tmp_path / "large.flac"
    large.write_bytes(b"fLaC" + bytes(20_000_001))
    ear.bring(large)
    expect(ear.trouble.last).to_contain_text("21 MB and may have 20")


#: What cannot be brought about on a test's machine, and what the page must say of it.
TROUBLES = {
    "insecure": (
        "Object.defineProperty(window, 'isSecureContext', { value: false });",
        "only to a page of this computer",
    ),
    "no way to ask": (
        "Object.defineProperty(Navigator.prototype, 'mediaDevices', { value: undefined });",
        "This browser cannot hear",
    ),
    "busy": (
        "MediaDevices.prototype.getUserMedia = () => "
        "Promise.reject(new DOMException('in use', 'NotReadableError'));",
        "busy",
    ),
}


@pytest.mark.parametrize("kind", TROUBLES)
def test_no_microphone_is_told_with_its_reason(
    kind: str, standing: BenchServer, browser: Browser, open_jig: OpenEar, stretched: str
) -> None:
    """Each reason has its words, and the way round by a recording stands there always."""
    script, words = TROUBLES[kind]
    ear = open_jig(browser, standing, stretched, script).open()
    expect(ear.trouble).to_contain_text(words)
    expect(ear.trouble).to_contain_text("recording")
    expect(ear.page.get_by_label("Bring a recording", exact=False)).to_be_enabled()


@pytest.mark.parametrize(("loud", "words"), [(4.0, "Too loud"), (0.02, "Very soft")])
def test_too_loud_and_too_soft_are_told_of(
    loud: float, words: str, standing: BenchServer, playwright: Playwright, whole_chromium: str,
    open_jig: OpenEar, stretched: str, tmp_path: Path,
) -> None:  # fmt: skip
    """A microphone that overdrives, or hardly hears, is told of with what helps."""
    sound = write_wav(tmp_path / "plucks.wav", loud * plucks(SKEIN))
    with closing(hearing_browser(playwright, whole_chromium, sound)) as running:
        ear = open_jig(running, standing, stretched).open()
        expect(ear.page.locator(".ear-hint").first).to_contain_text(words)


def test_processing_that_a_browser_keeps_on_is_told_of(
    standing: BenchServer, listening: Browser, open_jig: OpenEar, stretched: str
) -> None:
    """Asked to leave the sound alone, a browser may not: the page looks, and says so."""
    keeps = "MediaStreamTrack.prototype.getSettings = () => ({ noiseSuppression: true });"
    ear = open_jig(listening, standing, stretched, keeps).open()
    expect(ear.page.locator(".ear-hint").last).to_contain_text("keeps noise suppression on")


def test_a_microphone_that_is_not_allowed_is_told_with_how_to_allow_it(
    standing: BenchServer, listening: Browser, open_jig: OpenEar, stretched: str
) -> None:
    """Denied, the page says where to allow it, and asks again when told to."""
    ear = open_jig(listening, standing, stretched)
    ear.page.context.clear_permissions()
    ear.page.context.grant_permissions(["geolocation"])
    ear.open()
    expect(ear.trouble).to_contain_text("may not use the microphone")
    expect(ear.trouble).to_contain_text("beside the address")
    ear.page.context.grant_permissions(["microphone"])
    ear.page.get_by_role("button", name="Ask for the microphone again").click()
    ear.hears(1)
    expect(ear.trouble).to_have_count(0)


def test_a_bench_computer_that_falls_silent_is_told_of(
    bench: BenchServer, listening: Browser, open_jig: OpenEar
) -> None:
    """A pluck that nobody answers is no load; what was typed stays."""
    build = _wound(bench)
    ear = open_jig(listening, bench, build, keeps=True)
    ear.jig.kept_for_dead_server()
    ear.open().hears(1)
    bench.kill()
    expect(ear.trouble).to_contain_text("does not answer", timeout=30_000)
    bench.start()
    expect(ear.trouble).to_have_count(0, timeout=30_000)


@pytest.mark.parametrize("theme", ["light", "dark", "sun"])
def test_the_ear_has_no_barrier_and_fits(
    theme: str, standing: BenchServer, listening: Browser, sound: Path, stretched: str
) -> None:
    """In every light and size a checker finds nothing, nothing runs out, no text is small."""
    # Only the checker needs more than the pages' own policy allows.
    context = listening.new_context(
        bypass_csp=True,
        permissions=["microphone"],
        reduced_motion="reduce",
        service_workers="block",
    )
    context.add_init_script(path=AXE)
    context.add_init_script(f"localStorage.setItem('strandwright.theme', '{theme}')")
    page = context.new_page()
    ear = EarAtTheJig(Jig(page).open(standing, stretched)).open()
    found: dict[str, Any] = {}
    for state in ("heard", "not a sound"):
        if state == "heard":
            ear.hears(1)
        else:
            ear.bring(AXE)
            expect(ear.trouble).to_be_visible()
        for size, (width, height) in SIZES.items():
            page.set_viewport_size({"width": width, "height": height})
            assert width >= page.evaluate("document.documentElement.scrollWidth"), size
            assert [] == page.evaluate(_SMALL), size
        looked = page.evaluate("async () => await axe.run()")
        assert looked["passes"], state
        for broken in looked["violations"]:
            nodes = [n["html"][:160] + n["failureSummary"] for n in broken["nodes"][:3]]
            found[f"{state}: {broken['id']}"] = nodes
    context.close()
    assert {} == found, json.dumps(found, indent=2)


#: Gives what is written smaller than can be read from a metre, and what runs out of the ear.
_SMALL = """() => [...document.querySelectorAll('.ear *')]
  .filter((e) => e.checkVisibility() && !e.closest('.unseen') && !e.classList.contains('unseen'))
  .filter((e) => [...e.childNodes].some((n) => n.nodeType === 3 && n.data.trim()))
  .filter((e) => parseFloat(getComputedStyle(e).fontSize) < 16
    || e.getBoundingClientRect().right > document.documentElement.clientWidth + 1)
  .map((e) => e.outerHTML)"""
