"""Puts one changed statement of a module into the living program: no module is imported again.

Functions and classes stay the objects that others hold, and get the new code, defaults and values;
a constant is bound anew wherever its name was imported.  What was worked out from a constant at
import stays: such a mutant may survive that a new start would have killed.
"""

from __future__ import annotations

import sys
from enum import Enum
from importlib import import_module
from pathlib import Path
from types import CodeType, FunctionType, ModuleType
from typing import Any

WHERE = ("assistant.", "tests.")


def module_of(source: str) -> ModuleType:
    """The module of a source file."""
    return import_module(".".join(Path(source).with_suffix("").parts))


def put_in(module: ModuleType, code: CodeType) -> None:
    """Run the statement aside, and move what it defines into the module."""
    aside = dict(vars(module))
    exec(code, aside)  # noqa: S102 - our own code, with one change
    for name, new in aside.items():
        old = vars(module).get(name)
        if name != "__builtins__" and old is not new:
            _move(name, old, new)


def _move(name: str, old: Any, new: Any) -> None:  # noqa: ANN401 - whatever a module defines
    if isinstance(new, type) and isinstance(old, type):
        _move_class(old, new)
    elif not _move_function(old, new):
        for where, module in list(sys.modules.items()):
            if where.startswith(WHERE) and vars(module).get(name) is old:
                setattr(module, name, new)


def _move_function(old: Any, new: Any) -> bool:  # noqa: ANN401 - whatever a module defines
    """Move code and defaults, through whatever wraps them; False for what is no function."""
    inside = ("__wrapped__", "__func__", "fget", "func")
    pairs = [(getattr(old, one, None), getattr(new, one, None)) for one in inside]
    for mine, other in [(old, new), *pairs]:
        if isinstance(mine, FunctionType) and isinstance(other, FunctionType):
            mine.__code__ = other.__code__
            mine.__defaults__ = other.__defaults__
            mine.__kwdefaults__ = other.__kwdefaults__
            return True
    return False


def _move_class(old: type, new: type) -> None:
    for name, value in vars(new).items():
        mine = vars(old).get(name)
        if isinstance(mine, Enum):
            mine._value_ = value._value_
        elif not _move_function(mine, value) and _is_plain(name, value):
            setattr(old, name, value)


def _is_plain(name: str, value: object) -> bool:
    return not name.startswith("_") and isinstance(value, str | int | float | tuple | frozenset)
