"""The command ``tolerance``: many builds of one job."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from strandwright.planning.tolerance.runners.threads import Threads

#: Of its bow too little is known to ask it, so that no bows are looked for.
BOWLESS = "ridge-upper-cable"


@pytest.fixture
def study(run, example):
    """Run a study of few builds, and give what it says as data."""

    def studied(*arguments: str, builds: str = "300", name: str = BOWLESS):
        result = run("tolerance", example(name), "--builds", builds, "--json", *arguments)
        assert 0 == result.exit_code, result.stderr
        assert "" == result.stderr
        return json.loads(result.output)

    return studied


def test_shares_are_shares(study):
    """Every share lies between none and all, and readings bring more builds within."""
    data = study(builds="2000")
    assert 2000 == data["builds"] and 0 == data["failed"]
    assert 0.0 < data["blind"]["within_share"] < data["guided"]["within_share"] <= 1.0
    proof = data["proof"].values()
    assert 1.0 == pytest.approx(sum(p["within_share"] + p["out_share"] for p in proof))
    spread = data["guided"]["quantiles_m"]
    assert sorted(spread.values()) == list(spread.values())
    assert data["guided"]["standard_deviation_m"] == pytest.approx(
        data["guided"]["plan_standard_deviation_m"], rel=0.15
    )


def test_the_text_says_what_the_data_say(run, example, study):
    """The shares of the JSON stand in the text, each section under its heading."""
    data = study()
    text = run("tolerance", example(BOWLESS), "--builds", "300").output
    for heading in ("Finished length", "Turns", "Proof reading", "On the bow"):
        assert f"\n{heading}" in text
    assert f"{data['blind']['within_share_text']}" in text
    assert f"{data['guided']['within_share_text']}" in text
    assert "300 drawn, seed 1" in text
    assert "The bow is left out: bow.draw_length: " in text
    assert max(len(line) for line in text.splitlines()) <= 100


def test_a_bow_that_can_be_asked_is_asked(run, example):
    """Its figures stand with their tolerances, one line each and all together."""
    text = run("tolerance", example("tarn-string"), "--builds", "200").output
    lines = [line.strip() for line in text.splitlines()]
    assert any(line.startswith("brace height  0.125 in") for line in lines)
    assert any(line.startswith("draw weight   1.00 lbf") for line in lines)
    assert any(line.startswith("all of them") for line in lines)


def test_the_seed_is_kept_to(study):
    """One seed gives the same numbers each time, another gives others."""
    assert study("--seed", "5") == study("--seed", "5")
    assert study("--seed", "5")["guided"] != study("--seed", "6")["guided"]


def test_readings_of_the_job_are_left_aside(run, example, study, tmp_path):
    """A job whose build has begun is studied as before it began."""
    text = Path(example(BOWLESS)).read_text(encoding="utf-8")
    text += '\n[[build.readings]]\nstage = "bare"\nlength = "36 in"\n'
    (tmp_path / "begun.toml").write_text(text, encoding="utf-8")
    begun = json.loads(run("tolerance", "begun.toml", "--builds", "300", "--json").output)
    assert study()["guided"] == begun["guided"]


def stopped_at(monkeypatch, batches: int) -> None:
    """Let somebody press Ctrl-C when so many batches are done."""
    whole = Threads.run

    def run(self, study, left):
        for done, batch in enumerate(whole(self, study, left)):
            if done == batches:
                raise KeyboardInterrupt
            yield batch

    monkeypatch.setattr(Threads, "run", run)


def test_a_study_that_is_stopped_goes_on(run, example, tmp_path):
    """Stopped, it says where it stands; the same command goes on, and ends at the same."""
    typed = ("tolerance", example(BOWLESS), "--builds", "9000", "--json")
    at_once = run(*typed).output
    with pytest.MonkeyPatch.context() as patch:
        stopped_at(patch, 1)
        stopped = run(*typed, "--state", "study.json")
    assert 130 == stopped.exit_code
    assert "" == stopped.stdout
    assert "stopped after 1 of 3 batches; study.json keeps them" in stopped.stderr
    assert 1 == len(json.loads((tmp_path / "study.json").read_text())["done"])
    assert at_once == run(*typed, "--state", "study.json").output
    finished = (tmp_path / "study.json").read_bytes()
    assert at_once == run(*typed, "--state", "study.json").output
    assert finished == (tmp_path / "study.json").read_bytes()
    assert ["study.json"] == [p.name for p in tmp_path.iterdir()]


def test_without_a_state_it_says_that_nothing_is_kept(run, example, monkeypatch, tmp_path):
    """Stopped without a file, it says how it could have been kept."""
    stopped_at(monkeypatch, 0)
    stopped = run("tolerance", example(BOWLESS), "--builds", "100")
    assert 130 == stopped.exit_code
    assert "stopped after 0 of 1 batches; nothing is kept. With --state FILE" in stopped.stderr
    assert [] == list(tmp_path.iterdir())


@pytest.mark.skipif(os.name != "posix", reason="there is no Ctrl-C to send")
def test_a_real_ctrl_c_ends_it_cleanly(example, tmp_path):
    """The signal a terminal sends leaves a state that is whole, and no traceback."""
    source = Path(__file__).parents[3] / "src"
    place = tmp_path / "study.json"
    typed = ["tolerance", example(BOWLESS), "--builds", "5000000", "--state", str(place)]
    with subprocess.Popen(
        [sys.executable, "-m", "strandwright", *typed],
        env={**os.environ, "PYTHONPATH": str(source)},
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.SIG_DFL),
    ) as process:
        until = time.monotonic() + 120.0
        while not place.exists() and time.monotonic() < until:
            assert process.poll() is None, process.communicate()
            time.sleep(0.05)
        process.send_signal(signal.SIGINT)
        said, complained = process.communicate(timeout=120.0)
    assert 130 == process.returncode, complained
    assert "" == said
    assert complained.startswith("stopped after ")
    assert 1 == len(complained.splitlines())
    done = json.loads(place.read_text())["done"]
    assert f"stopped after {len(done)} of 1221 batches" in complained


def test_a_pipe_gets_no_bar(run, example):
    """What is not a terminal is told the result alone."""
    assert "" == run("tolerance", example(BOWLESS), "--builds", "100").stderr


def test_a_terminal_gets_a_bar(run, example, monkeypatch):
    """On a terminal it shows on the error stream how far it is, and the result is the same."""
    plain = run("tolerance", example(BOWLESS), "--builds", "9000").stdout
    monkeypatch.setattr("strandwright.cli.tolerance._is_terminal", lambda: True)
    monkeypatch.setattr("click._termui_impl.isatty", lambda _: True)
    shown = run("tolerance", example(BOWLESS), "--builds", "9000")
    assert "builds drawn" in shown.stderr and "100%" in shown.stderr
    assert plain == shown.stdout


@pytest.mark.parametrize(
    ("option", "value", "rule"),
    [
        ("--builds", "0", "must be 1 to 100000000"),
        ("--builds", "-5", "must be 1 to 100000000"),
        ("--builds", "100000001", "must be 1 to 100000000"),
        ("--seed", "-1", "must be 0 or a whole number above it"),
        ("--seed", "9223372036854775808", "must be 0 or a whole number above it"),
        ("--cluster", "", "must be the address of a Dask scheduler that answers"),
        ("--cluster", "nowhere://at:all", "must be the address of a Dask scheduler that answers"),
        ("--state", "", "must be a file of its own"),
        ("--state", "-", "must be a file of its own"),
        ("--state", "no/such/folder/study.json", "is not there"),
        ("--state", ".", "must be a file, and is a folder"),
    ],
)
def test_what_cannot_be_used_is_refused(run, example, option, value, rule):
    """Field, value, rule and remedy, on one line, and nothing is written."""
    result = run("tolerance", example(BOWLESS), "--builds", "50", option, value)
    assert 2 == result.exit_code
    assert 1 == len(result.stderr.splitlines())
    assert result.stderr.startswith(f"{option}: '{value}': ")
    assert rule in result.stderr
    assert "; " in result.stderr
    assert "" == result.stdout


def test_the_state_of_another_job_is_refused(run, example, tmp_path):
    """Neither another job, nor another seed or count, goes on from a state."""
    typed = ("--state", "study.json", "--builds", "50")
    assert 0 == run("tolerance", example(BOWLESS), *typed).exit_code
    kept = (tmp_path / "study.json").read_bytes()
    for other in (
        (example("mere-string"), *typed),
        (example(BOWLESS), *typed, "--seed", "2"),
        (example(BOWLESS), "--state", "study.json", "--builds", "51"),
    ):
        result = run("tolerance", *other)
        assert 2 == result.exit_code
        assert result.stderr.startswith("--state: 'study.json': must be of this job as it stands")
    assert kept == (tmp_path / "study.json").read_bytes()


def test_a_file_that_is_no_state_is_left_alone(run, example, tmp_path):
    """Some other file named by mistake is refused and stays as it was."""
    (tmp_path / "notes.txt").write_text("buy thread", encoding="utf-8")
    result = run("tolerance", example(BOWLESS), "--builds", "50", "--state", "notes.txt")
    assert 2 == result.exit_code
    assert "must be what an earlier run of a tolerance study kept" in result.stderr
    assert "buy thread" == (tmp_path / "notes.txt").read_text()


def test_the_job_file_is_no_state(run, example, tmp_path):
    """The job itself is never written over."""
    text = Path(example(BOWLESS)).read_text(encoding="utf-8")
    (tmp_path / "job.toml").write_text(text, encoding="utf-8")
    result = run("tolerance", "job.toml", "--builds", "50", "--state", "job.toml")
    assert 2 == result.exit_code
    assert "name another than the job file" in result.stderr
    assert text == (tmp_path / "job.toml").read_text(encoding="utf-8")


def test_dask_is_loaded_only_when_asked_for(run, example):
    """A study on this computer imports nothing of a cluster."""
    source = Path(__file__).parents[3] / "src"
    program = (
        "import sys\nfrom strandwright.cli.main import command\n"
        f"command(['tolerance', {example(BOWLESS)!r}, '--builds', '20'], standalone_mode=False)\n"
        "assert not {'dask', 'distributed'} & set(sys.modules)\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", program],
        env={**os.environ, "PYTHONPATH": str(source)},
        capture_output=True,
        text=True,
        check=False,
    )
    assert 0 == done.returncode, done.stderr
