"""Where to pluck and to listen: the textbook's amplitudes, shapes that add up, nodes shunned."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.optimize import minimize_scalar

from strandwright.errors import InputError
from strandwright.vibration.giving import give_at
from strandwright.vibration.modes import Modes, modes
from strandwright.vibration.placing import (
    best_place,
    evenness,
    gentlest_pluck,
    heard_swing,
    pluck_swings,
)
from strandwright.vibration.sounding_line import SoundingLine, sounding_line
from strandwright.vibration.swing import mode_rise, pitch_rise

Floats = np.ndarray
HOW: dict[str, dict[str, object]] = {
    "plain": {},
    "springs": {"joint_spring": [0.0, 4e3, 0.0], "end_spring": [4e4, 900.0]},
    "stiff": {"bending_stiffness": [0.09, 0.03, 0.11, 0.03], "clamped": (True, False)},
}


def found(line: SoundingLine, count: int) -> Modes:
    """The modes, which must be found."""
    return modes(line, count).raise_for_failure("the modes").value


def served(name: str) -> SoundingLine:
    """Two loads of a served string."""
    return sounding_line(
        [0.15, 0.5, 0.15, 0.6], [7.1e-3, 4.3e-3, 7.9e-3, 4.3e-3], [450.0, 1300.0],
        weight=[0.0, 4e-4, 0.0], **HOW[name],  # pyright: ignore[reportArgumentType]
    )  # fmt: skip


@pytest.mark.parametrize("part", [0.5, 0.31, 0.1, 0.83])
def test_a_plucked_bare_line_has_the_textbooks_amplitudes(part: float) -> None:
    """2h sin(n pi p)/(n^2 pi^2 p(1 - p)); and by the integral of the triangle itself."""
    height, n = 2e-3, np.arange(1, 9)
    line = sounding_line([0.4, 0.6], 4e-3, 700.0)
    swings = pluck_swings(found(line, 8), part, height)[0]
    wanted = 2 * height * np.sin(n * np.pi * part) / (n**2 * np.pi**2 * part * (1 - part))
    np.testing.assert_allclose(swings, wanted, rtol=1e-9, atol=1e-12)

    def triangle(x: float) -> float:
        return height * min(x / part, (1 - x) / (1 - part))

    for k in (1, 4):
        area = quad(lambda x, k=k: triangle(x) * np.sin(k * np.pi * x), 0, 1, points=[part])[0]
        assert swings[k - 1] == pytest.approx(2 * area, rel=1e-7, abs=1e-12)


@pytest.mark.parametrize("name", HOW)
def test_the_modes_add_up_to_the_line_as_it_is_held(name: str) -> None:
    """At the finger they come to its height; the rest of the sum falls as one over the modes."""
    line, place, height = served(name), 0.42, 3e-3
    many = found(line, 120)
    at = np.array([place, 0.05, 1.2])
    shapes = many.waves().at(at) / many.waves().largest()[..., None]
    sign = np.sign(many.waves().at(np.array([1e-3]))[..., 0])[..., None]
    total = (pluck_swings(many, place, height)[..., None] * shapes * sign).sum(axis=1)
    np.testing.assert_allclose(total[:, 0], height, rtol=0.01)
    # Towards a fixed end it is straight, but for bending.
    if name == "plain":
        np.testing.assert_allclose(total[:, 1], height * 0.05 / place, rtol=0.02)
        np.testing.assert_allclose(total[:, 2], height * 0.2 / (1.4 - place), rtol=0.02)


@pytest.mark.parametrize("name", HOW)
def test_how_far_a_force_holds_it_aside(name: str) -> None:
    """What is left of the sum over the modes falls with their number, to nothing."""
    line, place = served(name), 0.42
    many = found(line, 200)
    parts = many.waves().at(np.array([place]))[..., 0] ** 2 / many.waves().omega ** 2
    sums = np.cumsum(parts, axis=1)
    # Means over runs of the sum, which goes as give less a constant over the modes.
    half, whole = sums[:, 80:120].mean(1), sums[:, 160:200].mean(1)
    one_over = [np.mean(1.0 / np.arange(a + 1, a + 41)) for a in (80, 160)]
    limit = (whole * one_over[0] - half * one_over[1]) / (one_over[0] - one_over[1])
    np.testing.assert_allclose(give_at(line, place), limit, rtol=1e-3)


def test_give_of_lines_known_by_heart() -> None:
    """Triangle of a string; a clamped beam hardly pulled; a spring between two lengths."""
    bare = sounding_line([0.5, 0.5], 4e-3, [100.0, 900.0])
    np.testing.assert_allclose(give_at(bare, 0.3), 0.3 * 0.7 / np.array([100.0, 900.0]), rtol=1e-12)
    beam = sounding_line([0.2, 0.3], 4e-3, 1e-6, bending_stiffness=2.0, clamped=(True, True))
    np.testing.assert_allclose(give_at(beam, 0.25), 0.5**3 / (192 * 2.0), rtol=1e-6)
    sprung = sounding_line([0.5, 0.5], 4e-3, 100.0, joint_spring=1e3, end_spring=[50.0, np.inf])
    start = 1 / (1 / 50.0 + 0.5 / 100.0) + 1e3
    inner = 1 / (1 / start + 0.1 / 100.0) + 100.0 / 0.4
    np.testing.assert_allclose(give_at(sprung, 0.6), 1 / inner, rtol=1e-12)


@pytest.mark.parametrize("count", [1, 2, 3, 4, 5, 6])
def test_the_best_place_of_a_bare_line(count: int) -> None:
    """Where the product of the sines is greatest; its mirror image serves as well."""
    line = found(sounding_line([1.4], 4e-3, 700.0), count)
    n = np.arange(1, count + 1)

    def left(x: float) -> float:
        return -float(np.sum(np.log(np.sin(n * np.pi * x / 1.4) ** 2 + 1e-300)))

    net = np.linspace(0.01, 0.7, 2001)
    rough = net[np.argmin([left(x) for x in net])]
    wanted: Any = minimize_scalar(left, bounds=(rough - 4e-4, rough + 4e-4), method="bounded")
    best = best_place(line, 0.0, 0.7001)
    assert best.place[0] == pytest.approx(wanted.x, abs=2e-4)
    mirrored = best_place(line, 0.6999, 1.4)
    assert mirrored.place[0] == pytest.approx(1.4 - wanted.x, abs=2e-4)
    assert mirrored.evenness[0] == pytest.approx(best.evenness[0], rel=1e-5)
    assert best.evenness[0] == pytest.approx(2 * np.exp(-wanted.fun / count), rel=1e-5)


def test_no_partial_is_lost_at_the_best_place() -> None:
    """Within the bare stretch of a served string all five are within 14 dB of the strongest."""
    line = served("plain")
    best = best_place(found(line, 5), 0.16, 0.64)
    assert np.all((best.place >= 0.16) & (best.place <= 0.64))
    assert best.level.max(axis=1) == pytest.approx([0.0, 0.0])
    assert np.all(best.level > -14.0)
    middle = evenness(found(line, 5), [0.7])[0, 0]
    assert best.evenness[0] > 3.0 * middle


def test_a_microphone_far_off_hears_what_is_beside_it_too() -> None:
    """A sine is heard less by kd K1(kd), the near field of a line that swings as one."""
    from scipy.special import k1

    line = found(sounding_line([2.0], 4e-3, 700.0), 5)
    kd = np.arange(1, 6) * np.pi / 2.0 * 0.04
    close = heard_swing(line, [1.1])[0, :, 0]
    off = heard_swing(line, [1.1], 0.04)[0, :, 0]
    np.testing.assert_allclose(off / close, kd * k1(kd), rtol=3e-3)


@pytest.mark.parametrize("place", [0.3, 0.7])
def test_how_gently_to_pluck(place: float) -> None:
    """So far that the first partial is as much higher as is borne, all partials swinging."""
    many, run = found(served("plain"), 8), 2.0e5
    height = gentlest_pluck(many, place, 0.002, run)
    swings = pluck_swings(many, place, height)
    rise = pitch_rise(many, swings, run)[:, 0]
    np.testing.assert_allclose(rise, 0.002, rtol=1e-9)
    # A triangle is longer than its first mode alone.
    assert np.all(mode_rise(many, swings, run)[:, 0] < rise)
    assert np.all((height > 5e-4) & (height < 8e-3))


@pytest.mark.parametrize(("lowest", "highest"), [(0.5, 0.5), (-0.1, 0.5), (0.5, 2.0)])
def test_a_stretch_that_is_none_is_refused(lowest: float, highest: float) -> None:
    """By its name."""
    with pytest.raises(InputError) as caught:
        best_place(found(served("plain"), 3), lowest, highest)
    assert caught.value.field == "placing.stretch"
