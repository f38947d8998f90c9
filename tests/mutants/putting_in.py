"""Puts one changed statement of a module into the living program: no module is imported again.

Functions and classes stay the objects that others hold, and get the new code, defaults and values;
a constant is bound anew wherever its name was imported, and what is made of it there is made again:
constants, defaults, fields of classes.  What else was made of it at import stays: such a mutant may
survive that a new start would have killed.
"""

from __future__ import annotations

import ast
import inspect
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
    before = dict(vars(module))
    aside = dict(before)
    exec(code, aside)  # noqa: S102 - our own code, with one change
    # beside what was there before: a move makes others again, which must not be moved back
    for name, new in aside.items():
        old = before.get(name)
        if name != "__builtins__" and old is not new:
            _move(name, old, new)


def _move(name: str, old: Any, new: Any) -> None:  # noqa: ANN401 - whatever a module defines
    if isinstance(new, type) and isinstance(old, type):
        _move_class(old, new)
    elif not _move_function(old, new):
        _bind(name, old, new)


def _bind(name: str, old: Any, new: Any) -> None:  # noqa: ANN401 - whatever a module defines
    """The constant in each module that has it, and all constants that were made of it."""
    for where, module in list(sys.modules.items()):
        if where.startswith(WHERE) and vars(module).get(name) is old:
            setattr(module, name, new)
            if where.startswith("assistant."):
                _make_again(module, name)


def _make_again(module: ModuleType, name: str) -> None:
    """Work out anew what reads this name when the module is imported."""
    for statement in ast.parse(inspect.getsource(module)).body:
        made = _made_of(statement, name)
        if made and vars(module).get(made) is not None:
            aside = dict(vars(module))
            code = compile(ast.Module([statement], []), module.__file__ or "", "exec")
            exec(code, aside)  # noqa: S102 - our own code
            _move(made, vars(module)[made], aside[made])


def _made_of(statement: ast.stmt, name: str) -> str | None:
    """What a statement defines, where that takes this other name's value at import, or None."""
    made, values = _worked_out(statement)
    reads = {node.id for value in values for node in ast.walk(value) if isinstance(node, ast.Name)}
    return made if name in reads and made != name else None


def _worked_out(statement: ast.stmt) -> tuple[str, list[ast.expr]]:
    """A constant and its value, a function and its defaults, a class and those of its fields."""
    match statement:
        case ast.Assign([ast.Name(made)], value) | ast.AnnAssign(ast.Name(made), _, value) if value:
            return made, [value]
        case ast.FunctionDef(made, given):
            return made, [*given.defaults, *filter(None, given.kw_defaults)]
        case ast.ClassDef(made):
            return made, [value for one in statement.body for value in _worked_out(one)[1]]
    return "", []


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
