"""Any sequence of acts leaves a database as it leaves the store in memory."""

from __future__ import annotations

import tempfile
from pathlib import Path

import pytest
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, rule
from hypothesis.stateful import run_state_machine_as_test as run_machine
from kept_things import a_head, a_note, a_plan, digits

from strandwright.errors import StrandwrightError
from strandwright.store.memory import MemoryStore
from strandwright.store.open import open_store

ids = st.sampled_from(["a", "B", "a.1"])
kinds = st.sampled_from(["job", "bench"])
names = st.sampled_from(["one", "two"])
moments = st.sampled_from(["2026-11-25T13:00:00.000Z", "2026-11-25T14:00:00.000Z"])
notes = st.lists(st.tuples(st.sampled_from("uvwxyz"), st.sampled_from(["", "other"])), max_size=4)


class Both(RuleBasedStateMachine):
    """Does every act on two stores and compares what they say and hold."""

    place = ""

    def __init__(self) -> None:
        super().__init__()
        self.model = MemoryStore()
        self.folder = tempfile.TemporaryDirectory()

    @initialize()
    def start(self) -> None:
        """Open a new database."""
        made = self.new_place(Path(self.folder.name))
        self.store = open_store(made)
        self.opened = made

    @staticmethod
    def new_place(folder: Path) -> str:
        """Give a new place for a store."""
        return str(folder / "store.sqlite3")

    def both(self, act):
        """Do an act on each; the same answer or the same refusal."""
        said = []
        for store in (self.model, self.store):
            try:
                said.append(act(store))
            except StrandwrightError as error:
                said.append((type(error), str(error)))
        assert said[0] == said[1]

    @rule(
        kind=kinds,
        id=ids,
        n=st.integers(0, 2),
        at=moments,
        expected=st.integers(0, 4),
        away=st.booleans(),
    )
    def save(self, kind, id, n, at, expected, away):
        """Save a document."""
        self.both(
            lambda s: s.save(kind, id, {"n": n}, at=at, expected=expected, put_away=away)
        )

    @rule(id=ids, job=ids, at=moments)
    def keep_plan(self, id, job, at):
        """Keep a plan."""
        self.both(lambda s: s.keep_plan(a_plan(id, job, at)))

    @rule(name=names, plan=ids, job=ids)
    def begin(self, name, plan, job):
        """Begin a build."""
        self.both(lambda s: s.begin(a_head(name, plan, job)))

    @rule(name=names, written=notes)
    def append(self, name, written):
        """Append events, some of them known, some of them changed."""
        batch = [a_note(note, text) for note, text in written]
        self.both(lambda s: s.append(digits(name), batch))

    @rule(kind=kinds, id=ids, revision=st.none() | st.integers(0, 3))
    def look(self, kind, id, revision):
        """Read what may be there."""
        self.both(lambda s: s.document(kind, id, revision))
        self.both(lambda s: s.revisions(kind, id))
        self.both(lambda s: s.documents(kind))
        self.both(lambda s: s.plan(id))

    @rule(name=names, after=st.integers(-1, 5), job=st.none() | ids)
    def look_at_builds(self, name, after, job):
        """Read builds and logs."""
        self.both(lambda s: s.build(digits(name)))
        self.both(lambda s: s.events(digits(name), after))
        self.both(lambda s: s.builds(job))
        self.both(lambda s: s.plans(job))

    @rule()
    def reopen(self):
        """Close the database and open it again."""
        self.store.close()
        self.store = open_store(self.opened)

    @rule()
    def move(self):
        """Carry everything into a new store in memory."""
        moved = MemoryStore()
        moved.take_in(self.store.contents())
        assert list(self.model.contents()) == list(moved.contents())

    @invariant()
    def same(self):
        """The same contents and the same mark."""
        if hasattr(self, "store"):
            assert list(self.model.contents()) == list(self.store.contents())
            assert self.model.mark() == self.store.mark()

    def teardown(self) -> None:
        """Close and clean up."""
        if hasattr(self, "store"):
            self.store.close()
        self.folder.cleanup()


@pytest.mark.parametrize("kind", ["sqlite", "postgresql"])
def test_any_acts_leave_the_same_as_in_memory(kind, request):
    """Twenty sequences of up to thirty acts each, compared after every act."""
    machine = Both
    if kind == "postgresql":
        server = request.getfixturevalue("server")

        class OnServer(Both):
            @staticmethod
            def new_place(folder: Path) -> str:
                """Give a new database."""
                del folder
                return server.database()

        machine = OnServer
    run_machine(machine, settings=settings(max_examples=20, stateful_step_count=30))
