"""What a shop has learned by its finished builds, as a job holds it when it is planned."""

from __future__ import annotations

from pydantic import Field, model_validator

from strandwright.errors import SpecError
from strandwright.workshop.fields import Noun


class BuildsOf(Noun):
    """How many finished builds stand behind a bench, a fibre, a lot, a builder."""

    level: str = Field(max_length=20)
    name: str = Field(max_length=120)
    builds: int = Field(ge=0, strict=True)


class ShopKnowledge(Noun):
    """What finished builds say of the unknowns before this build's first reading.

    Means and covariances are in standard uncertainties of what the tables say, so that one
    number serves fibres and benches of every kind.
    """

    builds: int = Field(ge=0, strict=True, description="finished builds of the whole shop")
    of: tuple[BuildsOf, ...] = ()
    names: tuple[str, ...]
    mean: tuple[float, ...]
    covariance: tuple[tuple[float, ...], ...] = Field(
        description="lower triangle, row by row, the diagonal with it"
    )

    @model_validator(mode="after")
    def _is_whole(self) -> ShopKnowledge:
        count = len(self.names)
        shape = tuple(len(row) for row in self.covariance)
        if len(self.mean) != count or shape != tuple(range(1, count + 1)):
            rule = "must have a mean and a row of the lower triangle for each of its names"
            raise SpecError("shop", f"{count} names", rule, "take it as the program wrote it")
        return self
