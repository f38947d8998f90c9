"""The small faults that a mutant may have: one node of a syntax tree, and what takes its place.

Standard operators: a comparison flipped or moved by its boundary, arithmetic, and/or, not, a
condition turned round, a number one more or one less, a Decimal one more, true for false, a string
of data emptied, a returned value lost, a statement left out, the smaller for the larger, any for
all, another rounding.
"""

from __future__ import annotations

import ast
from collections.abc import Iterator
from decimal import Decimal, InvalidOperation

COMPARISONS: dict[type[ast.cmpop], tuple[type[ast.cmpop], ...]] = {
    ast.Lt: (ast.LtE, ast.GtE),
    ast.LtE: (ast.Lt, ast.Gt),
    ast.Gt: (ast.GtE, ast.LtE),
    ast.GtE: (ast.Gt, ast.Lt),
    ast.Eq: (ast.NotEq,),
    ast.NotEq: (ast.Eq,),
    ast.Is: (ast.IsNot,),
    ast.IsNot: (ast.Is,),
    ast.In: (ast.NotIn,),
    ast.NotIn: (ast.In,),
}
ARITHMETIC: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub,
    ast.Sub: ast.Add,
    ast.Mult: ast.Div,
    ast.Div: ast.Mult,
    ast.FloorDiv: ast.Mult,
    ast.Mod: ast.Mult,
    ast.Pow: ast.Mult,
    ast.BitOr: ast.BitAnd,
    ast.BitAnd: ast.BitOr,
}
OPPOSITES = {
    "min": "max",
    "max": "min",
    "any": "all",
    "all": "any",
    "floor": "ceil",
    "ceil": "floor",
    "ROUND_FLOOR": "ROUND_CEILING",
    "ROUND_CEILING": "ROUND_FLOOR",
    "ROUND_DOWN": "ROUND_UP",
    "ROUND_UP": "ROUND_DOWN",
    "ROUND_HALF_UP": "ROUND_DOWN",
    "ROUND_HALF_EVEN": "ROUND_DOWN",
}
DECIMALS = {"Decimal", "Fraction"}


def changed(node: ast.AST) -> Iterator[ast.AST]:
    """What may stand in the place of this expression or statement, one fault each."""
    match node:
        case ast.Compare():
            yield from _compared(node)
        case ast.BinOp(left, op, right) if type(op) in ARITHMETIC:
            yield ast.BinOp(left, ARITHMETIC[type(op)](), right)
        case ast.BoolOp(op, values):
            yield ast.BoolOp(ast.Or() if isinstance(op, ast.And) else ast.And(), values)
        case ast.UnaryOp(ast.Not() | ast.USub(), operand):
            yield operand
        case ast.Constant(value):
            yield from (ast.Constant(other) for other in _other_values(value))
        case ast.Name(name, ast.Load()) if name in OPPOSITES:
            yield ast.Name(OPPOSITES[name], ast.Load())
        case ast.Call(ast.Name(name), [ast.Constant(str() as digits)]) if name in DECIMALS:
            yield from _more(node, digits)
        case ast.stmt():
            yield from _statement(node)


def turned_round(condition: ast.expr) -> Iterator[ast.expr]:
    """A condition's opposite, where no other operator gives it already."""
    if not isinstance(condition, ast.Compare | ast.UnaryOp | ast.Constant):
        yield ast.UnaryOp(ast.Not(), condition)


def _compared(node: ast.Compare) -> Iterator[ast.AST]:
    for at, op in enumerate(node.ops):
        for other in COMPARISONS[type(op)]:
            ops = [*node.ops[:at], other(), *node.ops[at + 1 :]]
            yield ast.Compare(node.left, ops, node.comparators)


def _other_values(value: object) -> Iterator[bool | int | float | str]:
    match value:
        case bool():
            yield not value
        case int() | float():
            yield from (value + 1, value - 1)
        case str():
            yield "" if value else "mutant"


def _more(call: ast.Call, digits: str) -> Iterator[ast.AST]:
    try:
        more = str(Decimal(digits) + 1)
    except InvalidOperation:
        return
    yield ast.Call(call.func, [ast.Constant(more)], [])


def _statement(node: ast.stmt) -> Iterator[ast.AST]:
    match node:
        case ast.Return(ast.expr() as value) if not _empty(value):
            yield ast.Return(ast.Constant(None))
        case ast.Break():
            yield from (ast.Continue(), ast.Pass())
        case ast.Continue():
            yield from (ast.Break(), ast.Pass())
        case ast.Raise() | ast.AugAssign():
            yield ast.Pass()
        case ast.Assign([ast.Attribute() | ast.Subscript()]):
            yield ast.Pass()
        case ast.Expr(value) if not isinstance(value, ast.Constant | ast.Yield | ast.YieldFrom):
            yield ast.Pass()


def _empty(value: ast.expr) -> bool:
    """Whether None in its place would hardly be a fault of its own."""
    return isinstance(value, ast.Constant) and value.value in (None, False)
