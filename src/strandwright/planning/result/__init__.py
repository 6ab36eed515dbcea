"""The result of planning: the plan and its parts, frozen, every answer with its +-."""

from strandwright.planning.result.bench import (
    ColourRun,
    LoopPlan,
    MarkPlan,
    ServingPlan,
    StagePlan,
    TwistPlan,
    Winding,
)
from strandwright.planning.result.certainty import (
    Fit,
    Landing,
    Learned,
    LoadCheck,
    OriginalLength,
    ReadingWorth,
    Remedy,
    Strength,
    Target,
)
from strandwright.planning.result.four_posts import ArmLoop, FourPosts, Legs, Swing
from strandwright.planning.result.plan import Plan, Step

__all__ = [
    "ArmLoop",
    "ColourRun",
    "Fit",
    "FourPosts",
    "Landing",
    "Learned",
    "Legs",
    "LoadCheck",
    "LoopPlan",
    "MarkPlan",
    "OriginalLength",
    "Plan",
    "ReadingWorth",
    "Remedy",
    "ServingPlan",
    "StagePlan",
    "Step",
    "Strength",
    "Swing",
    "Target",
    "TwistPlan",
    "Winding",
]
