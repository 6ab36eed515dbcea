"""A bench that answers others: its certificate, sign-in, sign-out, a phone, in a real browser.

The browser trusts the shop's authority as a phone does, and no error of a certificate is ignored.
"""

from __future__ import annotations

import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest
from chromium import ARGS
from complaints import Complaints
from guarded_bench import PASSWORD, GuardedBench, make_shop
from kept_page import PATIENCE
from playwright.sync_api import Browser, BrowserContext, Error, Page, Playwright, expect
from trusting import trusting_home

from strandwright.web.authority import AUTHORITY

AXE = Path(__file__).parent / "vendor" / "axe.min.js"


@pytest.fixture(scope="module")
def guarded(tmp_path_factory: pytest.TempPathFactory) -> Iterator[GuardedBench]:
    """Give a bench that answers others, with three people and a line on its jig."""
    folder = tmp_path_factory.mktemp("guarded")
    store = str(folder / "workshop.db")
    make_shop(folder, store)
    bench = GuardedBench(folder, store)
    bench.start()
    yield bench
    bench.stop()


@pytest.fixture(scope="module")
def trusting(
    playwright: Playwright, chromium_path: str, guarded: GuardedBench
) -> Iterator[Browser]:
    """Give a browser that trusts the shop's authority."""
    environment = trusting_home(guarded.folder / "home", guarded.folder / AUTHORITY)
    running = playwright.chromium.launch(executable_path=chromium_path, args=ARGS, env=environment)
    yield running
    running.close()


@pytest.fixture
def desk(trusting: Browser) -> Iterator[BrowserContext]:
    """Give a fresh profile of a desk computer."""
    context = trusting.new_context(viewport={"width": 1280, "height": 900})
    context.set_default_timeout(PATIENCE)
    yield context
    context.close()


@pytest.fixture
def page(desk: BrowserContext, complaints: Complaints) -> Page:
    """Give a page whose console must stay silent but for the refusals a test provokes."""
    complaints.forgive("the server responded with a status of 401")
    complaints.forgive("Password forms should have")
    return complaints.listen(desk.new_page())


def sign_in(page: Page, name: str, password: str = PASSWORD) -> None:
    """Sign in as a person does."""
    door = page.locator("#door")
    door.get_by_label("name", exact=True).fill(name)
    door.get_by_label("password", exact=True).fill(password)
    door.get_by_role("button", name="Sign in").click()


def at_the_jobs(page: Page) -> None:
    """Wait until the jobs are shown."""
    expect(page.get_by_role("heading", name="Jobs at hand")).to_be_visible(timeout=PATIENCE)


def test_a_browser_that_was_not_told_of_the_authority_is_warned(browser: Browser, guarded):
    """The certificate is what lets one in without a warning, and nothing else."""
    stranger = browser.new_context()
    with pytest.raises(Error, match="ERR_CERT_AUTHORITY_INVALID"):
        stranger.new_page().goto(guarded.url)
    stranger.close()


def test_nothing_of_the_shop_is_fetched_before_somebody_signs_in(page, guarded):
    """The shell, the door, and the question who is there: then a name and a password."""
    asked: list[str] = []
    page.on("request", lambda r: asked.append(r.url.removeprefix(guarded.url)))
    page.goto(f"{guarded.url}/")
    expect(page.get_by_role("heading", name="Sign in")).to_be_visible()
    api = {path for path in asked if path.startswith("/api/")}
    assert {"/api/session"} == api
    assert not [path for path in asked if path.endswith("/app.js")]
    sign_in(page, "tess", "not her password at all")
    expect(page.get_by_role("alert")).to_have_text(
        "Name and password do not belong together; type both again."
    )
    expect(page.get_by_label("password", exact=True)).to_be_focused()
    expect(page.get_by_label("password", exact=True)).to_have_value("")
    sign_in(page, "Tess")
    at_the_jobs(page)
    expect(page.get_by_role("link", name="tess")).to_be_visible()
    assert page.evaluate("isSecureContext")


def test_the_cookie_is_out_of_reach_and_a_reload_stays_signed_in(page, desk, guarded):
    """No script of the page sees the session."""
    page.goto(guarded.url)
    sign_in(page, "tess")
    at_the_jobs(page)
    assert "" == page.evaluate("document.cookie")
    [cookie] = desk.cookies()
    assert (True, True, "Strict") == (cookie["secure"], cookie["httpOnly"], cookie["sameSite"])
    page.reload()
    at_the_jobs(page)


def test_signing_out_leaves_nothing_behind(page, desk, guarded):
    """No cookie, no database, no kept page, and the way back shows the door."""
    page.goto(guarded.url)
    sign_in(page, "tess")
    at_the_jobs(page)
    page.goto(f"{guarded.url}/#/people")
    page.get_by_role("button", name="Sign out", exact=True).click()
    expect(page.get_by_role("heading", name="Sign in")).to_be_visible()
    assert [] == desk.cookies()
    assert [] == page.evaluate("indexedDB.databases()")
    assert None is page.evaluate("localStorage.getItem('strandwright.visitor')")
    page.go_back()
    expect(page.get_by_role("heading", name="Sign in")).to_be_visible()
    expect(page.get_by_role("heading", name="Jobs at hand")).to_have_count(0)


def test_a_session_that_ends_elsewhere_hides_the_page_and_gives_it_back(page, guarded):
    """A new password at the command line: what was typed stays for the same person."""
    page.goto(guarded.url)
    sign_in(page, "cass")
    at_the_jobs(page)
    page.goto(f"{guarded.url}/#/new")
    field = page.locator("#new-line, textarea, input[type=text], input:not([type])").first
    expect(field).to_be_visible(timeout=PATIENCE)
    field.fill("a line for the heath bow")
    guarded.sign_in("cass")
    assert 200 == guarded.ask("POST", "/api/session/everywhere", {})[0]
    expect(page.get_by_role("heading", name="Sign in again")).to_be_visible(timeout=PATIENCE)
    expect(field).to_be_hidden()
    sign_in(page, "cass")
    expect(field).to_be_visible()
    expect(field).to_have_value("a line for the heath bow")


def test_somebody_else_does_not_find_what_was_typed(page, guarded):
    """Another name at the same browser begins anew."""
    page.goto(guarded.url)
    sign_in(page, "cass")
    at_the_jobs(page)
    guarded.sign_in("cass")
    assert 200 == guarded.ask("POST", "/api/session/everywhere", {})[0]
    expect(page.get_by_role("heading", name="Sign in again")).to_be_visible(timeout=PATIENCE)
    page.evaluate("window.before = true")
    sign_in(page, "tess")
    expect(page.get_by_role("link", name="tess")).to_be_visible(timeout=PATIENCE)
    assert page.evaluate("window.before === undefined")


def test_a_phone_is_paired_counts_and_is_sent_off(page, trusting, complaints, guarded):
    """By the code on the screen; the count is on the bench's screen at once, under its name."""
    guarded.sign_in("tess")
    build = guarded.begin()
    page.goto(f"{guarded.url}/#/people")
    sign_in(page, "tess")
    page.get_by_role("button", name="Pair a phone").click()
    address = page.locator(".pairing-address").text_content()
    assert address is not None
    assert _read_off(page, guarded.folder) in (address, None)
    pocket = trusting.new_context(viewport={"width": 390, "height": 780}, has_touch=True)
    pocket.set_default_timeout(PATIENCE)
    phone = complaints.listen(pocket.new_page())
    phone.goto(address)
    assert address[-32:] not in phone.url
    phone.get_by_label("whose phone it is").fill("Tess's phone")
    phone.get_by_role("button", name="Pair it").click()
    phone.get_by_role("link", name="String for the ridge bow").click()
    expect(page.get_by_text("Tess's phone")).to_be_visible()
    page.goto(f"{guarded.url}/#/jig/{build}")
    phone.get_by_role("button", name="One round").click()
    expect(phone.locator(".phone-number b")).to_have_text("1")
    expect(page.locator(".jig")).to_contain_text("1", timeout=PATIENCE)
    phone.wait_for_timeout(400)
    phone.get_by_role("button", name="One round").click()
    expect(phone.locator(".phone-number b")).to_have_text("2")
    expect(phone.locator(".saved")).to_have_text("saved")
    phone.get_by_role("button", name="Take the last back").click()
    expect(phone.locator(".phone-number b")).to_have_text("1")
    expect(phone.locator(".saved")).to_have_text("saved")
    _, log = guarded.ask("GET", f"/api/builds/{build}/log.json")
    laid = [e for e in log["events"] if e["type"] in ("rounds-laid", "withdrawn")]
    assert 3 == len(laid)
    assert {"phone Tess's phone at front"} == {e["by"] for e in laid}
    phone.get_by_role("link", name="Lines").click()
    phone.get_by_label("Send a picture").set_input_files(_picture(guarded.folder))
    expect(phone.get_by_text("The picture is at the bench.")).to_be_visible()
    _, offered = guarded.ask("GET", "/api/pairings/photos")
    assert ["Tess's phone"] == [photo["label"] for photo in offered["photos"]]
    _, found = guarded.ask("GET", "/api/pairings")
    assert 200 == guarded.ask("POST", f"/api/pairings/{found['phones'][0]['id']}/end", {})[0]
    expect(phone.get_by_role("heading", name="Sign in again")).to_be_visible(timeout=PATIENCE)
    pocket.close()


def _picture(folder: Path) -> Path:
    """Give a picture as a camera takes it, larger than what is sent."""
    from PIL import Image

    path = folder / "routing.png"
    Image.new("RGB", (2400, 1800), (180, 120, 40)).save(path)
    return path


def _read_off(page: Page, folder: Path) -> str | None:
    """Read the code as a camera does; None where no program for it is installed."""
    import shutil

    if shutil.which("zbarimg") is None:
        return None
    picture = folder / "code.png"
    page.locator(".pairing img").screenshot(path=picture)
    read = subprocess.run(
        ["zbarimg", "-q", "--raw", str(picture)], capture_output=True, text=True, check=True
    )
    return read.stdout.strip()


def test_an_owner_adds_somebody_who_signs_in(page, trusting, guarded):
    """On the screen, with the owner's own password typed again."""
    page.goto(f"{guarded.url}/#/people")
    sign_in(page, "olga")
    page.get_by_label("your own password, for any change below").fill(PASSWORD)
    page.get_by_label("name to sign in with").fill("nina")
    page.get_by_label("role", exact=True).select_option("counter")
    page.get_by_label("first password").fill("violet anchor seven moths")
    page.get_by_role("button", name="Add", exact=True).click()
    expect(page.get_by_text("nina was added as counter")).to_be_visible()
    other = trusting.new_context()
    there = other.new_page()
    there.goto(guarded.url)
    sign_in(there, "nina", "violet anchor seven moths")
    at_the_jobs(there)
    there.goto(f"{guarded.url}/#/people")
    expect(there.get_by_text("signed in as counter")).to_be_visible()
    expect(there.get_by_role("button", name="Pair a phone")).to_have_count(0)
    other.close()


@pytest.mark.parametrize("width", [360, 820, 1440])
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_the_screens_stand_at_any_width_without_barriers(trusting, guarded, width, scheme):
    """Nothing runs out of the page, and nobody is kept out by how it is made."""
    context = trusting.new_context(
        viewport={"width": width, "height": 800}, color_scheme=scheme, reduced_motion="reduce"
    )
    context.set_default_timeout(PATIENCE)
    page = context.new_page()
    page.goto(f"{guarded.url}/#/people")
    expect(page.get_by_role("heading", name="Sign in")).to_be_visible()
    _without_barriers(page)
    sign_in(page, "olga")
    expect(page.get_by_role("heading", name="Who came and went")).to_be_visible(timeout=PATIENCE)
    page.get_by_role("button", name="Pair a phone").click()
    expect(page.locator(".pairing img")).to_be_visible()
    page.get_by_role("button", name="Change your password").click()
    _without_barriers(page)
    context.close()


def _without_barriers(page: Page) -> None:
    wide = page.evaluate("document.documentElement.scrollWidth - innerWidth")
    assert wide <= 0
    page.evaluate(AXE.read_text(encoding="utf-8"))
    looked = page.evaluate("async () => await axe.run()")
    assert [] == [(v["id"], [n["html"] for n in v["nodes"]]) for v in looked["violations"]]
