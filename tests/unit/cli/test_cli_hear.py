"""The command ``hear``: recordings in, the load on the line out, or a plain reason."""

from __future__ import annotations

import json
import math
import re
from pathlib import Path

import numpy as np
import pytest

soundfile = pytest.importorskip("soundfile")

from plucked_line import LBF, recorded, thrown  # noqa: E402
from strandwright.units import Dimension, parse  # noqa: E402
from strandwright.workshop.job import job_from_table, read_job  # noqa: E402


@pytest.fixture(scope="module")
def hidden():
    """A string whose load nobody is told."""
    return thrown(41)


@pytest.fixture(scope="module")
def sound(hidden, tmp_path_factory):
    """Its pluck as a file."""
    path = tmp_path_factory.mktemp("sounds") / "pluck.wav"
    heard = recorded([hidden], seed=5, hum=0.01)[0]
    soundfile.write(path, heard.samples, int(heard.rate))
    return path


@pytest.fixture
def ridge(example) -> str:
    """Give the two-cam string's job."""
    return example("ridge-string")


def test_a_hidden_load_is_read_within_its_range_by_command(run, ridge, sound, hidden):
    """The load in words and as data, its +- covering what the generator holds."""
    data = json.loads(run("hear", str(sound), "--job", ridge, "--json").output)
    entered = parse(Dimension.FORCE, data["load_entry"], field="load")
    assert entered.half_range is not None
    assert abs(entered.si - hidden.load) < float(entered.half_range)
    assert float(entered.half_range) < 0.2 * hidden.load
    said = run("hear", str(sound), "--job", ridge)
    assert said.exit_code == 0
    assert f'load = "{data["load_entry"]}", heard = true' in said.output
    assert "mass of the strands" in said.output
    assert [] == [line for line in said.output.splitlines() if len(line) > 92]


def test_weighed_spools_in_the_job_file_narrow_it(run, ridge, sound, hidden, tmp_path):
    """The same sound with what the spools lost: a third of the range, and still covered."""
    text = Path(ridge).read_text(encoding="utf-8")
    lost = f"{10.0 * hidden.mass:.3f} g"
    masses = ", ".join(f'{{ run = {r}, planned = "10 g", lost = "{lost}" }}' for r in (0, 1))
    (tmp_path / "weighed.toml").write_text(f"{text}\n[build]\nmasses = [{masses}]\n", "utf-8")
    data = json.loads(
        run("hear", str(sound), "--job", str(tmp_path / "weighed.toml"), "--json").output
    )
    entered = parse(Dimension.FORCE, data["load_entry"], field="load")
    assert abs(entered.si - hidden.load) < float(entered.half_range or 0)
    assert float(entered.half_range or 0) < 0.06 * hidden.load


def test_the_line_it_prints_goes_into_a_job_file(run, ridge, sound):
    """What stands under *in a reading* is read back as a heard load."""
    said = run("hear", str(sound), "--job", ridge).output
    entry = re.search(r'load = "([^"]+)", heard = true', said)
    assert entry is not None
    table = read_job(Path(ridge).read_text(encoding="utf-8")).model_dump(
        mode="json", exclude_defaults=True
    )
    reading = {"stage": "bare", "length": "57 5/8 in", "load": entry[1], "heard": True}
    table["build"] = {"wound_at": "57 9/16 in", "readings": [reading]}
    assert job_from_table(table).build.readings[0].heard


def test_several_recordings_are_taken_together(run, ridge, sound):
    """Their scatter is shown."""
    said = run("hear", str(sound), str(sound), "--job", ridge).output
    assert "plucks" in said
    assert "2, within 0.0 %" in said


def test_a_bare_line_without_a_job(run, tmp_path):
    """T = mu (2 L f)^2 for a line of known length and mass."""
    t = np.arange(30000) / 20000.0
    x = sum(np.exp(-3.0 * t) * np.sin(2.0 * np.pi * 80.0 * n * t) / n for n in range(1, 7))
    path = tmp_path / "bare.flac"
    soundfile.write(path, 0.2 * x, 20000)
    given = ("hear", str(path), "--length", "1 m", "--mass", "5 g")
    data = json.loads(run(*given, "--json").output)
    assert data["load"] == pytest.approx(0.005 * (2.0 * 80.0) ** 2, rel=2e-3)
    assert run(*given).exit_code == 0


def test_parts_are_compared_by_their_pitches(run, ridge, hidden, tmp_path):
    """A part a tenth tighter carries a tenth more, whatever its mass is."""
    from dataclasses import replace

    both = [hidden, replace(hidden, load=1.1 * hidden.load)]
    names = []
    for name, heard in zip(("left", "right"), recorded(both), strict=True):
        names.append(str(tmp_path / f"{name}.wav"))
        soundfile.write(names[-1], heard.samples, int(heard.rate))
    data = json.loads(run("hear", *names, "--compare", "--job", ridge, "--json").output)
    left, right = (part["share"] for part in data["parts"])
    assert right / left == pytest.approx(1.1, rel=3e-3)
    said = run("hear", *names, "--compare", "--job", ridge).output
    assert "left" in said
    assert "right" in said


def test_what_cannot_be_heard_is_refused_by_field_value_rule_and_remedy(
    run, ridge, sound, tmp_path
):
    """Files that are none, states that are none, silence, half a bare line: exit code 2."""
    quiet = tmp_path / "quiet.wav"
    soundfile.write(quiet, np.zeros(20000), 20000)
    nothing = str(tmp_path / "nothing.wav")
    cases = [
        (("hear", nothing, "--job", ridge), "sound", "must be a file that can be read"),
        (("hear", ridge, "--job", ridge), "sound", "must be a WAV or FLAC file"),
        (("hear", str(quiet), "--job", ridge), "sound", "must hold a pluck of this line"),
        (("hear", str(sound), "--job", ridge, "--state", "spun"), "--state", "must be a state"),
        (("hear", str(sound), "--length", "1 m"), "--job", "must be given"),
        (("hear", str(sound), "--job", ridge, "--load", "0 lbf"), "--load", "must lie between"),
        (("hear", str(sound), "--job", ridge, "--load", "1e5 lbf"), "--load", "must lie between"),
        (("hear", str(sound), "--job", ridge, "--mass", "5 g"), "--job", "must be given alone"),
        (("hear", str(sound), "--length", "9", "--mass", "5 g"), "--length", "unit"),
        (("hear", str(sound), "--length", "9 mm", "--mass", "5 g"), "--length", "0.05 to 20 m"),
        (("hear", str(sound), "--job", ridge, "--compare"), "plucked", "two parts"),
    ]
    for arguments, field, rule in cases:
        result = run(*arguments)
        assert result.exit_code == 2, arguments
        assert field in result.stderr, result.stderr
        assert rule in result.stderr, result.stderr
        assert result.stdout == ""


def test_nothing_of_the_hidden_load_is_in_the_file(hidden, sound):
    """The file holds sound alone: the command cannot have read the load from it."""
    assert math.isclose(soundfile.info(sound).samplerate, 12000)
    assert f"{hidden.load / LBF:.1f}".encode() not in sound.read_bytes()
