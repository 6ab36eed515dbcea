"""Trials of loss: a server without a screen before it is killed while acts are on their way."""

from __future__ import annotations

import http.client
import json
import random
import threading
import time
import urllib.error
import urllib.request
from dataclasses import dataclass, field
from uuid import UUID

from at_the_jig import posts_set
from bench_server import BenchServer


@dataclass
class Sender:
    """A bench without a screen that keeps to the outbox's rule: the same event until it is told."""

    bench: BenchServer
    build: str
    events: list[dict[str, object]]
    acknowledged: list[str] = field(default_factory=list[str])
    #: Whether an act is with the server at this moment.
    under_way: bool = False
    #: Acts that were sent and cut off before their answer.
    cut_off: int = 0

    def run(self) -> None:
        """Send every event in its order."""
        for event in self.events:
            while not self._sent(event):
                time.sleep(0.05)

    def _sent(self, event: dict[str, object]) -> bool:
        data = json.dumps({"events": [event]}).encode()
        address = f"{self.bench.url}/api/builds/{self.build}/events"
        request = urllib.request.Request(address, data, {"Content-Type": "application/json"})
        self.under_way = True
        try:
            with urllib.request.urlopen(request, timeout=20) as answer:
                told = json.load(answer)["acknowledged"]
        except urllib.error.HTTPError as refused:
            raise AssertionError(f"refused: {refused.read().decode()}") from refused
        except (OSError, ValueError, http.client.HTTPException) as error:
            # Nobody there is no act cut off: it was never with the server.
            if not isinstance(getattr(error, "reason", None), ConnectionRefusedError):
                self.cut_off += 1
            return False
        finally:
            self.under_way = False
        self.acknowledged += [row["id"] for row in told]
        return True


def acts(dice: random.Random) -> list[dict[str, object]]:
    """Give counts and readings of one build, with identities of their own."""

    def event(kind: str, **body: object) -> dict[str, object]:
        id = UUID(int=dice.getrandbits(128)).hex
        at = "2026-03-02T09:00:00Z"
        return {"id": id, "type": kind, "version": 1, "at": at, "by": "trial", "body": body}

    rounds = [event("rounds-laid", run=i // 6, halves=2) for i in range(12)]
    lengths = [
        event("length-read", stage="bare", length=length)
        for length in ("57 19/32 in", "57 39/64 in", "57 37/64 in")
    ]
    return [
        *rounds[:5],
        lengths[0],
        *rounds[5:],
        event("mass-read", run=0, lost="45 gr"),
        lengths[1],
        event("diameter-read", of="bare", diameter="0.107 in"),
        lengths[2],
        event("turned", turns=14.0),
        event("noted", text="strap slipped once"),
    ]


def killed_server_trial(bench: BenchServer, seed: int, kills: int) -> int:
    """Kill the server at random moments while an act is with it; then look into its store.

    Parameters
    ----------
    bench : BenchServer
        The server, running; it runs again afterwards.
    seed : int
        Of the moments and the identities [-]
    kills : int
        How often it is killed [-]

    Returns
    -------
    int
        How many kills cut off an act that was sent and not acknowledged [-]
    """
    dice = random.Random(seed)
    build = posts_set(bench)
    sender = Sender(bench, build, acts(dice))
    thread = threading.Thread(target=sender.run)
    thread.start()
    # A kill for each stretch of the acts, so that some are always still to be sent.
    for stretch in range(kills):
        least = stretch * len(sender.events) // kills
        told = _killed_under_way(bench, sender, dice, dice.randrange(least, least + 3))
        bench.start()
        kept = [str(event["id"]) for event in bench.events(build)]
        # What was acknowledged before the kill is there whatever comes.
        assert set(told) <= set(kept), f"seed {seed}: acknowledged and lost"
    thread.join(120)
    assert not thread.is_alive()
    kept = [str(event["id"]) for event in bench.events(build)]
    assert len(kept) == len(set(kept)), f"seed {seed}: doubled"
    sent = [str(event["id"]) for event in sender.events]
    assert sent == [id for id in kept if id in set(sent)], f"seed {seed}: lost or out of order"
    assert 24 == bench.halves(build)
    return sender.cut_off


def _killed_under_way(
    bench: BenchServer, sender: Sender, dice: random.Random, after: int
) -> list[str]:
    """Kill the server while an act is with it; gives what was acknowledged until then."""
    until = time.monotonic() + 60.0
    while len(sender.acknowledged) < after or not sender.under_way:
        assert time.monotonic() < until, "no act was sent"
        time.sleep(0.001)
    time.sleep(dice.uniform(0.0, 0.03))
    assert len(sender.acknowledged) < len(sender.events), "nothing was left to lose"
    told = list(sender.acknowledged)
    bench.kill()
    return told
