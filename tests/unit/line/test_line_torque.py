"""One torque all along a line that is served before it is twisted, found in a few steps."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from sample_line import LBF, model, unknowns
from strandwright.line import model as module
from strandwright.line.route import Order
from strandwright.line.serving_geometry import torsion_stiffness
from strandwright.line.states import ClosedCase


@pytest.mark.parametrize("turns", [2.0, 29.0, 55.0])
@pytest.mark.parametrize("thread_stiffness", [0.2, 1.0, 5.0])
def test_strands_and_threads_hold_one_torque(
    turns: float, thread_stiffness: float, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Strands alone where it is bare, with the thread's share where it is served: alike."""
    solved: list[object] = []
    solve = module.span_length

    def counted(*args: Any) -> Any:
        solved.append(args)
        return solve(*args)

    monkeypatch.setattr(module, "span_length", counted)
    made, q = model(Order.SERVE_THEN_TWIST), unknowns(thread_stiffness=thread_stiffness)
    stage = made.route.stage("proof")
    load = np.array([max(100 * LBF, stage.highest_twisted)]) * q["gauge"]
    case = ClosedCase(stage, load, made.layout.lengths[None, :], np.array([turns]))
    ((spans, rates),) = made.stretched_kinds(q, [case])
    thread = np.zeros_like(rates)
    firsts = [kind.serving for kind in made.layout.kind if kind.serving >= 0]
    for kind, first in enumerate(firsts, start=1):
        stiffness = q["thread_stiffness"] * made.line.servings[first].thread.stiffness
        thread[:, kind] = q["grip"] * torsion_stiffness(made.servings(q)[first], stiffness)
    torque = spans.torque + 2.0 * np.pi * rates * thread
    assert np.all(thread[:, 1:] > 0.0)
    np.testing.assert_allclose(torque, torque.mean(), rtol=1e-6)
    # Plain steps take up to twelve; the last solution is the stretch itself.
    assert len(solved) - 1 <= 9
