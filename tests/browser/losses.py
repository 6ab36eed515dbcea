"""Trials of loss: the server is killed while counts and readings are on their way."""

from __future__ import annotations

import json
import random
import threading
import time
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

    def run(self) -> None:
        """Send every event in its order."""
        for event in self.events:
            while not self._sent(event):
                time.sleep(0.05)

    def _sent(self, event: dict[str, object]) -> bool:
        data = json.dumps({"events": [event]}).encode()
        address = f"{self.bench.url}/api/builds/{self.build}/events"
        request = urllib.request.Request(address, data, {"Content-Type": "application/json"})
        try:
            with urllib.request.urlopen(request, timeout=20) as answer:
                told = json.load(answer)["acknowledged"]
        except (OSError, ValueError):
            return False
        self.acknowledged += [row["id"] for row in told]
        return True


def acts(dice: random.Random) -> list[dict[str, object]]:
    """Give counts and readings of one build, with identities of their own."""

    def event(kind: str, **body: object) -> dict[str, object]:
        id = UUID(int=dice.getrandbits(128)).hex
        at = "2026-03-02T09:00:00Z"
        return {"id": id, "type": kind, "version": 1, "at": at, "by": "trial", "body": body}

    rounds = [event("rounds-laid", run=i // 6, halves=2) for i in range(12)]
    return [
        *rounds,
        event("mass-read", run=0, lost="45 gr"),
        event("length-read", stage="bare", length="57 19/32 in"),
        event("diameter-read", of="bare", diameter="0.107 in"),
        event("turned", turns=14.0),
        event("noted", text="strap slipped once"),
    ]


def killed_server_trial(bench: BenchServer, seed: int, kills: int) -> None:
    """Kill the server at random moments while events go over; then look into its store."""
    dice = random.Random(seed)
    build = posts_set(bench)
    sender = Sender(bench, build, acts(dice))
    thread = threading.Thread(target=sender.run)
    thread.start()
    for _ in range(kills):
        time.sleep(dice.uniform(0.0, 0.5))
        bench.kill()
        # What was acknowledged before the kill is there whatever comes.
        told = list(sender.acknowledged)
        bench.start()
        kept = [str(event["id"]) for event in bench.events(build)]
        assert set(told) <= set(kept), f"seed {seed}: acknowledged and lost"
    thread.join(120)
    assert not thread.is_alive()
    kept = [str(event["id"]) for event in bench.events(build)]
    assert len(kept) == len(set(kept)), f"seed {seed}: doubled"
    sent = [str(event["id"]) for event in sender.events]
    assert sent == [id for id in kept if id in set(sent)], f"seed {seed}: lost or out of order"
    assert 24 == bench.halves(build)
