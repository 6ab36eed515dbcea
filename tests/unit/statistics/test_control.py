"""Control: charts, rules, changes, groups and capability of made series."""

from __future__ import annotations

import math
from collections import Counter
from typing import Any

import numpy as np
import pytest
from scipy import stats

from strandwright.errors import InputError
from strandwright.statistics.control import (
    RULES,
    Series,
    Tolerance,
    Verdict,
    by_group,
    capability,
    chance_alone,
    drift,
    ewma_chart,
    individuals_chart,
    robust_drift,
    rule_trips,
    step_change,
    study,
)
from strandwright.statistics.control.chance import distances_apart
from strandwright.statistics.control.scatter import D2, D4, MEDIAN_SPREAD, degrees_of
from strandwright.statistics.control.shuffled import chance_of, shuffled_orders


def steady(seed: int, count: int = 30) -> np.ndarray:
    """Give a bench in control, standard deviation 1."""
    return np.random.default_rng(seed).standard_normal(count)


class TestSeries:
    """Values with their names, in the order of time."""

    def test_moments_put_it_in_order(self):
        """Values, names, uncertainties and groups move together."""
        series = Series.of(
            [3.0, 1.0, 2.0],
            uncertainties=[0.3, 0.1, 0.2],
            labels=["c", "a", "b"],
            groups={"lot": ["Z", "X", "Y"]},
            moments=[30.0, 10.0, 20.0],
        )
        assert series.values.tolist() == [1.0, 2.0, 3.0]
        assert series.uncertainties.tolist() == [0.1, 0.2, 0.3]
        assert series.labels == ("a", "b", "c")
        assert series.groups == {"lot": ("X", "Y", "Z")}

    def test_builds_without_names_are_numbered(self):
        """From one on."""
        assert Series.of([1.0, 2.0]).labels == ("1", "2")

    @pytest.mark.parametrize(
        ("field", "given"),
        [
            ("values", {"values": [1.0]}),
            ("values", {"values": [1.0, math.nan]}),
            ("uncertainties", {"values": [1.0, 2.0], "uncertainties": [0.1, -0.1]}),
            ("labels", {"values": [1.0, 2.0], "labels": ["a"]}),
            ("lot", {"values": [1.0, 2.0], "groups": {"lot": ["A"]}}),
            ("moments", {"values": [1.0, 2.0], "moments": [1.0]}),
        ],
    )
    def test_what_cannot_be_a_series_is_refused(self, field, given):
        """By the field that is wrong."""
        with pytest.raises(InputError) as refused:
            Series.of(given.pop("values"), **given)
        assert refused.value.field == field


class TestIndividuals:
    """Each value between limits from the ranges of neighbours."""

    def test_limits_are_those_of_the_ranges(self):
        """Ranges 1, 2, 3: mean 2."""
        chart = individuals_chart(Series.of([0.0, 1.0, 3.0, 0.0]))
        assert chart.centre == 1.0
        assert chart.high[0] == pytest.approx(1.0 + 3.0 * 2.0 / D2)
        assert chart.low[-1] == pytest.approx(1.0 - 3.0 * 2.0 / D2)
        assert chart.range_limits == pytest.approx([D4 * 2.0] * 3)

    def test_one_wild_value_hardly_moves_the_median(self):
        """The mean of the ranges takes it twice."""
        values = steady(1)
        wild = values.copy()
        wild[12] += 30.0
        by = {w: individuals_chart(Series.of(wild), by=w).sigma[0] for w in ("mean", "median")}
        still = individuals_chart(Series.of(values), by="median").sigma[0]
        plain = individuals_chart(Series.of(values)).sigma[0]
        # Sixty more over 29 ranges, over d2.
        assert by["mean"] == pytest.approx(plain + 60.0 / 29.0 / D2, abs=0.2)
        assert by["median"] == pytest.approx(still, rel=0.2)

    def test_degrees_of_freedom_are_what_the_scatter_of_the_ranges_says(self):
        """From many rows: relative spread squared is one over twice the degrees."""
        ranges = np.abs(np.diff(np.random.default_rng(4).standard_normal((20_000, 30)), axis=1))
        for by, found in (("mean", ranges.mean(axis=1)), ("median", np.median(ranges, axis=1))):
            seen = 0.5 * (found.mean() / found.std()) ** 2
            # The law of the median is that of many values.
            assert degrees_of(30, by) == pytest.approx(seen, rel=0.03 if by == "mean" else 0.09)

    def test_the_spread_of_the_median_is_that_of_neighbouring_ranges(self):
        """Both below the median together: from the normal law of two differences."""
        upper = stats.norm.ppf(0.75)
        both_normal: Any = stats.multivariate_normal
        pair = both_normal([0.0, 0.0], [[1.0, -0.5], [-0.5, 1.0]])
        box = pair.cdf([upper, upper]) - 2.0 * pair.cdf([-upper, upper])
        both = box + pair.cdf([-upper, -upper])
        spread = (0.25 + 2.0 * (both - 0.25)) / (2.0 * stats.norm.pdf(upper) * upper) ** 2
        assert MEDIAN_SPREAD == pytest.approx(spread, abs=0.001)

    def test_alike_uncertainties_leave_the_standardised_chart_the_plain_one(self):
        """Whatever they are, so long as the scatter is larger."""
        plain = individuals_chart(Series.of(steady(2)))
        series = Series.of(steady(2), uncertainties=0.4)
        own = individuals_chart(series, standardised=True)
        assert own.sigma == pytest.approx(plain.sigma, rel=1e-9)
        assert own.centre == pytest.approx(plain.centre, rel=1e-12)

    def test_a_value_known_badly_has_wider_limits(self):
        """And the scatter of the bench is found from all, to its own uncertainty."""
        uncertainties = np.tile([0.2, 3.0], 200)
        bench = 1.0
        drawn = np.random.default_rng(5).standard_normal(400)
        values = drawn * np.hypot(bench, uncertainties)
        series = Series.of(values, uncertainties=uncertainties)
        chart = individuals_chart(series, standardised=True)
        found = math.sqrt(chart.sigma[0] ** 2 - 0.2**2)
        assert found == pytest.approx(bench, abs=0.6)
        assert chart.sigma[1] ** 2 - chart.sigma[0] ** 2 == pytest.approx(9.0 - 0.04)
        assert chart.scores.std() == pytest.approx(1.0, abs=0.1)

    def test_readings_that_explain_all_leave_the_bench_nothing(self):
        """Each value keeps its own uncertainty."""
        series = Series.of(0.1 * steady(3), uncertainties=1.0)
        assert individuals_chart(series, standardised=True).sigma == pytest.approx(np.ones(30))

    def test_values_that_do_not_scatter_are_refused(self):
        """With no scatter there are no limits; nor is there another way than the two."""
        with pytest.raises(InputError, match="read more finely"):
            individuals_chart(Series.of([1.0, 1.0, 1.0]))
        with pytest.raises(InputError, match="mean and median"):
            individuals_chart(Series.of([1.0, 2.0]), by="mode")
        with pytest.raises(InputError, match="sigma"):
            individuals_chart(Series.of([1.0, 2.0]), sigma=0.0)


class TestEwma:
    """The average that forgets."""

    def test_its_deviation_is_the_closed_form(self):
        """Lambda/(2 - lambda) (1 - (1 - lambda)^2i) where all are known alike well."""
        series = Series.of(steady(1))
        chart = individuals_chart(series, centre=0.0, sigma=2.0)
        found = ewma_chart(series, chart, weight=0.3)
        steps = np.arange(1, 31)
        variance = 4.0 * 0.3 / 1.7 * (1.0 - 0.7 ** (2 * steps))
        assert found.deviations == pytest.approx(np.sqrt(variance), rel=1e-12)
        assert found.deviations[-1] == pytest.approx(found.steady_deviation, rel=1e-4)

    def test_with_all_weight_on_the_newest_it_is_the_individuals_chart(self):
        """Lambda 1, L 3."""
        series = Series.of(steady(6))
        chart = individuals_chart(series)
        found = ewma_chart(series, chart, weight=1.0, width=3.0)
        assert found.averages == pytest.approx(series.values)
        assert found.high == pytest.approx(chart.high)

    def test_it_sees_a_small_lasting_shift_and_since_when(self):
        """One and a half deviations from the sixteenth on: no value need be far out."""
        values = 0.2 * steady(7)
        values[15:] += 1.5
        series = Series.of(values)
        found = ewma_chart(series, individuals_chart(series, centre=0.0, sigma=1.0))
        assert found.beyond
        assert 15 <= found.beyond[0] <= 22
        assert found.since(29) in (15, 16)

    @pytest.mark.parametrize("wrong", [{"weight": 0.0}, {"weight": 1.1}, {"width": 0.0}])
    def test_lambda_and_width_have_their_ranges(self, wrong):
        """Refused by name."""
        series = Series.of([0.0, 1.0])
        with pytest.raises(InputError, match=next(iter(wrong))):
            ewma_chart(series, individuals_chart(series), **wrong)


def test_a_trip_names_the_values_that_make_it():
    """Two of three beyond two: the third and the first, not the one between."""
    trips = rule_trips(np.array([0.0, -2.5, 0.3, -2.2]))
    assert [(t.rule, t.side, t.index, t.members) for t in trips] == [(RULES[1], -1, 3, (1, 3))]


class TestChance:
    """What benches in control do."""

    def test_a_known_bench_goes_by_the_normal_tail(self):
        """Chance that none of 30 lies beyond 3: (1 - 0.0027)^30."""
        found = chance_alone(30, "known").of_largest(3.0)
        assert found == pytest.approx(1.0 - (1.0 - 0.0026998) ** 30, abs=0.017)

    def test_a_value_is_held_to_the_others_alone(self):
        """Centre and ranges without it, worked out by hand."""
        values = np.array([0.0, 1.0, 0.0, 9.0, 1.0, 0.0, 2.0])
        chart = individuals_chart(Series.of(values))
        found = distances_apart(values - chart.centre, chart.sigma, "mean")
        mean, ranges = 4.0 / 6.0, (1.0 + 1.0 + 1.0 + 2.0) / 4.0
        assert found[3] == pytest.approx((9.0 - mean) / (ranges / D2))
        assert found[0] == pytest.approx(
            (0.0 - 13.0 / 6.0) / ((1.0 + 9.0 + 8.0 + 1.0 + 2.0) / 5.0 / D2)
        )

    def test_few_benches_in_control_are_called_out_of_it(self):
        """Three tests at one in a hundred: two or three in a hundred; and one in six to look at."""
        seen = Counter(study(Series.of(steady(seed))).verdict for seed in range(300))
        assert seen[Verdict.OUT_OF_CONTROL] <= 15
        assert 20 <= seen[Verdict.LOOK] <= 75
        assert chance_alone(30).any_recent == pytest.approx(0.16, abs=0.03)


def test_shuffled_orders_are_orders_and_always_the_same():
    """Each holds every value once; long series are shuffled fewer times."""
    orders = shuffled_orders(12)
    assert orders.shape == (1999, 12)
    assert (np.sort(orders, axis=1) == np.arange(12)).all()
    assert (orders == shuffled_orders(12)).all()
    assert len(shuffled_orders(400)) == 1000
    assert len(shuffled_orders(5000)) == 499
    assert chance_of(3.0, np.array([1.0, 3.0, 5.0])) == 3.0 / 4.0
    assert chance_of(9.0, np.array([1.0, 3.0, 5.0])) == 1.0 / 4.0


class TestStep:
    """Where the level changed."""

    def test_a_plain_step_is_found_where_it_is(self):
        """With its size to its own uncertainty, and next to no chance."""
        values = steady(11, 40)
        values[25:] += 4.0
        found = step_change(values)
        assert found is not None
        assert found.first <= 25 <= found.last
        assert abs(found.size - 4.0) < 3.0 * found.u
        assert found.chance == 1.0 / 2000.0

    def test_its_range_holds_the_true_place_in_about_nine_of_ten(self):
        """A step of one and a half standard deviations, 200 times."""
        held = 0
        for seed in range(200):
            values = steady(1000 + seed, 40)
            values[25:] += 1.5
            found = step_change(values)
            assert found is not None
            held += found.first <= 25 <= found.last
        assert 168 <= held <= 194

    def test_without_a_step_chances_are_spread_evenly(self):
        """Over 200 benches in control."""
        chances = [found.chance for s in range(200) if (found := step_change(steady(s, 20)))]
        assert stats.kstest(chances, "uniform").pvalue > 0.01

    def test_too_few_or_all_alike_have_none(self):
        """Four values are the least."""
        assert step_change([0.0, 1.0, 2.0]) is None
        assert step_change(np.ones(9)) is None

    def test_values_known_badly_count_for_less(self):
        """A jump of three that are known badly is no step."""
        values = np.array([0.1, -0.1, 0.05, -0.02, 0.08, -0.06, 0.02, 5.0, 4.0, 6.0])
        sigma = np.array([0.1] * 7 + [8.0] * 3)
        alike, own = step_change(values), step_change(values, sigma)
        assert alike is not None
        assert own is not None
        assert alike.chance < 0.05 < own.chance


class TestDrift:
    """A slope over the order."""

    def test_it_is_the_least_squares_line_of_scipy(self):
        """Slope and its uncertainty, and a chance near that of the t-test."""
        values = steady(21, 40) + 0.03 * np.arange(40)
        found = drift(values)
        theirs: Any = stats.linregress(np.arange(40), values)
        assert found is not None
        assert found.slope == pytest.approx(theirs.slope)
        assert found.u == pytest.approx(theirs.stderr)
        assert found.along([0.0])[0] == pytest.approx(theirs.intercept)
        assert found.chance == pytest.approx(theirs.pvalue, abs=0.03)

    def test_the_robust_one_is_the_median_slope_of_scipy(self):
        """And its range."""
        values = steady(22, 40) + 0.05 * np.arange(40)
        found = robust_drift(values)
        theirs: Any = stats.theilslopes(values, np.arange(40))
        assert found is not None
        assert found.slope == pytest.approx(theirs.slope)
        assert 2.0 * 1.96 * found.u == pytest.approx(theirs.high_slope - theirs.low_slope, rel=0.05)
        tau: Any = stats.kendalltau(np.arange(40), values, method="asymptotic")
        assert found.chance == pytest.approx(tau.pvalue, rel=0.2)

    def test_a_wild_value_tilts_the_one_and_not_the_other(self):
        """At the end, where it tilts most."""
        values = 0.1 * steady(23, 30)
        values[-1] += 50.0
        plain, robust = drift(values), robust_drift(values)
        assert plain is not None
        assert robust is not None
        assert plain.slope > 0.2
        assert abs(robust.slope) < 0.01

    def test_weights_are_those_of_the_deviations(self):
        """As NumPy's weighted fit has it."""
        sigma = np.random.default_rng(24).uniform(0.5, 3.0, 20)
        found = drift(steady(25, 20), sigma)
        assert found is not None
        theirs = np.polyfit(np.arange(20), steady(25, 20), 1, w=1.0 / sigma)
        assert found.slope == pytest.approx(theirs[0])

    def test_over_time_it_is_a_slope_by_time(self):
        """A line comes back exactly."""
        moments = np.array([0.0, 10.0, 15.0, 40.0])
        for found in (drift(2.0 + 0.5 * moments, along=moments),
                      robust_drift(2.0 + 0.5 * moments, along=moments)):  # fmt: skip
            assert found is not None
            assert found.slope == pytest.approx(0.5)
            assert found.along([100.0])[0] == pytest.approx(52.0)

    def test_too_few_have_none(self):
        """Two points always lie on a line."""
        assert drift([0.0, 1.0]) is None
        assert robust_drift([0.0, 1.0]) is None
        with pytest.raises(InputError, match="along"):
            drift([0.0, 1.0, 2.0], along=[1.0])


def test_groups_are_told_apart_by_scipys_measure():
    """Means, and a chance near that of the analysis of variance."""
    values = steady(31, 30)
    values[20:] += 0.9
    names = ["A"] * 10 + ["B"] * 10 + ["C"] * 10
    series = Series.of(values, groups={"lot": names})
    found = by_group(series, individuals_chart(series), "lot")
    assert [(m.name, m.count, m.first) for m in found.means] == [
        ("A", 10, 0), ("B", 10, 10), ("C", 10, 20),
    ]  # fmt: skip
    parts = [values[:10], values[10:20], values[20:]]
    assert [m.mean for m in found.means] == pytest.approx([p.mean() for p in parts])
    within = math.sqrt(sum(((p - p.mean()) ** 2).sum() for p in parts) / 27.0)
    assert found.means[0].u == pytest.approx(within / math.sqrt(10.0))
    assert found.chance == pytest.approx(stats.f_oneway(*parts).pvalue, abs=0.02)


def test_one_group_differs_from_nothing():
    """Its chance is one."""
    series = Series.of(steady(1), groups={"bench": ["a"] * 30})
    assert by_group(series, individuals_chart(series), "bench").chance == 1.0


class TestCapability:
    """A tolerance against the scatter."""

    def test_indices_and_share(self):
        """Off its target: Cpk and Cpm below Cp; the share by the normal law."""
        found = capability(0.5, 1.0, 100, Tolerance.about(0.0, 3.0))
        assert found.cp == pytest.approx(1.0)
        assert found.cpk == pytest.approx(2.5 / 3.0)
        assert found.cpm == pytest.approx(1.0 / math.sqrt(1.25))
        assert found.share == pytest.approx(stats.norm.cdf(2.5) - stats.norm.cdf(-3.5))

    @pytest.mark.parametrize("off", [0.0, 1.0])
    def test_limits_hold_the_truth_as_often_as_they_say(self, off):
        """300 benches of 20 lines: the share and Cpk, in 95 of 100 or near."""
        tolerance = Tolerance.about(0.0, 2.2)
        share = float(stats.norm.cdf(2.2 - off) - stats.norm.cdf(-2.2 - off))
        held = {"share": 0, "cp": 0, "cpk": 0}
        for seed in range(300):
            values = off + steady(seed, 20)
            found = capability(float(values.mean()), float(values.std(ddof=1)), 20, tolerance)
            held["share"] += bool(found.share_limits[0] <= share <= found.share_limits[1])
            held["cp"] += found.cp_limits[0] <= 2.2 / 3.0 <= found.cp_limits[1]
            held["cpk"] += found.cpk_limits[0] <= (2.2 - off) / 3.0 <= found.cpk_limits[1]
        assert all(270 <= count <= 297 for count in held.values()), held

    def test_what_is_no_tolerance_is_refused(self):
        """Ends the wrong way round, a target outside; nor is there capability without scatter."""
        with pytest.raises(InputError, match="tolerance"):
            Tolerance(1.0, 0.0, 0.5)
        with pytest.raises(InputError, match="target"):
            Tolerance(0.0, 1.0, 2.0)
        with pytest.raises(InputError, match="sigma"):
            capability(0.0, 0.0, 10, Tolerance.about(0.0, 1.0))


class TestStudy:
    """All of it together."""

    def test_a_bench_in_control_has_its_capability(self):
        """Overall and short-term, and no more than that."""
        found = study(Series.of(steady(3)), Tolerance.about(0.0, 4.0))
        assert found.verdict is Verdict.IN_CONTROL
        assert not found.is_provisional
        assert found.overall is not None
        assert found.short is not None
        assert found.overall.degrees == 29.0
        assert found.short.degrees == pytest.approx(degrees_of(30))

    def test_one_that_stands_out_is_told_from_a_step(self):
        """Only that one, and no capability."""
        values = steady(3)
        values[20] += 8.0
        found = study(Series.of(values), Tolerance.about(0.0, 4.0))
        assert found.verdict is Verdict.OUT_OF_CONTROL
        assert found.standing_out == (20,)
        assert not found.has_stepped
        assert not found.drifts
        assert found.overall is None

    def test_a_step_is_told_from_a_drift_and_the_other_way_round(self):
        """Each by what it leaves; values beside a moved level do not stand out."""
        stepped, sloped = steady(4), steady(4)
        stepped[18:] += 4.0
        sloped += 0.2 * np.arange(30)
        step, slope = study(Series.of(stepped)), study(Series.of(sloped))
        assert (step.has_stepped, step.drifts) == (True, False)
        assert (slope.has_stepped, slope.drifts) == (False, True)
        assert step.standing_out == slope.standing_out == ()

    def test_few_are_provisional_and_very_few_are_not_judged(self):
        """Below 20 and below 8."""
        tolerance = Tolerance.about(0.0, 4.0)
        few, too_few = (study(Series.of(steady(3, n)), tolerance) for n in (12, 6))
        assert few.verdict is Verdict.IN_CONTROL
        assert few.is_provisional
        assert few.overall is not None
        assert too_few.verdict is Verdict.TOO_FEW
        assert too_few.overall is None

    def test_what_lies_far_back_is_no_news(self):
        """A run among the first of sixty trips, and the bench is in control now."""
        values = 0.5 * np.tile([1.0, -1.0], 30) + 0.3 * steady(8, 60)
        values[3:12] = np.abs(values[3:12])
        found = study(Series.of(values))
        assert found.trips
        assert found.recent == ()
        assert found.verdict is Verdict.IN_CONTROL

    def test_centre_and_scatter_go_together(self):
        """Known both or neither."""
        with pytest.raises(InputError, match="both or neither"):
            study(Series.of(steady(1)), centre=0.0)
        known = study(Series.of(steady(1)), centre=0.0, sigma=1.0)
        assert known.chart.by == "known"

    def test_the_readings_share_of_the_scatter(self):
        """Squared, over that of neighbours."""
        found = study(Series.of(steady(1), uncertainties=0.5))
        assert found.reading_share == pytest.approx(0.25 / found.chart.sigma[0] ** 2)
