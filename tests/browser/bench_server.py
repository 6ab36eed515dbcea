"""A real server on a free port with a store of its own, which can be killed and started again."""

from __future__ import annotations

import json
import os
import signal
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any
from uuid import uuid4

from server_nursery import Server, nursery

#: A process and its first plan may take this long on a busy machine [s]
PATIENCE = 40.0


def free_port() -> int:
    """Give a port nobody listens on; the server keeps it over its restarts."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


@dataclass
class BenchServer:
    """The program as a shop runs it."""

    store: Path
    port: int = field(default_factory=free_port)
    process: subprocess.Popen[bytes] | Server | None = None
    #: Jobs kept so far, by what was sent for them.
    jobs: dict[str, str] = field(default_factory=dict[str, str])

    @property
    def url(self) -> str:
        """Where it answers."""
        return f"http://127.0.0.1:{self.port}"

    def start(self, *, from_nothing: bool = False) -> None:
        """Start it and wait until it answers.

        Parameters
        ----------
        from_nothing : bool
            Whether a Python of its own is started, as in a shop. Otherwise it is split off a
            process that has loaded the program, where this system can split processes.
        """
        arguments = ["open", "--store", str(self.store), "--no-browser", "--port", str(self.port)]
        log = self.store.with_suffix(".log")
        if from_nothing or not hasattr(os, "fork"):
            command = [sys.executable, "-m", "strandwright", *arguments]
            with log.open("ab") as said:
                self.process = subprocess.Popen(command, stdout=said, stderr=said)
        else:
            self.process = nursery().start(arguments, log)
        until = time.monotonic() + PATIENCE
        while time.monotonic() < until:
            if self.process.poll() is not None:
                break
            try:
                self.get("/api/hello")
                return
            except (OSError, urllib.error.URLError):
                time.sleep(0.05)
        raise AssertionError(f"the server did not start: {self.said()}")

    def said(self) -> str:
        """Give the end of what it printed."""
        return self.store.with_suffix(".log").read_text(errors="replace")[-2000:]

    def kill(self) -> None:
        """Kill it as a crash would: no goodbye, no flush."""
        assert self.process is not None
        self.process.send_signal(signal.SIGKILL)
        self.process.wait()

    def stop(self) -> None:
        """End it, if it still runs."""
        if self.process is not None and self.process.poll() is None:
            self.process.terminate()
            try:
                self.process.wait(10)
            except subprocess.TimeoutExpired:
                self.kill()

    def get(self, path: str) -> Any:
        """Read an answer."""
        return self._ask(urllib.request.Request(self.url + path))

    def post(self, path: str, body: Any) -> Any:
        """Send something and read the answer."""
        data, headers = json.dumps(body).encode(), {"Content-Type": "application/json"}
        return self._ask(urllib.request.Request(self.url + path, data, headers))

    def _ask(self, request: urllib.request.Request) -> Any:
        try:
            with urllib.request.urlopen(request, timeout=PATIENCE) as answer:
                return json.load(answer)
        except urllib.error.HTTPError as refused:
            raise AssertionError(f"refused: {refused.read().decode()}") from refused

    def begin(self, job: dict[str, Any]) -> str:
        """Keep a job, unless it is kept, and begin to build it; gives the build."""
        sent, build = json.dumps(job), uuid4().hex
        if sent not in self.jobs:
            self.jobs[sent] = self.post("/api/jobs", job)["id"]
        start = {"build": build, "event": uuid4().hex, "at": "2026-11-25T13:00:00Z", "by": "test"}
        self.post(f"/api/jobs/{self.jobs[sent]}/builds", start)
        return build

    def record(self, build: str, kind: str, **body: Any) -> Any:
        """Record an act as another bench would; gives the advice."""
        event = {"id": uuid4().hex, "type": kind, "version": 1, "by": "test", "body": body}
        event["at"] = time.strftime("%Y-%m-%dT%H:%M:%SZ", time.gmtime())
        return self.post(f"/api/builds/{build}/events", {"events": [event]})["advice"]

    def record_long_ago(self, build: str, kind: str, **body: Any) -> Any:
        """Record an act of yesterday, so that its rest is over; gives the advice."""
        event = {"id": uuid4().hex, "type": kind, "version": 1, "by": "test", "body": body}
        event["at"] = time.strftime("%Y-%m-%dT%H:%M:%SZ", time.gmtime(time.time() - 86400.0))
        return self.post(f"/api/builds/{build}/events", {"events": [event]})["advice"]

    def events(self, build: str, kind: str = "") -> list[dict[str, Any]]:
        """Give the build's log, or its events of one type."""
        log = self.get(f"/api/builds/{build}/log.json")
        stored = log["events"] if isinstance(log, dict) else log
        events = [e.get("event", e) for e in stored]
        return [e for e in events if not kind or e["type"] == kind]

    def halves(self, build: str) -> int:
        """Give the half rounds that are stored and count."""
        runs = self.get(f"/api/builds/{build}")["winding"]["runs"]
        return sum(run["laid"] for run in runs)
