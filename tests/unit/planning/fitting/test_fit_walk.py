"""The walk on the bow: acts in order, figures compared, each turn counted to its line."""

from __future__ import annotations

from datetime import timedelta

import pytest

from bench_work import Work
from finished_line import finish
from strandwright.errors import Conflict, InputError, NotFound
from strandwright.planning.cautions import DEFER, FIRST_DRAW, PRESS, STRUNG
from strandwright.planning.fitting.figures import compared
from strandwright.planning.fitting.keeping import begin, fits_of, kept_fit, record
from strandwright.planning.fitting.page import fit_page
from strandwright.planning.fitting.walk import is_brought_back, next_act, walk
from strandwright.planning.sets.spare import spare_of_build
from strandwright.planning.settling.record import written_of
from strandwright.reference.fitting import as_it_was, fitting_rows
from strandwright.workshop.events import as_moment
from strandwright.workshop.service import counting

BEFORE = {"axle_to_axle": "33 1/4 in", "brace_height": "6 7/8 in", "draw_weight": "61 lbf",
          "cam_marks": "both on the line"}  # fmt: skip


class Fit:
    """One fit of a finished line."""

    def __init__(self, work: Work | None = None, **body):
        self.work = finish(Work()) if work is None else work
        self.desk, self.build = self.work.desk, self.work.build
        self.id = self.work.id()
        lines = [{"job": "RIDGE-1", "build": self.build}]
        told = {"lines": lines, "bow": "two-cam", "before": BEFORE} | body
        self.begun = self.event("fit-begun", **told)
        begin(self.desk, self.id, self.begun)

    def event(self, type, /, **body):
        """Give an event as it is sent, an hour on."""
        self.work.now += timedelta(hours=1)
        return {"id": self.work.id(), "type": type, "at": as_moment(self.work.now), "by": "press",
                "body": body}  # fmt: skip

    def did(self, type, /, **body):
        """Record an event and give it."""
        event = self.event(type, **body)
        record(self.desk, self.id, [event])
        return event

    def steps(self, *names):
        """Do acts of the walk."""
        for name in names:
            self.did("fit-step-done", step=name)
        return self

    @property
    def kept(self):
        """The fit as it stands."""
        return kept_fit(self.desk, self.id)

    @property
    def service(self):
        """What counts in the line's own record."""
        return [(e.type, e.shots) for e in counting(written_of(self.desk.store, self.build))]


@pytest.fixture
def fit():
    """Begin a fit."""
    return Fit()


def test_the_acts_come_in_order_each_with_its_caution(fit):
    """Press, seat, let off, board, measure, tie, shoot; nothing is skipped unseen."""
    acts = walk(fit.kept.state, fit.kept.plans)
    wanted = ["change", "seat", "release", "board", "measure", "tie", "shots-0", "shots-50",
              "shots-100"]  # fmt: skip
    assert wanted == [act.name for act in acts]
    said = {act.name: act.caution for act in acts}
    assert {PRESS} == {said[name] for name in ("change", "seat", "release", "measure")}
    assert {FIRST_DRAW} == {said[name] for name in ("board", "shots-0", "shots-50", "shots-100")}
    assert STRUNG == said["tie"]
    assert "qualified technician" in DEFER
    for name in wanted:
        assert name == next_act(fit.kept.state, walk(fit.kept.state, fit.kept.plans)).name
        fit.steps(name)
    assert next_act(fit.kept.state, walk(fit.kept.state, fit.kept.plans)) is None


def test_what_a_lines_own_plan_says_on_the_bow_is_told_at_its_act(fit):
    """The marks that are tied in come with where the strands part for the peep."""
    (tie,) = [act for act in walk(fit.kept.state, fit.kept.plans) if act.name == "tie"]
    assert any("peep" in line for line in tie.how[1:])
    assert any("Tie in: nock" in line for line in tie.how[1:])


@pytest.mark.parametrize("bow", ["recurve", "longbow", "crossbow", "one-cam", "hybrid-cam"])
def test_every_kind_of_bow_has_a_walk_with_a_caution_at_what_can_hurt(bow):
    """No act that loads a bow goes without; each row says where it comes from."""
    rows = fitting_rows(bow)
    assert "change" == rows[0].name
    assert [0, 50, 100] == [row.shots for row in rows if row.shots is not None]
    assert len({row.name for row in rows}) == len(rows)
    assert all(row.caution != "none" and row.source and row.title for row in rows)
    assert ("release" in {row.name for row in rows}) == bow.endswith("cam")


def test_seating_begins_the_lines_own_record_and_the_first_shots_hold_it(fit):
    """What the walk says of a line stands in the record its settling is judged by."""
    assert [] == fit.service
    fit.steps("change", "seat")
    assert [("on-bow", 0)] == fit.service
    fit.steps("seat", "shots-0")
    assert [("on-bow", 0), ("set-as-wanted", 0)] == fit.service


def test_turns_run_up_to_the_count_a_matched_spare_is_built_by(fit):
    """Half a turn in, one out, at 0 and at 50 shots: the spare has them, turn for turn."""
    fit.steps("change", "seat", "release", "board")
    for turns, shots in ((0.5, 0), (1.0, 0), (-0.5, 50)):
        fit.did("fit-turned", build=fit.build, turns=turns, shots=shots)
    assert pytest.approx(1.0) == fit.kept.state.turns(fit.build)
    assert 50 == fit.kept.state.shots
    changed = [e for e in fit.service if e[0] == "turns-changed"]
    assert [("turns-changed", 0), ("turns-changed", 0), ("turns-changed", 50)] == changed
    spare = spare_of_build(fit.desk, fit.build, "RIDGE-2", "its spare")
    locked = fit.work.advice.state.locked.turns
    assert pytest.approx(locked + 1.0) == spare.taken.turns
    (line,) = fit_page(fit.kept)["lines"]
    assert ("1 in", 1.0) == (line["turns_text"], line["turns"])


def test_figures_are_compared_with_those_it_came_with(fit):
    """Within a sixteenth it is as it was; what was never read is not judged."""
    assert is_brought_back(fit.kept.state) is None
    figures = {"axle_to_axle": "33 5/16 in", "brace_height": "6 3/4 in"}
    fit.did("fit-measured", figures=figures)
    found = {one.name: one for one in compared(fit.kept.state)}
    assert pytest.approx(25.4e-3 / 16) == found["axle_to_axle"].off
    assert found["axle_to_axle"].is_right
    assert found["brace_height"].is_right is False
    assert pytest.approx(-25.4e-3 / 8) == found["brace_height"].off
    assert (None, None) == (found["draw_weight"].now, found["draw_weight"].is_right)
    assert is_brought_back(fit.kept.state) is False
    fit.did("fit-measured", figures={"brace_height": "6 7/8"}, shots=50)
    assert is_brought_back(fit.kept.state)
    rows = {row["name"]: row for row in fit_page(fit.kept)["figures"]}
    assert ("33 1/4 in", "33 5/16 in") == tuple(rows["axle_to_axle"][k] for k in ("before", "now"))
    assert "more" in rows["axle_to_axle"]["off"]
    assert "the same" == rows["brace_height"]["off"]


def test_a_figure_wanted_with_its_own_nearness_goes_by_that():
    """A +- that was written before the fit stands above the table."""
    fit = Fit(before={"axle_to_axle": "33 1/4 in +- 1/4"})
    fit.did("fit-measured", figures={"axle_to_axle": "33 7/16 in"})
    (one,) = [c for c in compared(fit.kept.state) if c.name == "axle_to_axle"]
    assert pytest.approx(6.35e-3) == one.within
    assert one.is_right
    assert one.off is not None
    row = as_it_was("axle_to_axle")
    assert row is not None
    assert row.value < one.off


def test_what_was_sent_twice_happened_once(fit):
    """A walk goes on where the network broke; nothing is counted double."""
    fit.steps("change", "seat")
    turned = fit.did("fit-turned", build=fit.build, turns=0.5)
    before = fit.desk.store.mark()
    record(fit.desk, fit.id, [turned])
    begin(fit.desk, fit.id, fit.begun)
    assert before == fit.desk.store.mark()
    assert pytest.approx(0.5) == fit.kept.state.turns(fit.build)
    with pytest.raises(Conflict):
        record(fit.desk, fit.id, [turned | {"body": {"build": fit.build, "turns": 1.5}}])


def test_a_slip_is_taken_back_in_the_lines_own_record_too(fit):
    """Turns and seating withdrawn count nowhere any more."""
    fit.steps("change")
    seat = fit.did("fit-step-done", step="seat")
    turned = fit.did("fit-turned", build=fit.build, turns=3)
    fit.did("withdrawn", event=turned["id"])
    assert pytest.approx(0.0) == fit.kept.state.turns(fit.build)
    assert [("on-bow", 0)] == fit.service
    fit.did("withdrawn", event=seat["id"])
    assert [] == fit.service
    assert "seat" not in fit.kept.state.done
    fit.steps("seat")
    assert [("on-bow", 0)] == fit.service


def test_what_cannot_have_happened_is_refused_and_nothing_is_kept(fit):
    """Each refusal names the field; neither the fit nor the line's record is touched."""
    other = fit.work.id()
    early = fit.event("fit-turned", build=fit.build, turns=1)
    for bad, rule in (
        (early, "after the lines are seated"),
        (fit.event("fit-step-done", step="polish"), "must be one of change"),
        (fit.event("fit-turned", build=other, turns=1), "one of the lines of this fit"),
        (fit.event("fit-turned", build=fit.build, turns=0), "more or less than none"),
        (fit.event("fit-measured", figures={}), "must hold a figure"),
        (fit.event("withdrawn", event=other), "can be taken back"),
        (fit.event("withdrawn", event=fit.begun["id"]), "can be taken back"),
        (fit.event("rounds-laid", run=0, halves=2), "a log of this kind"),
        (fit.event("fit-begun", lines=[{"job": "X", "build": other}], bow="recurve"), "once"),
    ):
        mark = fit.desk.store.mark()
        with pytest.raises(InputError, match=rule):
            record(fit.desk, fit.id, [bad])
        assert mark == fit.desk.store.mark()
    fit.steps("change", "seat")
    with pytest.raises(InputError, match="record of the line"):
        fit.did("fit-turned", build=fit.build, turns=-90)
    assert pytest.approx(0.0) == fit.kept.state.turns(fit.build)
    fit.did("fit-ended", is_right=True)
    with pytest.raises(InputError, match="take its end back"):
        fit.did("fit-turned", build=fit.build, turns=1)


def test_only_proved_lines_are_fitted():
    """A line that is not locked goes on no bow; a build of another job is not this one."""
    work = Work().wound()
    with pytest.raises(Conflict, match="not finished"):
        Fit(work)
    done = finish(Work())
    with pytest.raises(InputError, match="a build of that job"):
        Fit(done, lines=[{"job": "OTHER-1", "build": done.build}])
    with pytest.raises(NotFound):
        Fit(done, order="f" * 32)
    assert () == done.desk.store.logs("fit")
    with pytest.raises(NotFound, match="no fit"):
        kept_fit(done.desk, done.build)


def test_a_fit_is_found_by_its_job(fit):
    """From the job a spare is asked for, and from lists."""
    (found,) = fits_of(fit.desk, "RIDGE-1")
    assert fit.id == found.id
    (row,) = fit.desk.store.listings("fit", owner="RIDGE-1")
    assert ("on the way", [fit.build]) == (row.status, row.summary["builds"])
    fit.did("fit-ended", is_right=False, said="the limb creaks")
    assert {"given up": 1} == fit.desk.store.counts("fit")
