"""Slopes of pitch: against differences, and sums that hold for every line."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import quad

from strandwright.vibration.modes import modes
from strandwright.vibration.sensitivity import sensitivities
from strandwright.vibration.sounding_line import SoundingLine, sounding_line

Floats = np.ndarray
PARTS = ([0.05, 0.35, 0.15, 0.7], [7.1e-3, 4.3e-3, 7.9e-3, 4.3e-3])
HOW: dict[str, dict[str, object]] = {
    "bare": {},
    "weights and springs": {
        "weight": [4e-4, 0.0, 6e-4], "joint_spring": [3e4, 0.0, 20.0], "end_spring": [4e4, 900.0],
    },
    "stiff": {"bending_stiffness": [0.09, 0.03, 0.11, 0.03], "clamped": (True, True)},
    "all": {
        "bending_stiffness": [0.09, 0.03, 0.11, 0.03], "clamped": (False, True),
        "weight": [4e-4, 0.0, 6e-4], "joint_spring": [3e4, 0.0, 20.0], "end_spring": [4e4, 900.0],
    },
}  # fmt: skip
FIELDS = (
    "length", "mass_per_length", "bending_stiffness", "tension", "weight", "joint_spring",
    "end_spring",
)  # fmt: skip
#: Relative step: of the differences' errors, the fourth power of it and rounding are least.
STEP = 2e-3


def line_of(how: dict[str, object]) -> SoundingLine:
    """Two loads of a served string."""
    return sounding_line(*PARTS, [450.0, 1300.0], **how)  # pyright: ignore[reportArgumentType]


def logs(line: SoundingLine, count: int = 4) -> Floats:
    """Logarithms of the lowest frequencies."""
    return np.log(modes(line, count).raise_for_failure("the modes").value.frequency)


def difference(line: SoundingLine, field: str, column: int | None) -> Floats:
    """Slope on logarithms by differences to the sixth order."""

    def at(step: float) -> Floats:
        values = np.array(getattr(line, field))
        if column is None:
            values = values * np.exp(step)
        else:
            values[:, column] *= np.exp(step)
        return logs(replace(line, **{field: values}))

    near, far, third = (at(k * STEP) - at(-k * STEP) for k in (1, 2, 3))
    return (45 * near - 9 * far + third) / (60 * STEP)


@pytest.mark.parametrize("name", HOW)
def test_every_slope_is_that_of_differences(name: str) -> None:
    """To a millionth of the slope, or of a millionth part of a slope of one."""
    line = line_of(HOW[name])
    found = sensitivities(modes(line, 4).raise_for_failure().value)
    for field in FIELDS:
        mine = getattr(found, field)
        if field == "tension":
            np.testing.assert_allclose(mine, difference(line, field, None), rtol=1e-6)
            continue
        for column in range(mine.shape[-1]):
            if not np.all(np.isfinite(getattr(line, field)[:, column])):
                assert np.all(mine[..., column] == 0.0)
                continue
            wanted = difference(line, field, column)
            np.testing.assert_allclose(mine[..., column], wanted, rtol=1e-6, atol=1e-10)


@pytest.mark.parametrize("name", HOW)
def test_slopes_add_up(name: str) -> None:
    """Twice as firm in everything, and twice as heavy; and pitch is a rate: lengths add up."""
    line = line_of(HOW[name])
    found = sensitivities(modes(line, 4).raise_for_failure().value)
    bent = found.bending_stiffness.sum(-1)
    firm = found.tension + bent + found.joint_spring.sum(-1) + found.end_spring.sum(-1)
    np.testing.assert_allclose(firm, 0.5, rtol=1e-9)
    heavy = found.mass_per_length.sum(-1) + found.weight.sum(-1)
    np.testing.assert_allclose(heavy, -0.5, rtol=1e-9)
    # All lengths by a factor: as EI by its third power, load and mass by theirs.
    lengths = -3.0 * bent - found.tension + found.mass_per_length.sum(-1)
    np.testing.assert_allclose(found.length.sum(-1), lengths, rtol=1e-8)


@pytest.mark.parametrize("bending", [0.0, 0.04])
def test_a_line_of_one_section(bending: float) -> None:
    """It has one length and one mass, also where it is solved in two halves."""
    line = sounding_line([1.4], 4.2e-3, 900.0, bending_stiffness=bending)
    found = sensitivities(modes(line, 3).raise_for_failure().value)
    assert found.length.shape == (1, 3, 1)
    assert found.weight.shape == (1, 3, 0)
    np.testing.assert_allclose(found.mass_per_length[0, :, 0], -0.5, rtol=1e-10)
    n = np.arange(1, 4)
    share = bending * (np.pi * n / 1.4) ** 2 / 900.0
    bent = 0.5 * share / (1.0 + share)
    np.testing.assert_allclose(found.bending_stiffness[0, :, 0], bent, rtol=1e-8, atol=1e-15)
    np.testing.assert_allclose(found.length[0, :, 0], -1.0 - 2.0 * bent, rtol=1e-8)


@pytest.mark.parametrize("bending", [0.0, 0.03])
def test_integrals_in_closed_form_are_those_of_quadrature(bending: float) -> None:
    """Of two modes over one section, and of their slopes."""
    line = sounding_line(*PARTS, 450.0, bending_stiffness=bending, weight=[4e-4, 0.0, 6e-4])
    waves = modes(line, 3).raise_for_failure().value.waves()
    for derivative in (0, 1):
        mine = waves.products(derivative)[0]
        np.testing.assert_allclose(
            np.einsum("mms->ms", mine), waves.squares(derivative)[0], rtol=1e-12
        )

        def both(x: float, order: int = derivative) -> float:
            swing = waves.at(np.array([x]), order)[0, :, 0]
            return float(swing[0] * swing[2])

        wanted = quad(both, 0.4, 0.55, epsabs=1e-13, epsrel=1e-12)[0]
        assert mine[0, 2, 2] == pytest.approx(wanted, rel=1e-8, abs=1e-12)


def test_modes_are_at_right_angles_in_their_mass() -> None:
    """Of mass one each, and sharing none, weights counted."""
    line = line_of(HOW["all"])
    waves = modes(line, 5).raise_for_failure().value.waves()
    shared = (line.mass_per_length[:, None, None, :] * waves.products()).sum(-1)
    at = waves.joints()[0][..., 1:]
    shared += np.einsum("bj,bmj,bnj->bmn", line.weight, at, at)
    np.testing.assert_allclose(shared, np.broadcast_to(np.eye(5), shared.shape), atol=2e-8)
