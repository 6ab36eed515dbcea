"""Machine code is made once, beside the app, and used from the next start on."""

from __future__ import annotations

import subprocess
from collections.abc import Callable
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest

from strandwright.bow import machine
from strandwright.planning import machine_code


@pytest.fixture
def place(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Keep it under a folder of the test; note what is started and switched on."""
    monkeypatch.delenv(machine_code.VARIABLE)
    monkeypatch.setattr(machine_code, "user_cache_path", lambda *_, **__: tmp_path)
    return tmp_path


@pytest.fixture
def acts(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Note what is started and switched on, and do neither."""
    done: list[str] = []

    def start(command: list[str], **_: Any) -> None:
        done.append(command[-1])

    def switch_on() -> bool:
        done.append("on")
        return True

    monkeypatch.setattr(subprocess, "Popen", start)
    monkeypatch.setattr(machine, "switch_on", switch_on)
    monkeypatch.setattr(machine, "make", lambda: done.append("made") or "here")
    monkeypatch.delenv("NUMBA_CACHE_DIR", raising=False)
    return done


def test_the_first_start_has_it_made_and_the_next_uses_it(
    place: Path, acts: list[str], need_library: Callable[[str], ModuleType]
) -> None:
    """A process of its own makes it; what it leaves tells the next start."""
    need_library("numba")
    assert not machine_code.use()
    assert len(acts) == 1
    assert "make()" in acts[0]
    assert machine_code.make()
    assert machine_code.folder().parent == place
    assert machine_code.use()
    assert acts[1:] == ["made", "on"]


def test_another_installation_makes_its_own(
    place: Path, monkeypatch: pytest.MonkeyPatch, need_library: Callable[[str], ModuleType]
) -> None:
    """Code of another version of Numba is not taken for this one's."""
    need_library("numba")
    here = machine_code.folder()
    monkeypatch.setattr(machine_code, "version", lambda _: "0.0")
    assert machine_code.folder() != here
    assert machine_code.folder().parent == place


def test_it_can_be_left_alone(
    place: Path, acts: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """By the variable, and where Numba is not installed."""
    monkeypatch.setenv(machine_code.VARIABLE, "off")
    assert not machine_code.use()
    monkeypatch.delenv(machine_code.VARIABLE)
    monkeypatch.setattr(machine, "can_be_made", lambda: False)
    assert not machine_code.use()
    assert not machine_code.make()
    assert acts == []
    assert list(place.iterdir()) == []


def test_no_room_to_start_another_process_is_no_fault(
    place: Path, monkeypatch: pytest.MonkeyPatch, need_library: Callable[[str], ModuleType]
) -> None:
    """The app opens all the same."""
    need_library("numba")

    def refuse(*_: Any, **__: Any) -> None:
        raise OSError("no more processes")

    monkeypatch.setattr(subprocess, "Popen", refuse)
    assert not machine_code.use()
    assert list(place.iterdir()) == []
