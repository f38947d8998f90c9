"""Runs a program that dies if it ever opens an internet socket.

    python no_internet.py PROGRAM ARGUMENT ...

A filter in the kernel (seccomp) ends the process on `socket(AF_INET…)`, `socket(AF_INET6…)` and on
`io_uring_setup`, the other way to a socket.  It needs no privilege, unlike a network namespace, and
it is sharper: there, an attempt merely fails and may be swallowed; here it cannot go unseen.
Children inherit it.

Source: linux/filter.h, linux/seccomp.h, linux/audit.h; system call numbers from the kernel's
tables for x86-64 (socket 41, io_uring_setup 425) and arm64 (198, 425).
"""

from __future__ import annotations

import ctypes
import os
import platform
import socket
import sys

PR_SET_NO_NEW_PRIVS = 38
PR_SET_SECCOMP = 22
SECCOMP_MODE_FILTER = 2

LOAD_WORD, JUMP_IF_EQUAL, RETURN = 0x20, 0x15, 0x06
ALLOW, KILL_PROCESS = 0x7FFF0000, 0x80000000

AT_NUMBER, AT_ARCHITECTURE, AT_FIRST_ARGUMENT = 0, 4, 16

MACHINES = {"x86_64": (0xC000003E, 41), "aarch64": (0xC00000B7, 198)}
IO_URING_SETUP = 425


class _Step(ctypes.Structure):
    _fields_ = (
        ("code", ctypes.c_uint16),
        ("if_true", ctypes.c_uint8),
        ("if_false", ctypes.c_uint8),
        ("value", ctypes.c_uint32),
    )


class _Program(ctypes.Structure):
    _fields_ = (("length", ctypes.c_ushort), ("steps", ctypes.POINTER(_Step)))


def _filter() -> list[tuple[int, int, int, int]]:
    architecture, socket_call = MACHINES[platform.machine()]
    return [
        (LOAD_WORD, 0, 0, AT_ARCHITECTURE),
        (JUMP_IF_EQUAL, 0, 7, architecture),  # another architecture's calls: end the process
        (LOAD_WORD, 0, 0, AT_NUMBER),
        (JUMP_IF_EQUAL, 5, 0, IO_URING_SETUP),
        (JUMP_IF_EQUAL, 0, 3, socket_call),
        (LOAD_WORD, 0, 0, AT_FIRST_ARGUMENT),
        (JUMP_IF_EQUAL, 2, 0, socket.AF_INET),
        (JUMP_IF_EQUAL, 1, 0, socket.AF_INET6),
        (RETURN, 0, 0, ALLOW),
        (RETURN, 0, 0, KILL_PROCESS),
    ]


def _install() -> None:
    steps = [_Step(*step) for step in _filter()]
    program = _Program(len(steps), (_Step * len(steps))(*steps))
    libc = ctypes.CDLL(None, use_errno=True)
    for order in (
        (PR_SET_NO_NEW_PRIVS, 1, 0, 0, 0),
        (PR_SET_SECCOMP, SECCOMP_MODE_FILTER, ctypes.byref(program), 0, 0),
    ):
        if libc.prctl(*order) != 0:
            number = ctypes.get_errno()
            raise OSError(number, os.strerror(number))


if __name__ == "__main__":
    _install()
    os.execv(sys.argv[1], sys.argv[1:])  # noqa: S606  # a plain exec keeps the filter, no shell
