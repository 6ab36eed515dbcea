"""The bow's sheet where only its own readings tell: turns, the way home, rows to read into."""

from __future__ import annotations

from typing import Any

from strandwright.planning.bow.readings_data import readings_data
from strandwright.planning.bow.readings_only import FromReadings
from strandwright.planning.cautions import DEFER, FIRST_COCKING, FIRST_DRAW
from strandwright.planning.result import Plan
from strandwright.sheets.bow import (
    TEMPLATE,
    home_section,
    press_section,
    rows_section,
    turns_section,
)
from strandwright.sheets.data import qr_code
from strandwright.sheets.prose import prose, words
from strandwright.sheets.records import identifier

Section = dict[str, Any]


def readings_sheet_data(plan: Plan, found: FromReadings) -> Section:
    """Gather what is printed on the sheet of a bow that cannot be asked.

    Parameters
    ----------
    plan : Plan
        The plan of the job's line.
    found : FromReadings
        What its readings say.

    Returns
    -------
    dict
        JSON-ready, for the same template as :func:`strandwright.sheets.bow.bow_sheet_data`;
        what only bows that agree can tell is None.
    """
    job = plan.job
    data, crossbow = readings_data(job, found), job.bow.kind == "crossbow"
    nothing = dict.fromkeys(("pictures", "bolts", "lane", "speed"))
    return nothing | {
        "template": TEMPLATE,
        "paper": job.paper.size,
        "units": job.paper.units,
        "job": {
            "name": words(job.name),
            "id": identifier(job.id),
            "plan": identifier(plan.id),
            "line": words(job.line.name),
            "bow": words(", ".join(word for word in (job.bow.name, job.bow.kind) if word)),
        },
        "qr": qr_code(f"strandwright job {job.id} plan {plan.id}"),
        "source": prose(data["source_text"]),
        "figures": [],
        "turns": turns_section(data["turns"]),
        "guard": [],
        "bare": [],
        "servings": [],
        "home": home_section(data["home"]),
        "trial": prose(data["trial_text"]),
        "rows": rows_section(plan, data),
        "wheels": found.wheels,
        "crossbow": crossbow,
        "press": press_section(wheels=found.wheels, crossbow=crossbow),
        "first_draw": prose(FIRST_COCKING if crossbow else FIRST_DRAW, caution=True),
        "neglects": [prose(text) for text in data["neglects"]],
        "deferral": DEFER,
    }
