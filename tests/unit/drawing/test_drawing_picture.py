"""Pictures refuse what cannot be drawn, naming the field."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

import pytest
from drawn_line import CHARCOAL, INCH, sample_strip, serving

from strandwright.drawing.picture import (
    ContactPicture,
    EyePicture,
    MarkPicture,
    SpanPicture,
    StrandPicture,
)
from strandwright.errors import InputError

CASES: list[tuple[str, Callable[[], object]]] = [
    ("strand.colour", lambda: StrandPicture(0.0, 0.0, "green")),
    ("strand.colour", lambda: StrandPicture(0.0, 0.0, "#12345")),
    ("strand.x", lambda: StrandPicture(math.nan, 0.0, CHARCOAL)),
    ("serving.thread_colour", lambda: serving("end", "#GGGGGG")),
    ("serving.hand", lambda: serving("end", CHARCOAL, hand="X")),
    ("span.stop", lambda: SpanPicture(0.3, 0.2, 0.003)),
    ("span.diameter", lambda: SpanPicture(0.1, 0.2, 0.0)),
    ("span.turns_at_stop", lambda: SpanPicture(0.1, 0.2, 0.003, 4.0, 2.0)),
    ("eye.throat", lambda: EyePicture(-0.1, 0.006, 0.002, CHARCOAL)),
    ("contact.stop", lambda: ContactPicture(0.2, 0.1, "cam")),
    ("mark.position", lambda: MarkPicture(math.inf, "nock")),
    ("length", lambda: replace(sample_strip(), length=0.0)),
    ("units", lambda: replace(sample_strip(), units="cm")),
    ("fraction", lambda: replace(sample_strip(), fraction=0)),
    ("strands", lambda: replace(sample_strip(), strands=())),
    ("hand", lambda: replace(sample_strip(), hand="L")),
    ("mark.position", lambda: replace(sample_strip(), marks=(MarkPicture(2.0, "peep"),))),
    ("span.start", lambda: replace(sample_strip(), spans=sample_strip().spans[::-1])),
]


@pytest.mark.parametrize(("field", "make"), CASES)
def test_what_cannot_be_drawn_is_refused(field: str, make: Callable[[], object]) -> None:
    """The error names the field that was wrong."""
    with pytest.raises(InputError) as caught:
        make()
    assert caught.value.field == field


def test_core_under_the_thread_keeps_the_threads_area() -> None:
    """A flattened wrap has the section of the round thread: pi/4 d^2 = pitch times height."""
    span = SpanPicture(0.1, 0.2, 0.118 * INCH, served=serving("end", CHARCOAL))
    height = (span.diameter - span.core_diameter) / 2.0
    assert height * 0.022 * INCH == pytest.approx(math.pi / 4.0 * (0.018 * INCH) ** 2)
    assert SpanPicture(0.1, 0.2, 0.003).core_diameter == 0.003
