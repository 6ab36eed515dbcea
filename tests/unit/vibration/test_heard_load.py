"""From a frequency back to the tension that made it."""

from __future__ import annotations

import numpy as np
import pytest

from strandwright.errors import InputError
from strandwright.vibration.heard_load import heard_load
from strandwright.vibration.modes import modes
from strandwright.vibration.sounding_line import SoundingLine, sounding_line

Floats = np.ndarray
PULLS = np.array([60.0, 450.0, 1334.0, 2200.0])


def served(tension: Floats, **how: object) -> SoundingLine:
    """A served string with a nocking point, under some tensions."""
    return sounding_line(
        [0.15, 0.55, 0.15, 0.45, 0.148], [7.1e-3, 4.3e-3, 7.9e-3, 4.3e-3, 7.1e-3], tension,
        weight=[0.0, 4e-4, 0.0, 6e-4], **how,  # pyright: ignore[reportArgumentType]
    )  # fmt: skip


@pytest.mark.parametrize("mode", [1, 2, 3])
@pytest.mark.parametrize(
    "how",
    [
        {},
        {"bending_stiffness": 0.05, "clamped": (True, True)},
        {"end_spring": [4e4, 9e4]},
        {"bending_stiffness": 0.05, "end_spring": [4e4, np.inf]},
    ],
    ids=["bare", "stiff", "posts that give", "both"],
)
def test_there_and_back(how: dict[str, object], mode: int) -> None:
    """Any mode of any line, from a start far off."""
    line = served(PULLS, **how)
    frequency = modes(line, mode).raise_for_failure().value.frequency[:, mode - 1]
    start = served(np.full(4, 700.0), **how)
    found = heard_load(start, frequency, mode).raise_for_failure("the load").value
    np.testing.assert_allclose(found, PULLS, rtol=1e-8)


def test_a_bare_line_is_found_in_one_step() -> None:
    """It goes with the square root."""
    line = sounding_line([1.4478], 4.2e-3, 300.0)
    found = heard_load(line, 120.0).raise_for_failure()
    assert found.iterations == 1
    assert found.value[0] == pytest.approx(4.2e-3 * (2 * 1.4478 * 120.0) ** 2, rel=1e-12)


def test_what_servings_are_worth() -> None:
    """A centre serving of 15 % at 2.5 times the mass, left out: the load is wrong by a third."""
    line = sounding_line([0.425, 0.15, 0.425], [1.0, 2.5, 1.0], 1.0)
    heard = modes(line, 1).raise_for_failure().value.frequency[:, 0]
    bare = heard_load(sounding_line([1.0], 1.0, 1.0), heard).raise_for_failure().value[0]
    assert bare == pytest.approx(0.68, abs=0.01)


def test_a_beam_that_no_tension_makes_sound_so_low_is_told() -> None:
    """Not ok, rather than a number."""
    rod = sounding_line([0.3], 0.01, 100.0, bending_stiffness=50.0, clamped=(True, True))
    found = heard_load(rod, 20.0)
    assert not found.ok[0]


@pytest.mark.parametrize("frequency", [0.0, -5.0, np.nan])
def test_no_frequency_no_load(frequency: float) -> None:
    """Refused by name."""
    with pytest.raises(InputError, match="over 0 Hz"):
        heard_load(sounding_line([1.0], 4e-3, 900.0), frequency)
