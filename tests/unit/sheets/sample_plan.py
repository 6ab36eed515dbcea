"""Invented jobs, planned, for the tests of sheets and pictures."""

from __future__ import annotations

from functools import cache
from typing import Any

from strandwright.planning.plan_line import plan_line
from strandwright.planning.result import Plan
from strandwright.workshop.job import job_from_table

HOSTILE = '#panic("x") $x$ *b* _i_ <b>&amp; @ref `raw` \\ "q" [y] // c /* */ 1/2 ½ é'


def job_table(**changes: Any) -> dict[str, Any]:
    """Give the tables of a two-cam string's job, some of them replaced."""
    table: dict[str, Any] = {
        "id": "RIDGE-1",
        "name": "String for the ridge bow",
        "customer": "bench copy",
        "bow": {
            "kind": "two-cam",
            "name": "ridge bow",
            "draw_weight": "60 lbf",
            "pegs": [{"name": "cam peg", "diameter": "5/16 in"}],
            "nock": {"seat": "0.125 in"},
        },
        "line": {
            "name": "string",
            "finished": "57 1/4 in +- 1/32",
            "shorthand": "57 1/4: 0-17, 20 1/2-22 1/4, 26 3/4-30 1/2, 17-0",
            "zero_end": {"name": "lower", "size": "7/8 in", "thread": "braid-018"},
            "far_end": {"name": "upper", "size": "1 1/4 in", "thread": "braid-018"},
            "servings": servings(),
            "marks": [{"name": "nock", "at": "28 5/8 in"}],
        },
        "makeup": {
            "strand": "hmpe-lcp",
            "strands": 24,
            "colours": [
                {"name": "spruce", "colour": "#2F6B57", "strands": 12},
                {"name": "straw", "colour": "#E3D3A5", "strands": 12},
            ],
            "pattern": "halves",
            "twist": "0.5 per in",
        },
        "bench": {"zero_post": "1/2 in", "longest": "110 in", "gauge": "load cell"},
    }
    return table | changes


def servings(suffix: str = "") -> list[dict[str, str]]:
    """Give the four servings of the string, their names lengthened."""
    return [
        {"name": f"lower end{suffix}", "use": "end", "thread": "braid-018"},
        {"name": f"stop{suffix}", "use": "stop", "thread": "braid-018"},
        {"name": f"centre{suffix}", "use": "centre", "thread": "braid-021", "colour": "#8C2F22"},
        {"name": f"upper end{suffix}", "use": "end", "thread": "braid-018"},
    ]


def named_table(text: str) -> dict[str, Any]:
    """Give the job with one text wherever a person may write one."""
    table = job_table()
    line, makeup = table["line"], table["makeup"]
    return table | {
        "name": text[:120],
        "customer": text,
        "bow": table["bow"] | {"name": text},
        "bench": table["bench"] | {"name": text},
        "line": line
        | {
            "name": text,
            "zero_end": line["zero_end"] | {"name": f"lower {text}"},
            "far_end": line["far_end"] | {"name": f"upper {text}"},
            "servings": servings(f" {text}"),
            "marks": [{"name": text, "at": "28 5/8 in"}],
        },
        "makeup": makeup
        | {"colours": [c | {"name": f"{c['name']} {text}"} for c in makeup["colours"]]},
    }


def plan_of(table: dict[str, Any]) -> Plan:
    """Plan a job given as tables."""
    return plan_line(job_from_table(table))


@cache
def sample_plan(units: str = "in", size: str = "letter") -> Plan:
    """Give the plan of the sample job, written in these units for this paper."""
    return plan_of(job_table(paper={"units": units, "size": size}))
