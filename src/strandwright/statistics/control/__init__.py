"""Control: whether what a bench gives, build after build, is steady, and what it can hold."""

from strandwright.statistics.control.capability import Capability, Tolerance, capability
from strandwright.statistics.control.chance import ChanceAlone, chance_alone
from strandwright.statistics.control.change import StepChange, step_change
from strandwright.statistics.control.drift import Drift, drift, robust_drift
from strandwright.statistics.control.ewma import EwmaChart, ewma_chart
from strandwright.statistics.control.groups import Grouped, GroupMean, by_group
from strandwright.statistics.control.individuals import IndividualsChart, individuals_chart
from strandwright.statistics.control.rules import RULES, Rule, Trip, rule_trips, tripped
from strandwright.statistics.control.series import Series
from strandwright.statistics.control.study import ControlStudy, Verdict, study

__all__ = [
    "RULES",
    "Capability",
    "ChanceAlone",
    "ControlStudy",
    "Drift",
    "EwmaChart",
    "GroupMean",
    "Grouped",
    "IndividualsChart",
    "Rule",
    "Series",
    "StepChange",
    "Tolerance",
    "Trip",
    "Verdict",
    "by_group",
    "capability",
    "chance_alone",
    "drift",
    "ewma_chart",
    "individuals_chart",
    "robust_drift",
    "rule_trips",
    "step_change",
    "study",
    "tripped",
]
