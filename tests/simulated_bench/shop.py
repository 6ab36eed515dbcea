"""A shop that builds one line after the other: its bench, fibre, lots and hands stay its own.

What is true of a build is mixed from what is true of the shop's bench, of the fibre, of the lot
and of the day, each drawn as ``world.py`` draws a build; so every build alone looks as there, and
builds of one shop have in common what a shop has in common.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from simulated_bench.cases import Case, bench_table, make_case
from simulated_bench.fibres import FIBRES
from simulated_bench.technician import Build, GivenUpError, Technician, finish
from simulated_bench.world import BENCHES, DRAWN, INCH, BenchKind, Truth, draw_truth
from strandwright.errors import LimitError, StrandwrightError
from strandwright.planning.desk.builds import Desk
from strandwright.planning.plan_line import plan_line
from strandwright.store.memory import MemoryStore
from strandwright.units import Dimension, Entered, parse
from strandwright.workshop.job import Job, job_from_table
from strandwright.workshop.parts import BenchSpec

#: Shares of the variance: of the bench, of the fibre's family, of the fibre, of the lot, of the
#: builder, of the build
SHARES = {
    **dict.fromkeys(
        ("gauge", "post", "play", "tape_height", "tape"), (1.0, 0.0, 0.0, 0.0, 0.0, 0.0)
    ),
    **dict.fromkeys(("relaxation",), (0.7, 0.0, 0.0, 0.0, 0.0, 0.3)),
    **dict.fromkeys(("drag", "layers"), (0.4, 0.0, 0.0, 0.0, 0.4, 0.2)),
    **dict.fromkeys(
        ("stiffness", "bend", "creep", "expansion", "delayed"), (0.0, 0.3, 0.3, 0.3, 0.0, 0.1)
    ),
    **dict.fromkeys(("tex",), (0.0, 0.15, 0.15, 0.6, 0.0, 0.1)),
    **dict.fromkeys(
        ("packing", "tightening", "served_packing", "second_moment", "migration"),
        (0.0, 0.2, 0.2, 0.2, 0.2, 0.2),
    ),
    **dict.fromkeys(("bedding", "bedding_load", "reopening"), (0.0, 0.2, 0.2, 0.2, 0.1, 0.3)),
    **dict.fromkeys(
        ("evened", "loop_slip", "leg_flat", "thread", "thread_flat", "turn_flow"),
        (0.0, 0.1, 0.1, 0.0, 0.5, 0.3),
    ),
    **dict.fromkeys(("zero_loop", "far_loop", "drag_drift"), (0.0, 0.0, 0.0, 0.0, 0.4, 0.6)),
}
_SIGNED = frozenset(
    ("bend", "tape_height", "tape", "drag_drift", "zero_loop", "far_loop", "expansion", "evened",
     "second_moment", "migration", "turn_flow", "leg_flat", "thread_flat")
)  # fmt: skip


@dataclass(frozen=True)
class Shop:
    """One shop.

    Attributes
    ----------
    seed : int
        What its bench, fibres and hands are drawn with.
    bench : BenchKind
        The kind of its bench.
    """

    seed: int
    bench: BenchKind

    def truth(self, build: int, strand: str, lot: int) -> Truth:
        """Give what is true of one of its builds."""
        family = strand.removesuffix("-thin")
        of = [
            draw_truth(900_000 + self.seed, strand, self.bench),
            draw_truth(850_000 + 97 * self.seed + sum(map(ord, family)), strand, self.bench),
            draw_truth(800_000 + 97 * self.seed + sum(map(ord, strand)), strand, self.bench),
            draw_truth(700_000 + 1000 * self.seed + lot, strand, self.bench),
            draw_truth(600_000 + self.seed, strand, self.bench),
            draw_truth(500_000 + 1000 * self.seed + build, strand, self.bench),
        ]
        middle = _middle(strand, self.bench)
        values = dict(of[-1].values)
        for name, shares in SHARES.items():
            weights = [math.sqrt(share) for share in shares]
            if name in _SIGNED:
                off = sum(w * (t[name] - middle[name]) for w, t in zip(weights, of, strict=True))
                values[name] = middle[name] + off
            else:
                off = sum(
                    w * math.log(t[name] / middle[name]) for w, t in zip(weights, of, strict=True)
                )
                values[name] = middle[name] * math.exp(off)
        values |= {
            name: float(np.clip(values[name], low, high)) for name, (low, high) in _BOUNDS.items()
        }
        return Truth(1000 * self.seed + build, FIBRES[strand], self.bench, values)


_BOUNDS = {
    "packing": (0.55, 0.88), "served_packing": (0.66, 0.92), "migration": (0.01, 0.99),
    "evened": (0.2, 1.0), "second_moment": (0.42, 0.54), "turn_flow": (0.0, 1.0),
    "leg_flat": (0.6, 1.0), "thread_flat": (0.5, 1.0), "bend": (-0.3, 0.6), "layers": (1.0, 3.2),
}  # fmt: skip
_MIDDLES: dict[tuple[str, str], dict[str, float]] = {}


def _middle(strand: str, bench: BenchKind) -> dict[str, float]:
    """The middle of what is drawn: geometric where a value lies above nought, else the mean."""
    key = (strand, bench.name)
    if key not in _MIDDLES:
        many = [draw_truth(seed, strand, bench) for seed in range(1, 400)]
        _MIDDLES[key] = {
            d.name: float(np.mean([t[d.name] for t in many]))
            if d.name in _SIGNED or d.name not in SHARES
            else math.exp(float(np.mean([math.log(t[d.name]) for t in many])))
            for d in DRAWN
        }
    return _MIDDLES[key]


def by_ear(spread: float = 0.03) -> BenchKind:
    """A usual bench whose loads are told by the pluck."""
    usual = next(bench for bench in BENCHES if bench.name == "usual")
    return replace(usual, name="heard", gauge="by ear", gauge_spread=spread, pull_noise=0.005)


def build_in_shop(shop: Shop, desk: Desk, number: int, lot: int, case: Case) -> Build | None:
    """Build one line at the shop's desk; None where it was given up."""
    makeup = case.job.makeup.model_copy(update={"lot": f"L{lot}"})
    job = case.job.model_copy(
        update={"id": f"SHOP-{shop.seed}-{number}", "makeup": makeup, "builder": "the one hand"}
    )
    bench = shop.bench
    job = _on_bench(job, bench)
    made = replace(case, job=job, bench=bench, seed=shop.seed * 1000 + number)
    truth = shop.truth(number, job.makeup.strand, lot)
    try:
        technician = Technician(made, desk=desk, truth=truth, first=10_000 * number)
        technician.work()
        return finish(technician)
    except (StrandwrightError, GivenUpError):
        return None


def _on_bench(job: Job, bench: BenchKind) -> Job:
    return job.model_copy(update={"bench": BenchSpec.model_validate(bench_table(bench))})


def _bears(shop: Shop, case: Case) -> bool:
    """Whether so few strands are not refused."""
    if case.job.makeup.strand == "hmpe-lcp":
        return True
    try:
        plan_line(_on_bench(case.job, shop.bench))
    except LimitError:
        return False
    return True


def cases_for(shop: Shop, count: int, strands: tuple[str, ...] = ("hmpe-lcp",)) -> list[Case]:
    """Lines to 65 in of some strands, on its bench, that bear the load of the usual stretch."""
    found: list[Case] = []
    seed = 50_000 + 1000 * shop.seed
    while len(found) < count:
        case = make_case(seed)
        seed += 1
        if case.length <= 65.0 and case.job.makeup.strand in strands and _bears(shop, case):
            found.append(replace(case, bench=shop.bench))
    return found


@dataclass(frozen=True)
class ShopRow:
    """One build of a shop.

    Attributes
    ----------
    off : float
        True length less the one asked for [in]; 9 where it was given up.
    first_off : float
        The same when its proof was first read, before any correction [in]
    corrections : int
        How often turns were changed at the proof.
    covered : bool
        Whether the stated range of the finished length holds the true one.
    readings : tuple of float
        Each reading less what was told, in stated standard uncertainties [-]
    promised, by_tables : float
        Standard uncertainty of the finished length before the first reading, as the shop knew it
        and by the tables alone [in]
    bare_off, bare_off_tables : float
        First reading less what was told, and less what the tables would have told at the same
        posts [in]
    """

    off: float
    first_off: float
    corrections: int
    covered: bool
    readings: tuple[float, ...]
    promised: float
    by_tables: float
    bare_off: float
    bare_off_tables: float


def run_shop(about: tuple[int, int], lots_of: int = 5) -> list[ShopRow]:
    """Build so many lines in the shop of a seed, a new lot now and then."""
    seed, count = about
    shop, desk = Shop(seed, by_ear()), Desk(MemoryStore())
    rows: list[ShopRow] = []
    for number, case in enumerate(cases_for(shop, count)):
        built = build_in_shop(shop, desk, number, 1 + number // lots_of, case)
        if built is None:
            rows.append(ShopRow(9.0, 9.0, 9, False, (), 1.0, 1.0, 0.0, 0.0))
            continue
        head = next(h for h in desk.store.builds() if h.job_id == built.case.job.id)
        known = job_from_table(desk.store.plan(head.plan_id).job)
        first = plan_line(known)
        tables = plan_line(
            known.model_copy(
                update={
                    "shop": None,
                    "route": known.route.model_copy(
                        update={"wound_at": _posts(first.winding.posts_outside.value)}
                    ),
                }
            )
        )
        told = built.expectations[0]
        off = told.read - told.expected.value
        shift = first.stage(told.stage).length.value - tables.stage(told.stage).length.value
        rows.append(
            ShopRow(
                off=(built.true - built.asked) / INCH,
                first_off=(built.first_proof - built.asked) / INCH,
                corrections=built.corrections,
                covered=bool(abs(built.true - built.stated.value) <= built.stated.u95),
                readings=tuple(
                    (e.read - e.expected.value) / e.expected.u for e in built.expectations
                ),
                promised=first.landing.blind.u / INCH,
                by_tables=tables.landing.blind.u / INCH,
                bare_off=off / INCH,
                bare_off_tables=(off + shift) / INCH,
            )
        )
    return rows


def _posts(metres: float) -> Entered:
    return parse(Dimension.LENGTH, f"{metres / INCH:.5f} in", field="posts")


#: Strands that a shop of :func:`run_course` has never built with, the first of its own family
NEW_STRANDS = ("hmpe-lcp-thin", "hmpe", "polyester")
TAUGHT = 6


@dataclass(frozen=True)
class Told:
    """What was told of one new build, and how it was.

    Attributes
    ----------
    first, finished : float
        True length less what was told of it just before the proof and at the end, in its standard
        uncertainties [-]; not finite where it was given up.
    first_off, off : float
        True length less the one asked for, there and at the end [in]
    readings : tuple of float
        Each reading less what was told, in stated standard uncertainties [-]
    """

    first: float
    finished: float
    first_off: float
    off: float
    readings: tuple[float, ...]


def run_course(about: tuple[int, int]) -> dict[str, list[Told]]:
    """Teach a shop with lines of two lots; then build new ones that it does not learn from.

    So many of a lot that it knows, as many each of a lot of its own, as many each of a lot and a
    strand of its own: by the kind.
    """
    seed, each = about
    shop, store = Shop(seed, by_ear()), MemoryStore()
    desk, kept = Desk(store), Desk(store, learns=False)
    usual = cases_for(shop, TAUGHT + 2 * each)
    other = cases_for(shop, each, NEW_STRANDS)
    for k, case in enumerate(usual[:TAUGHT]):
        build_in_shop(shop, desk, k, 1 + k % 2, case)
    kinds = {
        "known lot": [(1 + k % 2, case) for k, case in enumerate(usual[TAUGHT : TAUGHT + each])],
        "new lot": [(10 + k, case) for k, case in enumerate(usual[TAUGHT + each :])],
        "new fibre": [(40 + k, case) for k, case in enumerate(other)],
    }
    found: dict[str, list[Told]] = {}
    number = TAUGHT
    for kind, lines in kinds.items():
        found[kind] = []
        for lot, case in lines:
            found[kind].append(_told(build_in_shop(shop, kept, number, lot, case)))
            number += 1
    return found


def _told(built: Build | None) -> Told:
    if built is None:
        return Told(np.inf, np.inf, np.inf, np.inf, ())
    first, stated = built.first_told, built.stated
    return Told(
        (built.first_proof - first.value) / first.u,
        (built.true - stated.value) / stated.u,
        (built.first_proof - built.asked) / INCH,
        (built.true - built.asked) / INCH,
        tuple((e.read - e.expected.value) / e.expected.u for e in built.expectations),
    )
