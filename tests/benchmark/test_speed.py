"""Speed, measured beside a peer in the same run; prints medians, asserts ratios only."""

from __future__ import annotations

import asyncio
import gc
import json
import random
import statistics
import subprocess
import sys
import time
from collections.abc import Callable, MutableMapping
from importlib.resources import files
from typing import Any

import numpy as np
import pytest

from strandwright.drawing import strip_svg
from strandwright.line.build import build
from strandwright.numerics.propagation import monte_carlo, propagate
from strandwright.planning.desk.builds import Desk
from strandwright.planning.examples import examples
from strandwright.planning.forecast import INTERACTING
from strandwright.planning.picture import strip_picture
from strandwright.planning.plan_data import plan_data
from strandwright.planning.plan_line import at_mean, plan_line
from strandwright.planning.prepare import prepare
from strandwright.planning.replan import quick_plan
from strandwright.planning.settings import choose_settings
from strandwright.planning.take_off.target import find_target
from strandwright.sheets import sheet_data
from strandwright.store.memory import MemoryStore
from strandwright.web.app import make_app
from strandwright.web.security import Guard
from strandwright.web.serve import settle_memory
from strandwright.workshop.job import Job, job_from_table, read_job

RIDGE = files("strandwright") / "examples" / "ridge-string.toml"


def _times(act: Callable[[], object], runs: int) -> list[float]:
    spent: list[float] = []
    for _ in range(runs):
        start = time.perf_counter()
        act()
        spent.append(time.perf_counter() - start)
    return spent


def _say(name: str, spent: list[float], beside: float | None = None) -> None:
    median, high = statistics.median(spent), float(np.quantile(spent, 0.99))
    ratio = "" if beside is None else f"  x{median / beside:.1f} of the peer"
    sys.stdout.write(f"\n{name}: median {1e3 * median:.2f} ms, p99 {1e3 * high:.2f} ms{ratio}\n")


@pytest.fixture(scope="module")
def job() -> Job:
    """The packaged two-cam string."""
    return read_job(RIDGE.read_text(encoding="utf-8"))


def test_replan_and_strip(job: Job) -> None:
    """A replan with its strip, beside one Newton solve of the same line's strands."""
    target = find_target(job)
    prepared = prepare(job, target.length.value)
    q = at_mean(prepared.parameters)
    settings = choose_settings(prepared, q).settings

    def replan() -> object:
        return strip_svg(strip_picture(plan_line(job, target)))

    replan()
    one = statistics.median(_times(lambda: build(prepared.model, dict(q), settings), 60))
    spent = _times(replan, 60)
    _say("replan, numbers and strip", spent, one)
    assert statistics.median(spent) < 40.0 * one


@pytest.mark.parametrize("carried", [False, True])
def test_a_drag(job: Job, carried: bool) -> None:
    """A mark dragged over 300 places: entries to plan, strip and JSON, beside one Newton solve."""
    near = plan_line(job)
    prepared = prepare(job, near.target.length.value)
    q = at_mean(prepared.parameters)
    settings = choose_settings(prepared, q).settings
    table = job.model_dump(mode="json", exclude_defaults=True)
    nock, *marks = table["line"]["marks"]
    places = iter(np.linspace(28.0, 29.0, 310))

    def answer() -> object:
        moved = [nock | {"at": f"{next(places):.4f} in"}, *marks]
        now = job_from_table(table | {"line": table["line"] | {"marks": moved}})
        plan = quick_plan(now, near) if carried else plan_line(now)
        return strip_svg(strip_picture(plan), width=1100), json.dumps(plan_data(plan))

    _times(answer, 10)
    one = statistics.median(_times(lambda: build(prepared.model, dict(q), settings), 60))
    spent = _times(answer, 300)
    _say(f"drag, {'carried' if carried else 'in full'}", spent, one)
    assert statistics.median(spent) < 40.0 * one


def _places(app: Guard) -> list[tuple[str, dict[str, Any], list[dict[str, Any]]]]:
    """Keep every packaged job; give path of its try, tables and handles."""
    found = []
    for name in examples():
        kept = _asked(app, "POST", "/api/jobs", {"example": name})
        seen = _asked(app, "GET", f"/api/jobs/{kept['id']}")
        if seen["view"] is not None:
            path = f"/api/jobs/{kept['id']}/try"
            found.append((path, seen["job"], seen["view"]["strip"]["handles"]))
    return found


def _asked(app: Guard, method: str, path: str, body: object = None) -> dict[str, Any]:
    """Ask the app as its page does, without a socket between."""
    sent: list[bytes] = []
    raw = json.dumps(body).encode()
    headers = {"host": "127.0.0.1:8471", "content-type": "application/json"}
    scope = {
        "type": "http", "asgi": {"version": "3.0"}, "http_version": "1.1", "method": method,
        "scheme": "http", "path": path, "raw_path": path.encode(), "query_string": b"",
        "root_path": "", "client": ("127.0.0.1", 1), "server": ("127.0.0.1", 8471),
        "headers": [(k.encode(), v.encode()) for k, v in headers.items()],
    }  # fmt: skip

    async def receive() -> dict[str, Any]:
        return {"type": "http.request", "body": raw, "more_body": False}

    async def send(message: MutableMapping[str, Any]) -> None:
        sent.append(message.get("body", b""))

    _LOOP.run_until_complete(app(scope, receive, send))
    return json.loads(b"".join(sent))


#: One loop for all questions, as the server has it.
_LOOP = asyncio.new_event_loop()


def test_a_try_through_the_app(job: Job) -> None:
    """Handles of every packaged job dragged about, as the page asks for it, 600 times."""
    near = prepare(job, plan_line(job).target.length.value)
    q = at_mean(near.parameters)
    settings = choose_settings(near, q).settings
    app = make_app(Desk(MemoryStore(), sheet=sheet_data), "memory")
    places, rng = _places(app), random.Random(5)
    before = gc.get_threshold()
    settle_memory()

    def ask() -> None:
        path, tables, handles = rng.choice(places)
        handle = rng.choice(handles)
        at = handle["at_m"] + rng.uniform(-0.02, 0.02)
        changes = [{"field": handle["field"], "at_m": at}]
        _asked(app, "POST", path, {"seq": 1, "job": tables, "changes": changes})

    try:
        _times(ask, 30)
        one = statistics.median(_times(lambda: build(near.model, dict(q), settings), 60))
        spent = _times(ask, 600)
    finally:
        gc.unfreeze()
        gc.set_threshold(*before)
    _say(f"a try, quickest {1e3 * min(spent):.2f} ms", spent, one)
    assert statistics.median(spent) < 25.0 * one


def test_uncertainty_against_a_batch(job: Job) -> None:
    """The propagated +- is at least fifty times quicker than a batch of 1e5, and agrees."""
    target = find_target(job)
    prepared = prepare(job, target.length.value)
    settings = choose_settings(prepared, at_mean(prepared.parameters)).settings

    def model(q: dict[str, np.ndarray]) -> dict[str, np.ndarray]:
        return {"finished": build(prepared.model, q, settings).finished.length}

    quick = _times(
        lambda: propagate(model, prepared.parameters, interacting=INTERACTING), 20
    )
    start = time.perf_counter()
    batch = monte_carlo(model, prepared.parameters, 100_000, seed=7)
    slow = time.perf_counter() - start
    ours = propagate(model, prepared.parameters, interacting=INTERACTING)
    _say("propagated +-", quick, slow)
    assert slow > 50.0 * statistics.median(quick)
    assert ours.second_order[0] == pytest.approx(batch.standard_deviation[0], rel=0.02)


@pytest.mark.parametrize(
    ("words", "most"),
    [(["--help"], 8.0), (["plan", str(RIDGE)], 80.0)],
)
def test_commands_against_bare_python(words: list[str], most: float) -> None:
    """A whole command, cold, beside a Python that does nothing."""

    def run(arguments: list[str]) -> None:
        subprocess.run([sys.executable, *arguments], check=True, capture_output=True)

    bare = statistics.median(_times(lambda: run(["-c", "pass"]), 9))
    spent = _times(lambda: run(["-m", "strandwright", *words]), 9)
    _say(f"strandwright {words[0]}", spent, bare)
    assert statistics.median(spent) < most * bare


def test_sheet_cold(tmp_path_factory: pytest.TempPathFactory) -> None:
    """A sheet from the command line, cold, beside the plan alone."""
    out = tmp_path_factory.mktemp("sheet") / "sheet.pdf"

    def run(*arguments: str) -> None:
        subprocess.run(
            [sys.executable, "-m", "strandwright", *arguments], check=True, capture_output=True
        )

    plan = statistics.median(_times(lambda: run("plan", str(RIDGE)), 5))
    spent = _times(lambda: run("sheet", str(RIDGE), "-o", str(out)), 5)
    _say("strandwright sheet", spent, plan)
    assert statistics.median(spent) < 6.0 * plan
