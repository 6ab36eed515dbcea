"""Bodies: what requests hold; a key that is not known is refused."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from fastapi import Query
from pydantic import BaseModel, ConfigDict, Field

Tables = dict[str, Any]
Id = Annotated[str, Field(pattern=r"^[A-Za-z0-9][A-Za-z0-9._-]{0,39}$")]
BuildId = Annotated[str, Field(pattern=r"^[0-9a-f]{32}$")]
#: What a list is searched for, and how many rows of it are wanted.
WordsQuery = Annotated[str, Query(max_length=200)]
LimitQuery = Annotated[int, Query(ge=1, le=500)]
Count = Annotated[int, Field(ge=0, le=2_000_000_000)]
Theme = Literal["light", "dark", "sun"]
Width = Annotated[float, Field(ge=300, le=4000, allow_inf_nan=False)]


class Body(BaseModel):
    """A request's body."""

    model_config = ConfigDict(extra="forbid", strict=True)


class ChangeBody(Body):
    """One change of a job: a value as typed, or a place it was dragged to."""

    field: str = Field(min_length=1, max_length=120)
    value: Any = None
    at_m: float | None = Field(default=None, ge=-10, le=100, allow_inf_nan=False)


class Drawn(Body):
    """How the answer's strip is to be drawn."""

    width: float = Field(default=1100.0, ge=300, le=4000, allow_inf_nan=False)
    theme: Theme = "light"


class TryBody(Drawn):
    """Changes to be looked at; nothing is kept."""

    seq: Count = 0
    job: Tables | None = None
    changes: list[ChangeBody] = Field(max_length=200)


class ChangesBody(Drawn):
    """Changes to be kept as a further revision."""

    seq: Count = 0
    revision: Count
    changes: list[ChangeBody] = Field(max_length=200)


class WhatIfBody(Body):
    """Lines of a bow to be looked at longer, or shorter, as typed; nothing is kept."""

    seq: Count = 0
    longer: dict[str, Annotated[str, Field(max_length=60)]] = Field(max_length=8)
    plot: float = Field(default=520.0, ge=300, le=4000, allow_inf_nan=False)
    theme: Theme = "light"


class RevertBody(Drawn):
    """An older revision's content to be the newest."""

    revision: Count
    to: Count


class WholeJobBody(Drawn):
    """A whole job to be kept as a further revision."""

    revision: Count
    job: Tables


class NewJobBody(Body):
    """A new job: its tables, the text of its file, or the name of an example."""

    job: Tables | None = None
    toml: str | None = Field(default=None, max_length=500_000)
    example: str | None = Field(default=None, max_length=60)


class AgainBody(Body):
    """Id and name of a matched spare."""

    id: str = Field(max_length=60)
    name: str = Field(max_length=200)


class AwayBody(Body):
    """Whether a job is out of use."""

    revision: Count
    put_away: bool = True


class BenchBody(Body):
    """A bench to be kept."""

    revision: Count
    bench: Tables


class BowBody(Body):
    """A bow to be kept."""

    revision: Count
    bow: Tables


class StartBody(Body):
    """A build to begin; the identities are made by who begins it."""

    build: BuildId
    event: BuildId
    at: str = Field(max_length=40)
    by: str = Field(default="", max_length=60)


class EventsBody(Body):
    """What happened at the jig, in its order."""

    events: list[Tables] = Field(min_length=1, max_length=500)


Positive = Annotated[float, Field(gt=0, le=1e6, allow_inf_nan=False)]
Relative = Annotated[float, Field(ge=0, le=10, allow_inf_nan=False)]


class PluckBody(Body):
    """One pluck, as it was answered."""

    load: Positive
    own: Relative
    common: Relative


class PlucksBody(Body):
    """Plucks of one line at one load."""

    step: str = Field(min_length=1, max_length=60)
    plucks: list[PluckBody] = Field(min_length=1, max_length=20)


class AsideBody(Body):
    """A finished build left out of what the shop knows, and why; or taken in again."""

    left_out: bool
    because: str = Field(default="", max_length=400)
