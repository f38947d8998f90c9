"""Memory is given back where the machine's library can, and nothing breaks where it cannot."""

from __future__ import annotations

import ctypes
import importlib
from pathlib import Path

import pytest

from assistant.adapters.ears import memory


def resident() -> int:
    return int(Path("/proc/self/statm").read_text("ascii").split()[1])


def test_what_was_freed_is_given_back():
    libc = ctypes.CDLL(None)
    libc.malloc.restype = ctypes.c_void_p
    blocks = [ctypes.c_void_p(libc.malloc(8192)) for _ in range(8000)]
    for block in blocks:
        ctypes.memset(block, 1, 8192)
    for block in blocks[:-1]:
        libc.free(block)
    held = resident()
    memory.give_back()
    # the block at the end of the heap is held, so that only a trim gives back the rest
    assert resident() < held - 8000
    libc.free(blocks[-1])


def test_another_library_is_left_alone(monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(ctypes, "CDLL", lambda _: object())
    fresh = importlib.reload(memory)
    fresh.give_back()
    monkeypatch.undo()
    importlib.reload(memory)
