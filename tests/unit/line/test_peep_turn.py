"""A peep's turn: one torque all along, closed forms, and another solver's root."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import brentq, root

from sample_line import LBF
from strandwright.fibre.bundle import filled_radii
from strandwright.fibre.strand_law import FloatArray
from strandwright.fibre.twist import StrandSet
from strandwright.line.peep_turn import (
    HeldPieces,
    balance,
    peep_turn,
    piece_shares,
    turned_by_added,
    uneven_load,
)

STIFFNESS, COUNT, RADIUS = 12360.0, 24, 1.3e-3
#: Mean of the squares of the strands' radii [m^2]
ARMS = float(np.mean(filled_radii(COUNT) ** 2)) * RADIUS**2
BRACED, DRAWN = 250.0 * LBF, 90.0 * LBF


def strands(share: float = 1.0, softening: float = 1.0) -> StrandSet:
    """Give 24 strands; by default they share the load and have one law to break."""
    one = np.ones((1, 1))
    return StrandSet(filled_radii(COUNT), STIFFNESS * one, softening * one, 0.025, share * one)


def pieces(
    naturals: list[float], turns: list[float], thread: list[float], share: float = 1.0
) -> HeldPieces:
    """Give pieces whose threads bear nothing at no turns."""
    rows = [np.array([values]) for values in (naturals, turns, thread)]
    none = np.zeros_like(rows[0])
    return HeldPieces(rows[0], rows[1], none + RADIUS, rows[2], none, none, strands(share))


def before(count: int, all_of: int) -> np.ndarray:
    """Mark the first pieces as those between the zero end and the peep."""
    return np.arange(all_of) < count


def test_one_torque_all_along_and_no_turn_lost() -> None:
    """Every piece holds the same torque, and the turns stay as many."""
    held = pieces([0.4, 0.6, 0.43], [9.0, 7.0, 12.0], [1.6e-4, 0.0, 0.8e-4], share=0.4)
    found = balance(held, BRACED)
    torque = held.torque(np.array([BRACED]), found.turns)
    np.testing.assert_allclose(torque, found.torque[:, None].repeat(3, 1), rtol=1e-9)
    assert found.turns.sum() == pytest.approx(28.0, rel=1e-12)


@pytest.mark.parametrize("place", [0.2, 0.5, 0.83])
def test_a_uniform_line_does_not_turn_its_peep(place: float) -> None:
    """Strands alone hold torque in proportion to the load, wherever the peep sits."""
    length, turns = 1.45, 27.0
    parts = [place * length, (1 - place) * length]
    held = pieces(parts, [turns * place, turns * (1 - place)], [0.0, 0.0])
    assert abs(float(peep_turn(held, before(1, 2), BRACED, DRAWN)[0])) < 1e-9


@pytest.mark.parametrize("place", [0.2, 0.5, 0.83])
def test_a_turn_put_into_a_uniform_line_is_shared_by_length(place: float) -> None:
    """Put in at the zero end it turns the peep back by the share of what lies beyond it."""
    parts = [place * 1.45, (1 - place) * 1.45]
    held = pieces(parts, [20.0 * place, 20.0 * (1 - place)], [0.0, 0.0])
    zero, far = turned_by_added(held, before(1, 2), BRACED)
    assert float(zero[0]) == pytest.approx(place - 1.0, rel=1e-9)
    assert float(far[0]) == pytest.approx(place, rel=1e-9)
    more = balance(held, BRACED, 1.0).turns - balance(held, BRACED).turns
    assert float(more[0, 0]) == pytest.approx(place, rel=1e-9)


def test_bare_beside_served_is_the_closed_form() -> None:
    """Few turns: each piece gives by its length over F <r^2> + K, so the shares are known."""
    bare, served, thread, turns = 0.7, 0.75, 2.1e-4, 3.0
    held = pieces([bare, served], [turns / 2, turns / 2], [0.0, thread])

    def share(load: float) -> float:
        core = load * ARMS
        return (bare / core) / (bare / core + served / (core + thread))

    expected = turns * (share(DRAWN) - share(BRACED))
    found = float(peep_turn(held, before(1, 2), BRACED, DRAWN)[0])
    # Angles of a few hundredths, and strains of a few tenths of a per cent, are left out above.
    assert found == pytest.approx(expected, rel=1e-2)
    assert expected > 0.2


def independent_torque(load: float, natural: float, turns: float, thread: float) -> float:
    """Strands fixed in place, linear and never pushing: length by Brent, torque by their sum."""
    radii = filled_radii(COUNT) * RADIUS

    def pulls(length: float) -> tuple[FloatArray, FloatArray]:
        path = np.sqrt(length**2 + (2 * np.pi * turns * radii) ** 2)
        tension = STIFFNESS * np.maximum(path / natural - 1.0, 0.0)
        return tension * length / path, tension * 2 * np.pi * turns * radii / path

    def miss(length: float) -> float:
        return float(pulls(length)[0].sum()) - load

    ends = (0.5 * natural, 1.02 * natural)
    length: float = brentq(miss, *ends, xtol=1e-15)  # pyright: ignore[reportAssignmentType]
    around = pulls(length)[1]
    return float((around * radii).sum()) + 2 * np.pi * thread * turns / natural


def test_an_independent_root_finds_the_same_turn() -> None:
    """Every strand summed and the balance found by another library's solver."""
    naturals, thread = np.array([0.42, 0.3, 0.35, 0.4]), np.array([1.6e-4, 0.0, 0.0, 0.9e-4])
    held = pieces(naturals.tolist(), [7.0] * 4, thread.tolist(), share=0.0)

    def misses(unknown: FloatArray, load: float) -> list[float]:
        turns, torque = unknown[:4], unknown[4]
        each = [
            independent_torque(load, *row) - torque
            for row in zip(naturals, turns, thread, strict=True)
        ]
        return [*(10.0 * v for v in each), turns.sum() - 28.0]

    ends: list[float] = []
    for load in (BRACED, DRAWN):
        solved = root(misses, [7.0] * 4 + [0.1], args=(load,), tol=1e-12)
        assert solved.success
        ends.append(float(solved.x[:2].sum()))
    found = float(peep_turn(held, before(2, 4), BRACED, DRAWN)[0])
    assert found == pytest.approx(ends[1] - ends[0], rel=1e-6)
    assert abs(found) > 0.05


def test_unequal_strands_turn_it_as_a_torque_of_their_own() -> None:
    """Tight strands outside before the peep hold more torque there, the more so at a low load."""
    plain = pieces([0.7, 0.7], [10.0, 10.0], [0.0, 0.0])
    held = replace(plain, uneven=np.array([[5.0, -5.0]]))
    turned = float(peep_turn(held, before(1, 2), BRACED, DRAWN)[0])
    # To first order n/2 u (1/F_drawn - 1/F_braced) leaves the side that is over.
    expected = -10.0 * 5.0 * (1 / DRAWN - 1 / BRACED)
    assert turned == pytest.approx(expected, rel=1e-2)


def test_uneven_load_is_what_drawn_strands_do() -> None:
    """The spread by formula is that of strands drawn by chance, and of a filled circle."""
    rng = np.random.default_rng(7)
    spread, arms = 3e-4, filled_radii(COUNT) ** 2
    excess = STIFFNESS * rng.normal(0.0, spread, (40000, COUNT))
    excess -= excess.mean(axis=1, keepdims=True)
    drawn = COUNT * (excess * arms).sum(axis=1) / arms.sum()
    formula = float(np.ravel(uneven_load(spread, STIFFNESS, strands()))[0])
    assert float(drawn.std()) == pytest.approx(formula, rel=0.02)
    # Strands so many that they fill a circle evenly.
    many = 2000
    even = replace(strands(), radii=np.sqrt((np.arange(many) + 0.5) / many))
    circle = float(np.ravel(uneven_load(spread, STIFFNESS, even))[0])
    assert circle == pytest.approx(many * STIFFNESS * spread / np.sqrt(3 * many), rel=1e-3)


def test_shares_of_segments_add_up_to_what_lies_between() -> None:
    """A segment that a hold or the peep cuts counts by the part that lies inside."""
    edges = np.array([[0.0, 0.4, 0.9, 1.4]])
    share = piece_shares(edges, 0.3, 1.0)
    np.testing.assert_allclose(share, [[0.25, 1.0, 0.2]])
    assert float((share * np.diff(edges)).sum()) == pytest.approx(0.7)


def test_each_case_of_a_batch_is_its_own() -> None:
    """Two cases solved at once come to what each comes to alone."""
    rows = [([0.4, 0.6], [9.0, 5.0], [1.6e-4, 0.0]), ([0.5, 0.5], [2.0, 11.0], [0.0, 3e-4])]
    alone = [pieces(*row, share=0.3) for row in rows]
    both = replace(
        alone[0],
        **{
            name: np.concatenate([getattr(one, name) for one in alone])
            for name in ("naturals", "turns", "radius", "thread", "relaxed", "uneven")
        },
    )
    loads = np.array([BRACED, 0.5 * BRACED])
    found = peep_turn(both, before(1, 2), loads, DRAWN)
    for one, load, turn in zip(alone, loads, found, strict=True):
        assert float(peep_turn(one, before(1, 2), load, DRAWN)[0]) == pytest.approx(
            float(turn), rel=1e-8
        )
