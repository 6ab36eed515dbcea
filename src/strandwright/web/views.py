"""Views: what the screens show, as plain dictionaries."""

from __future__ import annotations

from typing import Any

from strandwright.drawing import draw_strip
from strandwright.errors import InputError, InputErrors, SolveError
from strandwright.planning.desk.advice_data import advice_data
from strandwright.planning.desk.builds import Build, Desk
from strandwright.planning.desk.jobs import KeptJob
from strandwright.planning.entries.editing import tables_of
from strandwright.planning.entries.handles import handles_of
from strandwright.planning.picture import strip_picture
from strandwright.planning.plan_data import plan_data
from strandwright.planning.readings.tape import paper_step
from strandwright.planning.result import Plan
from strandwright.planning.written import Written, half_turns
from strandwright.planning.yoke.picture import yoke_drawing
from strandwright.web.errors import refusal_of

Fields = dict[str, Any]

#: Contributions of the budget that are shown one by one [-]
SHOWN = 6


def line_view(plan: Plan, width: float, theme: str) -> Fields:
    """Give everything the strip's screen shows of a plan.

    Parameters
    ----------
    plan : Plan
        The plan.
    width : float
        Room for the strip [px]
    theme : str
        ``light`` or ``dark``.

    Returns
    -------
    dict
        Plan data, facts, budget, strip with its handles.
    """
    to = Written.on(plan.job.paper)
    step = paper_step(plan.job)
    return {
        "plan": plan_data(plan),
        "snap_m": step,
        "snap_text": to.fine(step),
        "facts": _facts(plan, to),
        "budget": [
            {"label": c.label, "share": c.share, "text": f"{100.0 * c.share:.0f} %"}
            for c in plan.landing.budget[:SHOWN]
        ],
        "warnings": list(plan.warnings),
        "strip": strip_view(plan, width, theme),
        "yoke": yoke_drawing(plan, theme),
    }


def strip_view(plan: Plan, width: float, theme: str) -> Fields:
    """Give the strip of a plan and where its handles lie on it.

    Parameters
    ----------
    plan : Plan
        The plan.
    width : float
        Room for it [px]
    theme : str
        ``light`` or ``dark``.

    Returns
    -------
    dict
        Drawing, scales, handles.
    """
    to = Written.on(plan.job.paper)
    drawing = draw_strip(
        strip_picture(plan, title="", subtitle=""), width=width, theme=theme, prefix="line"
    )
    frame = drawing.frame
    return {
        "svg": drawing.svg,
        "width": width,
        "height": drawing.height,
        "left": frame.left,
        "right": frame.right,
        "px_per_m": frame.scale,
        "middle": frame.middle,
        "thickest": frame.thickest,
        "tape_top": drawing.tape_top,
        "handles": [
            {
                "kind": handle.kind,
                "field": handle.field,
                "name": handle.name,
                "at_m": handle.at,
                "x": frame.x(handle.at),
                "at_text": to.length(handle.at),
                "low_m": handle.low,
                "high_m": handle.high,
            }
            for handle in handles_of(plan)
        ],
    }


def _facts(plan: Plan, to: Written) -> list[Fields]:
    """Give the handful of numbers that stand beside the strip."""
    twist = plan.twist
    rows = [
        *_made(plan, to),
        ("turns", f"{half_turns(twist.turns)} {twist.hand}", f"next turn {_shorter(plan, to)}"),
        ("stretch", to.force(plan.loads.stretch), f"for {to.duration(plan.loads.stretch_dwell)}"),
        ("bare", to.small_estimate(plan.bare_diameter), "diameter"),
        ("mass", to.estimate(plan.mass), "finished"),
        ("by the numbers", to.estimate(plan.landing.blind), "no reading used"),
        (
            "chance to land",
            to.chance(plan.landing.chance),
            f"within {to.length(plan.target.tolerance)}, with the readings; "
            f"{to.chance(plan.landing.chance_first)} at the first proof",
        ),
    ]
    return [{"name": name, "text": text, "said": said} for name, text, said in rows]


def _made(plan: Plan, to: Written) -> list[tuple[str, str, str]]:
    """Say what the line begins with: posts and rounds, or pegs, bundles and married parts."""
    winding, laid = plan.winding, plan.laid
    if laid is None:
        return [
            ("posts", to.estimate(winding.posts_outside), "outside to outside, empty"),
            ("rounds", f"{winding.rounds:g}", f"{winding.strands} strands"),
        ]
    hold = "friction holds it" if laid.hold.is_enough else "too short for friction"
    return [
        ("pegs", to.estimate(winding.posts_outside), "outside to outside"),
        (
            "bundles",
            " + ".join(str(bundle.strands) for bundle in laid.cut.bundles),
            f"strands, the longest cut {to.length(laid.cut.longest)}",
        ),
        ("married", to.length(laid.hold.married), hold),
    ]


def _shorter(plan: Plan, to: Written) -> str:
    return f"{to.small(abs(plan.twist.next_turn.value))} shorter"


def job_view(desk: Desk, kept: KeptJob, width: float, theme: str) -> Fields:
    """Give a job with its plan, or with why there is none.

    Parameters
    ----------
    desk : Desk
        The desk.
    kept : KeptJob
        The job.
    width : float
        Room for the strip [px]
    theme : str
        ``light`` or ``dark``.

    Returns
    -------
    dict
        The job's tables, its view or errors, its builds.
    """
    view, errors = None, []
    try:
        view = line_view(desk.plan(kept.job), width, theme)
    except (InputError, InputErrors, SolveError) as error:
        errors = refusal_of(error)["errors"]
    document = kept.document
    return {
        "id": document.id,
        "revision": document.revision,
        "saved_at": document.saved_at,
        "put_away": document.put_away,
        "job": tables_of(kept.job),
        "view": view,
        "errors": errors,
        "builds": [
            {"id": b.head.id, "state": build_state(b), "began_at": b.head.began_at}
            for b in desk.builds(document.id)
        ],
    }


def build_state(build: Build) -> str:
    """Say in a word where a build stands.

    Parameters
    ----------
    build : Build
        The build.

    Returns
    -------
    str
        ``building``, ``logged`` or ``put aside``.
    """
    if build.state.locked is not None:
        return "logged"
    return "put aside" if build.state.put_aside is not None else "building"


def advice_view(desk: Desk, build_id: str) -> Fields:
    """Give the advice of a build.

    Parameters
    ----------
    desk : Desk
        The desk.
    build_id : str
        The build.

    Returns
    -------
    dict
        As :func:`strandwright.planning.desk.advice_data.advice_data` gives it.
    """
    return advice_data(build_id, desk.advice(build_id))
