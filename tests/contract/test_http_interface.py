"""The HTTP interface against its own published description: no answer breaks it, none is a 5xx."""

from __future__ import annotations

import json

import pytest
import schemathesis
from hypothesis import HealthCheck, settings
from schemathesis.specs.openapi.checks import (
    content_type_conformance,
    response_schema_conformance,
    status_code_conformance,
)

from strandwright.planning.desk.builds import Desk
from strandwright.planning.entries.editing import tables_of
from strandwright.planning.examples import example
from strandwright.sheets import sheet_data
from strandwright.store.memory import MemoryStore
from strandwright.web.app import make_api

DESK = Desk(MemoryStore(), sheet=sheet_data)
DESK.add_job(tables_of(example("RIDGE-1")))
DESK.start("RIDGE-1", "0" * 31 + "1", "0" * 31 + "2", at="2026-03-02T09:00:00Z")
API = make_api(DESK, "memory")
SCHEMA = schemathesis.openapi.from_asgi("/api/openapi.json", API).exclude(path="/api/live")


@schemathesis.serializer("audio/wav", "audio/flac")
def as_it_is(context, value):
    """Send as the bytes of a sound whatever bytes were made up."""
    del context
    return value if isinstance(value, bytes) else str(value).encode()


@SCHEMA.parametrize()  # pyright: ignore[reportUntypedFunctionDecorator]
@settings(
    max_examples=25,
    deadline=None,
    derandomize=True,
    suppress_health_check=list(HealthCheck),  # pyright: ignore[reportArgumentType]
)
def test_every_operation_keeps_to_the_description(case):
    """Whatever is sent, the answer is one that is described, and never a fault of the app."""
    answer = case.call()
    assert answer.status_code < 500, answer.text
    case.validate_response(
        answer,
        checks=[status_code_conformance, content_type_conformance, response_schema_conformance],
    )


def test_the_published_description_is_that_of_the_app():
    """The file in the docs is what the app answers with; the tool beside it writes it anew."""
    from pathlib import Path

    path = Path(__file__).parents[2] / "docs" / "reference" / "openapi.json"
    assert json.loads(path.read_text(encoding="utf-8")) == API.openapi()


@pytest.mark.parametrize("path", sorted(API.openapi()["paths"]))
def test_every_operation_is_described_in_words(path):
    """Each has a sentence of its own."""
    for operation in API.openapi()["paths"][path].values():
        assert operation["description"].endswith(".")
