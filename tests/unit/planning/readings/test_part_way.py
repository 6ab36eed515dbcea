"""Where the reading part way is taken, from no turns to many."""

from __future__ import annotations

from dataclasses import replace

import pytest

from sample_job import RIDGE, chosen_of, job_of, prepared_of
from strandwright.planning.readings.part_way import MOST_OF, with_part_way


def told(turns: float, *, sure: float = 1.0) -> float:
    """Give the turns of the stop of a line of so many, its length known to 3 mm times so much."""
    job = job_of(RIDGE)
    chosen = chosen_of(job)
    aim = replace(chosen.aim, u=sure * 0.003)
    settings = replace(chosen.settings, turns=turns)
    prepared = with_part_way(prepared_of(job), replace(chosen, settings=settings, aim=aim))
    return prepared.model.route.stage("half").turns_share * turns


@pytest.mark.parametrize("turns", [0.5, 1.0, 1.5, 2.0, 3.0, 8.5, 28.0, 60.0])
def test_the_stop_is_a_half_turn_or_more_and_never_past_the_end(turns):
    """A stop at no turns tells nothing of the twist; one past the end undoes what was put in."""
    stop = told(turns)
    assert 0.5 <= stop <= max(MOST_OF * turns, 0.5)
    assert stop >= 0.5 * turns - 0.25
    assert stop == pytest.approx(round(2.0 * stop) / 2.0)


def test_a_line_without_turns_has_its_stop_left():
    """Nothing is divided by no turns."""
    assert 0.0 == told(0.0)


def test_a_length_known_better_is_read_further_on():
    """From half, where little is sure, to nine tenths, where all is."""
    stops = [told(28.0, sure=sure) for sure in (10.0, 1.0, 0.1)]
    assert stops == sorted(stops)
    assert (14.0, 25.0) == (stops[0], stops[-1])
