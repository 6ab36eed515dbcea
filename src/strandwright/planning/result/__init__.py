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
    BreakPlace,
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
from strandwright.planning.result.yoke import (
    Lean,
    LegPlan,
    LegsMatched,
    Reserve,
    StrapPlan,
    YokePlan,
    YokeTurns,
)

__all__ = [
    "ArmLoop",
    "BreakPlace",
    "ColourRun",
    "Fit",
    "FourPosts",
    "Landing",
    "Lean",
    "Learned",
    "LegPlan",
    "Legs",
    "LegsMatched",
    "LoadCheck",
    "LoopPlan",
    "MarkPlan",
    "OriginalLength",
    "Plan",
    "ReadingWorth",
    "Remedy",
    "Reserve",
    "ServingPlan",
    "StagePlan",
    "Step",
    "StrapPlan",
    "Strength",
    "Swing",
    "Target",
    "TwistPlan",
    "Winding",
    "YokePlan",
    "YokeTurns",
]
