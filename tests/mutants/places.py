"""Every place of a module that can be changed, and the module compiled with one of them changed."""

from __future__ import annotations

import ast
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from types import CodeType

from tests.mutants.changes import DECIMALS, changed, turned_round

ROOT = Path(__file__).parents[2]
LEFT_ALONE = {"annotation", "returns", "decorator_list", "type_comment", "ctx"}


@dataclass(frozen=True, slots=True)
class Mutant:
    """One module with one change: where, what stood there, what stands there now."""

    module: str
    scope: str
    line: int
    lines: range
    defines: tuple[str, ...]
    before: str
    after: str
    place: Place
    ordinal: int = 1

    @property
    def name(self) -> str:
        """What a list of equivalents calls it; it outlives moved lines."""
        again = f" #{self.ordinal}" if self.ordinal > 1 else ""
        return f"{self.module} {self.scope or 'module'}: {self.before} -> {self.after}{again}"

    def compiled(self, tree: ast.Module) -> CodeType:
        """The statement of the module that has the change; the tree is as before afterwards."""
        statement = next(one for one in tree.body if self.line <= (one.end_lineno or 0))
        future = [one for one in tree.body if getattr(one, "module", "") == "__future__"]
        self.place.put(self.place.new)
        try:
            changed = ast.Module([*future, statement], [])
            return compile(changed, str(ROOT / self.module), "exec", dont_inherit=True)
        finally:
            self.place.put(self.place.old)


@dataclass(frozen=True, slots=True)
class Place:
    """A field of a node in a module's tree, what it held and what it shall hold."""

    parent: ast.AST
    field: str
    index: int | None
    old: ast.AST
    new: ast.AST

    def put(self, node: ast.AST) -> None:
        """Set the field."""
        if self.index is None:
            setattr(self.parent, self.field, node)
        else:
            getattr(self.parent, self.field)[self.index] = node

    def texts(self) -> tuple[str, str]:
        """The smallest expression around the change, before and after it."""
        around = isinstance(self.parent, ast.expr | ast.keyword)
        if around and not isinstance(self.parent, ast.JoinedStr | ast.FormattedValue):
            before = _one_line(self.parent)
            self.put(self.new)
            after = _one_line(self.parent)
            self.put(self.old)
            return before, after
        return _one_line(self.old), _one_line(self.new)


@dataclass(frozen=True, slots=True)
class _Scope:
    """Where the walk stands: the outermost function, the lines, what is defined, if words count."""

    names: tuple[str, ...] = ()
    function: str = ""
    lines: range = range(0)
    defines: tuple[str, ...] = ()
    words: bool = True


def mutants_of(module: str, tree: ast.Module) -> list[Mutant]:
    """Every mutant of a module, in the order of its text; places share the tree given."""
    found = []
    seen: Counter[str] = Counter()
    for place, scope in _places(tree, _Scope()):
        ast.copy_location(place.new, place.old)
        ast.fix_missing_locations(place.new)
        line = getattr(place.old, "lineno", scope.lines.start)
        at = (module, scope.function, line, scope.lines, scope.defines)
        mutant = Mutant(*at, *place.texts(), place)
        seen[mutant.name] += 1
        found.append(replace(mutant, ordinal=seen[mutant.name]))
    return found


def _places(node: ast.AST, scope: _Scope) -> Iterator[tuple[Place, _Scope]]:
    for field, index, child in _children(node):
        if _names_nothing(node, field, child):
            continue
        inner = _inside(child, scope)
        if isinstance(node, _FUNCTION) and field == "args" and _outermost(scope):
            inner = replace(inner, function="")  # its defaults are worked out when it is imported
        for new in _alternatives(field, child, scope):
            yield Place(node, field, index, child, new), inner
        yield from _places(child, inner)


_FUNCTION = (ast.FunctionDef, ast.AsyncFunctionDef)
_NAMED = (*_FUNCTION, ast.ClassDef)


def _outermost(scope: _Scope) -> bool:
    return scope.function == ".".join(scope.names)


def _children(node: ast.AST) -> Iterator[tuple[str, int | None, ast.AST]]:
    for field, value in ast.iter_fields(node):
        if field in LEFT_ALONE:
            continue
        if isinstance(value, ast.AST):
            yield field, None, value
        elif isinstance(value, list):
            yield from ((field, i, one) for i, one in enumerate(value) if isinstance(one, ast.AST))


def _names_nothing(node: ast.AST, field: str, child: ast.AST) -> bool:
    """Imports, docstrings, the wording of f-strings, the words of an enumeration, `strict=`."""
    if isinstance(child, ast.Import | ast.ImportFrom):
        return True
    if isinstance(node, ast.keyword) and node.arg == "strict":
        return True
    if isinstance(child, ast.Assign) and ast.unparse(child.targets[0]) == "__all__":
        return True
    if isinstance(node, ast.ClassDef) and isinstance(child, ast.Assign):
        return any(ast.unparse(one).endswith("Enum") for one in node.bases)
    if isinstance(node, ast.Expr) and isinstance(child, ast.Constant):
        return True
    if isinstance(node, ast.JoinedStr | ast.FormattedValue) and field != "value":
        return isinstance(child, ast.Constant | ast.JoinedStr)
    if isinstance(node, ast.Call) and isinstance(node.func, ast.Name):
        digits = isinstance(child, ast.Constant) and isinstance(child.value, str)
        return (digits and node.func.id in DECIMALS) or (
            node.func.id == "cast" and child is node.args[0]
        )
    return False


def _alternatives(field: str, child: ast.AST, scope: _Scope) -> Iterator[ast.AST]:
    if isinstance(child, ast.Constant) and isinstance(child.value, str) and not scope.words:
        return
    if isinstance(child, ast.BinOp) and isinstance(child.op, ast.BitOr) and not scope.function:
        return
    yield from changed(child)
    if field in {"test", "guard", "ifs"} and isinstance(child, ast.expr):
        yield from turned_round(child)


def _inside(child: ast.AST, scope: _Scope) -> _Scope:
    if isinstance(child, _NAMED):
        names = (*scope.names, child.name)
        function = scope.function
        if isinstance(child, _FUNCTION) and not function:
            function = ".".join(names)
        at = replace(scope, lines=_header(child), defines=(child.name,))
        return replace(at, names=names, function=function)
    if isinstance(child, ast.stmt | ast.match_case):
        words = scope.words and not isinstance(child, ast.Raise)
        at = replace(scope, lines=_header(child), words=words)
        return replace(at, defines=_targets(child) or scope.defines)
    return scope


def _targets(child: ast.AST) -> tuple[str, ...]:
    match child:
        case ast.Assign([ast.Name(name)]) | ast.AnnAssign(ast.Name(name)):
            return (name,)
        case ast.Assign([ast.Tuple(names)]):
            return tuple(name.id for name in names if isinstance(name, ast.Name))
    return ()


def _header(node: ast.stmt | ast.match_case) -> range:
    """The lines of a simple statement, or of a compound one as far as its first inner statement."""
    start = node.pattern.lineno if isinstance(node, ast.match_case) else node.lineno
    body = getattr(node, "body", None) or getattr(node, "cases", None)
    if not body:
        return range(start, (node.end_lineno or start) + 1 if isinstance(node, ast.stmt) else start)
    first = body[0]
    inner = first.pattern.lineno if isinstance(first, ast.match_case) else first.lineno
    return range(start, max(inner, start + 1))


def _one_line(node: ast.AST) -> str:
    return " ".join(ast.unparse(node).split())
