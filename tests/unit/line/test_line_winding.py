"""Winding on posts that give."""

import numpy as np
import pytest

from strandwright.line.winding import Posts, wind

POSTS = Posts(0.0127, 0.019, np.array(0.0004))


def test_length_and_setting_are_inverse() -> None:
    """Outside to outside gives a loop length that gives it back, on unequal posts too."""
    assert float(POSTS.outside(POSTS.loop_length(1.5))) == pytest.approx(1.5, rel=1e-14)


def test_two_passes_by_hand() -> None:
    """Each is drawn on at the drag until the posts have come to rest under it."""
    strain, stiffness, give = 0.002, 12000.0, 60000.0
    skein = wind(1.5, POSTS, 2, strain, stiffness, give)
    loop = float(POSTS.loop_length(1.5))
    drag, per_pass = stiffness * strain, 2 * stiffness / loop
    first = drag / give
    second = drag / (give + per_pass)
    assert float(skein.approach) == pytest.approx(first + second)
    assert float(skein.natural_loop) == pytest.approx((loop - 2 * first - second) / (1 + strain))
    assert float(skein.spread) == pytest.approx(2 * second / loop)
    assert float(skein.load) == pytest.approx(give * (first + second))
    # What both passes still pull is what the posts feel.
    left = 2 * drag - per_pass * second
    assert left == pytest.approx(float(skein.load))


def test_soft_posts_leave_the_first_passes_slack() -> None:
    """Some cases of a batch slack, others not: each is what it is alone."""
    gives = np.array([2e4, 6e4, 4e5])
    together = wind(1.46, POSTS, 24, 0.0018, 12360.0, gives)
    assert int(together.slack_passes[0]) > int(together.slack_passes[1]) > 0
    assert int(together.slack_passes[2]) == 0
    for i, give in enumerate(gives):
        alone = wind(1.46, POSTS, 24, 0.0018, 12360.0, give)
        np.testing.assert_allclose(together.natural_loop[i], alone.natural_loop, rtol=1e-14)
        np.testing.assert_allclose(together.load[i], alone.load, rtol=1e-12)


def test_a_thicker_stack_winds_longer() -> None:
    """Each layer more lengthens a round by pi times its rise, over both posts."""
    thin, thick = (
        wind(1.5, Posts(0.0127, 0.0127, np.array(offset)), 24, 0.0018, 12360.0, 1e12)
        for offset in (0.0002, 0.0004)
    )
    more = 2 * np.pi * 0.0002 / 1.0018
    assert float(thick.natural_loop - thin.natural_loop) == pytest.approx(more, rel=1e-6)
