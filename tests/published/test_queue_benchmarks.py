"""The queue against scheduling problems whose optima are published.

@incollection{fisher1963,
  author = {H. Fisher and G. L. Thompson},
  title = {Probabilistic learning combinations of local job-shop scheduling rules},
  booktitle = {Industrial Scheduling},
  publisher = {Prentice Hall},
  year = {1963},
  pages = {225--251},
  note = {the 6 x 6 instance, known since as ft06; least makespan 55}
}

@book{pinedo2016,
  author = {M. L. Pinedo},
  title = {Scheduling: Theory, Algorithms, and Systems},
  publisher = {Springer},
  edition = {5},
  year = {2016},
  note = {section 3.4, example on total tardiness: five jobs, optimum 370, from memory}
}

@article{smith1956,
  author = {W. E. Smith},
  title = {Various optimizers for single-stage production},
  journal = {Naval Research Logistics Quarterly},
  volume = {3},
  year = {1956},
  pages = {59--66},
  note = {one machine: the sum of completion times is least in order of processing time}
}

The data of ft06 and of the total tardiness example are from memory; that a proved optimum comes out
as it is printed speaks for both.
"""

from __future__ import annotations

from queue_loads import ALWAYS, judged, task
from strandwright.planning.queue.nouns import Load, QueueBench, Task, Work
from strandwright.planning.queue.solve import solve

#: Machine and time of each operation of ft06, job by job
FT06 = (
    ((2, 1), (0, 3), (1, 6), (3, 7), (5, 3), (4, 6)),
    ((1, 8), (2, 5), (4, 10), (5, 10), (0, 10), (3, 4)),
    ((2, 5), (3, 4), (5, 8), (0, 9), (1, 1), (4, 7)),
    ((1, 5), (0, 5), (2, 5), (3, 3), (4, 8), (5, 9)),
    ((2, 9), (1, 3), (4, 5), (5, 4), (0, 3), (3, 1)),
    ((1, 3), (3, 3), (5, 9), (0, 10), (4, 4), (2, 1)),
)


def test_the_six_by_six_job_shop_takes_55():
    """Machines as benches that hold without hands; a last task after all that is due at once."""
    works = [
        Work(
            f"job {j}",
            "",
            tuple(
                Task(f"job {j}", f"op {n}", stands=time, kinds=(f"machine {machine}",))
                for n, (machine, time) in enumerate(row)
            ),
        )
        for j, row in enumerate(FT06)
    ]
    ends = tuple((work.job, work.tasks[-1].step) for work in works)
    works.append(Work("all", "", (Task("all", "done", after=ends),), due=1))
    benches = tuple(QueueBench(f"machine {m}", f"machine {m}") for m in range(6))
    load = Load(ALWAYS, benches, ("nobody",), tuple(works), now=1)
    found = solve(load)
    assert found.is_least_late
    # Everything begins with minute 1, and the last task is due then.
    assert found.lateness == 55


def test_five_jobs_on_one_machine_are_370_late_in_all():
    """The worked example of total tardiness on one machine: 121, 79, 147, 83, 130."""
    rows = ((121, 260), (79, 266), (147, 266), (83, 336), (130, 337))
    works = tuple(
        Work(f"job {n}", "", (task(f"job {n}", "only", p),), due=d)
        for n, (p, d) in enumerate(rows, 1)
    )
    load = Load(ALWAYS, (), ("Ann",), works)
    found = solve(load)
    judged(load, found)
    assert found.is_least_late
    assert found.lateness == 370


def test_without_due_dates_one_pair_of_hands_takes_the_shortest_first():
    """Smith's rule: 5, 3, 8, 2 are done at 2, 5, 10, 18, together 35."""
    works = tuple(Work(f"{p}", "", (task(f"{p}", "only", p),)) for p in (5, 3, 8, 2))
    found = solve(Load(ALWAYS, (), ("Ann",), works))
    assert found.is_best
    assert found.flow == 35
    assert [p.task.job for p in found.placed] == ["2", "3", "5", "8"]
