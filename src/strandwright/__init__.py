"""strandwright: plans, checks and records replacement bowstrings and cables.

The names below are the public ones. Each is loaded when it is first used, so that importing the
package costs nothing and a command loads only what it needs.
"""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from strandwright.errors import (
        InputError,
        InputErrors,
        SheetError,
        SolveError,
        StrandwrightError,
    )
    from strandwright.planning.choose import choose
    from strandwright.planning.conversion import convert_reading
    from strandwright.planning.estimate import Estimate
    from strandwright.planning.plan_data import plan_data
    from strandwright.planning.plan_line import plan_line
    from strandwright.planning.result import Plan
    from strandwright.workshop.job import Job, job_schema, read_job, write_job

__version__ = "0.1.0"

__all__ = [
    "Estimate",
    "InputError",
    "InputErrors",
    "Job",
    "Plan",
    "SheetError",
    "SolveError",
    "StrandwrightError",
    "__version__",
    "choose",
    "convert_reading",
    "job_schema",
    "plan_data",
    "plan_line",
    "read_job",
    "write_job",
]

_HOMES = {
    "Estimate": "planning.estimate",
    "InputError": "errors",
    "InputErrors": "errors",
    "Job": "workshop.job",
    "Plan": "planning.result",
    "SheetError": "errors",
    "SolveError": "errors",
    "StrandwrightError": "errors",
    "choose": "planning.choose",
    "convert_reading": "planning.conversion",
    "job_schema": "workshop.job",
    "plan_data": "planning.plan_data",
    "plan_line": "planning.plan_line",
    "read_job": "workshop.job",
    "write_job": "workshop.job",
}


def __getattr__(name: str) -> object:
    """Load a public name from its module when it is first asked for."""
    if name not in _HOMES:
        raise AttributeError(f"module 'strandwright' has no attribute {name!r}")
    value = getattr(importlib.import_module(f"strandwright.{_HOMES[name]}"), name)
    globals()[name] = value
    return value


def __dir__() -> list[str]:
    """List the public names, loaded or not."""
    return sorted({*globals(), *__all__})
