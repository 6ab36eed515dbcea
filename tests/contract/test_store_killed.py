"""What was acknowledged stays, whenever the program is killed."""

from __future__ import annotations

import os
import random
import signal
import time

import pytest
from kept_things import a_note, begun, text_of
from processes import start_writer

from strandwright.store.open import open_store

TRIALS = 10


@pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="no process can be killed outright here")
def test_every_acknowledged_event_outlasts_a_kill(lasting_place):
    """Killed at random moments: each acknowledged event is there once, each batch whole."""
    moments = random.Random(7352)
    store = open_store(lasting_place)
    build = begun(store)
    acknowledged: set[str] = set()
    for trial in range(TRIALS):
        writer = start_writer(lasting_place, build, f"trial {trial}", "100000", "pairs")
        assert writer.stdout is not None
        assert "ready\n" == writer.stdout.readline()
        time.sleep(moments.uniform(0.0, 0.25))
        os.kill(writer.pid, signal.SIGKILL)
        # The last line may be cut off: then nobody read that acknowledgement.
        said = [line for line in writer.stdout if line.endswith("\n")]
        assert -signal.SIGKILL == writer.wait(timeout=30)
        writer.stdout.close()
        acknowledged |= {f"trial {trial} {line.strip()}" for line in said}
        log = store.events(build)
        texts = [text_of(s.event) for s in log]
        assert len(set(texts)) == len(texts)
        assert acknowledged <= set(texts)
        assert list(range(1, len(log) + 1)) == [s.seq for s in log]
        firsts = {t for t in texts if not t.endswith(", second")}
        assert {f"{t}, second" for t in firsts} == set(texts) - firsts
    assert TRIALS < len(acknowledged), "the kills came before anything was written"
    # The bench starts again and sends what it had not heard of: nothing doubles.
    last = [a_note(text) for text in sorted(acknowledged)]
    before = len(store.events(build))
    store.append(build, last)
    assert before == len(store.events(build))
    store.close()
