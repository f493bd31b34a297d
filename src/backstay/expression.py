"""The written form of a formula, parsed from its definition.

`written(step, notation, system)` gives the lines a reader follows: for each intermediate value
and for the result ``symbol = equation = numbers put in = value``, and the condition that chose a
branch. One traversal serves every notation (plain text here, mathematics in the report).

What can be parsed: docstring; annotated assignments (``x: Length = ...``); ``if``/``elif``/
``else`` whose bodies assign, return, or raise; arithmetic; comparison; the functions of `math`
named in `FUNCTIONS`; ``min``, ``max``, ``abs``; calls of other formulas. Anything else is a
FormulaError.
"""

from __future__ import annotations

import ast
import inspect
import math
import textwrap
from dataclasses import dataclass, replace
from functools import cache
from typing import Any, Protocol

from backstay.quantity import Quantity, UnitSystem, significant
from backstay.trace import Computed, Formula, FormulaError, quantity_of, untraced

FUNCTIONS = frozenset(
    ("sin", "cos", "tan", "asin", "acos", "atan", "sinh", "cosh", "exp", "log", "log10", "sqrt", "radians", "min", "max", "abs")
)  # fmt: skip
_COMPARE: dict[type[ast.cmpop], str] = {
    ast.Lt: "<", ast.LtE: "≤", ast.Gt: ">", ast.GtE: "≥", ast.Eq: "=", ast.NotEq: "≠",
}  # fmt: skip


class Notation(Protocol):
    """How the parts of an equation are written. Every method returns finished markup."""

    def symbol(self, name: str) -> str: ...
    def number(self, text: str, unit: str) -> str: ...
    def sum(self, left: str, operator: str, right: str) -> str: ...
    def product(self, left: str, right: str) -> str: ...
    def quotient(self, top: str, bottom: str) -> str: ...
    def power(self, base: str, exponent: str) -> str: ...
    def negative(self, value: str) -> str: ...
    def root(self, value: str) -> str: ...
    def function(self, name: str, arguments: list[str]) -> str: ...
    def grouped(self, value: str) -> str: ...
    def relation(self, left: str, operator: str, right: str) -> str: ...
    def joined(self, parts: list[str], word: str) -> str: ...

    quotient_groups: bool
    """True where a quotient is drawn with a bar, so that its parts need no brackets."""


@dataclass(frozen=True, slots=True)
class Line:
    """One line of a derivation: symbol = equation = substituted = result, or a condition."""

    symbol: str
    equation: str
    substituted: str
    result: str
    condition: str = ""


@cache
def definition(formula: Formula[...]) -> ast.FunctionDef:
    """Return the parsed definition of a formula; raise FormulaError if it cannot be shown."""
    source = textwrap.dedent(inspect.getsource(formula.function))
    node = ast.parse(source).body[0]
    if not isinstance(node, ast.FunctionDef):
        raise FormulaError(f"{formula.id}: not a function definition")
    names = {a.arg for a in (*node.args.args, *node.args.kwonlyargs)}
    _refuse_unshowable(formula, node.body, names)
    return node


def _refuse_unshowable(formula: Formula[...], body: list[ast.stmt], names: set[str]) -> None:
    for statement in body:
        match statement:
            case ast.Expr(value=ast.Constant()) | ast.Raise():
                continue
            case ast.Return(value=ast.expr() as value):
                _refuse_expression(formula, value, names)
            case ast.AnnAssign(target=ast.Name(id=name), value=ast.expr() as value):
                _refuse_expression(formula, value, names)
                names.add(name)
            case ast.If(test=test, body=then, orelse=otherwise):
                _refuse_expression(formula, test, names)
                _refuse_unshowable(formula, then, names)
                _refuse_unshowable(formula, otherwise, names)
            case _:
                raise FormulaError(f"{formula.id}: cannot show `{ast.unparse(statement)}`")


def _refuse_expression(formula: Formula[...], value: ast.expr, names: set[str]) -> None:
    for node in ast.walk(value):
        match node:
            case ast.Name(id=name):
                known = name in names or name in FUNCTIONS or name == "pi"
                if not known and not isinstance(_global(formula, name), (Formula, int, float)):
                    raise FormulaError(f"{formula.id}: unknown name {name}")
            case ast.Call(func=ast.Name(id=name), keywords=keywords):
                if keywords and not isinstance(_global(formula, name), Formula):
                    raise FormulaError(f"{formula.id}: keywords in {ast.unparse(node)}")
            case (
                ast.BinOp() | ast.UnaryOp() | ast.IfExp() | ast.Compare() | ast.BoolOp() | ast.keyword()
                | ast.Constant() | ast.operator() | ast.unaryop() | ast.cmpop() | ast.boolop() | ast.Load()
            ):  # fmt: skip
                continue
            case _:
                raise FormulaError(f"{formula.id}: cannot show `{ast.unparse(node)}`")


def _global(formula: Formula[...], name: str) -> Any:
    return formula.function.__globals__.get(name)


def written(step: Computed, notation: Notation, system: UnitSystem) -> list[Line]:
    """Return the lines of one computed step in a notation and unit system.

    Raises FormulaError if the definition cannot be shown, or if re-evaluating it branch by
    branch does not give the recorded value.
    """
    formula = step.formula
    shown_in = UnitSystem.SI if formula.empirical else system
    quantities = {a.name: a.quantity for a in formula.arguments}
    writer = _Writer(formula, notation, shown_in, system, dict(step.values), quantities)
    with untraced():
        result = writer.run(definition(formula).body)
    if result is None or not math.isclose(result, step.value, rel_tol=1e-12, abs_tol=1e-300):
        raise FormulaError(f"{formula.id}: shown {result}, computed {step.value}")
    return writer.lines


@dataclass(slots=True)
class _Text:
    """A written piece and how tightly it binds: 0 sum, 1 product, 2 negative, 3 power, 4 atom."""

    markup: str
    binds: int


class _Writer:
    """Walks one definition with one set of values, writing each line twice."""

    def __init__(
        self,
        formula: Formula[...],
        notation: Notation,
        system: UnitSystem,
        result_system: UnitSystem,
        values: dict[str, Any],
        quantities: dict[str, Quantity],
    ) -> None:
        self.formula = formula
        self.notation = notation
        self.system = system
        self.result_system = result_system
        self.values = values
        self.quantities = quantities
        self.lines: list[Line] = []

    def run(self, body: list[ast.stmt]) -> float | None:
        for statement in body:
            match statement:
                case ast.AnnAssign(
                    target=ast.Name(id=name), annotation=hint, value=ast.expr() as e
                ):
                    quantity = quantity_of(self.evaluate(hint), f"{self.formula.id}, {name}")
                    self.values[name] = self.line(name, e, quantity, self.system)
                    self.quantities[name] = quantity
                case ast.If(test=test, body=then, orelse=otherwise):
                    holds = bool(self.evaluate(test))
                    if not all(isinstance(s, ast.Raise) for s in then):
                        self.condition(test, holds)
                    result = self.run(then if holds else otherwise)
                    if result is not None:
                        return result
                case ast.Return(value=ast.expr() as e):
                    return self.line(
                        self.formula.symbol, e, self.formula.quantity, self.result_system
                    )
                case _:
                    continue
        return None

    def evaluate(self, node: ast.expr) -> Any:
        code = compile(ast.Expression(node), "<formula>", "eval")
        return eval(code, self.formula.function.__globals__, self.values)

    def line(self, name: str, node: ast.expr, quantity: Quantity, system: UnitSystem) -> float:
        node = self.chosen(node)
        value = float(self.evaluate(node))
        equation = self.write(node, numbers=False).markup
        substituted = self.write(node, numbers=True).markup
        unit = quantity.unit(system)
        result = self.notation.number(significant(value * unit.factor, unit.digits), unit.label)
        self.lines.append(
            Line(
                self.notation.symbol(name),
                "" if equation == result or isinstance(node, ast.Constant) else equation,
                ""
                if substituted in (equation, result) or isinstance(node, ast.Constant)
                else substituted,
                result,
            )
        )
        return value

    def chosen(self, node: ast.expr) -> ast.expr:
        """Return the branch of a conditional expression that the values take."""
        while isinstance(node, ast.IfExp):
            holds = bool(self.evaluate(node.test))
            self.condition(node.test, holds)
            node = node.body if holds else node.orelse
        return node

    def condition(self, test: ast.expr, holds: bool) -> None:
        text = self.write(test, numbers=False).markup
        numbers = self.write(test, numbers=True).markup
        last = replace(Line("", "", "", ""), condition=text, substituted=numbers)
        self.lines.append(replace(last, result="holds" if holds else "does not hold"))

    def write(self, node: ast.expr, *, numbers: bool) -> _Text:
        n = self.notation
        match node:
            case ast.Constant(value=value):
                return _Text(n.number(_plain(value), ""), 4)
            case ast.Name(id=name):
                return self.name(name, numbers)
            case ast.UnaryOp(op=ast.USub(), operand=inner):
                return _Text(n.negative(self.bracketed(inner, 2, numbers)), 0)
            case ast.BinOp(left=left, op=ast.Add() | ast.Sub() as op, right=right):
                sign = "+" if isinstance(op, ast.Add) else "-"
                right_text = self.bracketed(right, 0 if sign == "+" else 1, numbers)
                return _Text(n.sum(self.bracketed(left, 0, numbers), sign, right_text), 0)
            case ast.BinOp(left=left, op=ast.Mult(), right=right):
                return _Text(
                    n.product(self.bracketed(left, 1, numbers), self.bracketed(right, 1, numbers)),
                    1,
                )
            case ast.BinOp(left=left, op=ast.Div(), right=right):
                low, high = (0, 0) if n.quotient_groups else (1, 2)
                top, bottom = (
                    self.bracketed(left, low, numbers),
                    self.bracketed(right, high, numbers),
                )
                return _Text(n.quotient(top, bottom), 1)
            case ast.BinOp(left=left, op=ast.Pow(), right=right):
                exponent = self.write(right, numbers=numbers).markup
                return _Text(n.power(self.bracketed(left, 4, numbers), exponent), 3)
            case ast.Call(func=ast.Name(id=name), args=args):
                return self.call(name, node, args, numbers)
            case ast.Compare(left=left, ops=ops, comparators=rights):
                text = self.write(left, numbers=numbers).markup
                for relation, right in zip(ops, rights, strict=True):
                    text = n.relation(
                        text, _COMPARE[type(relation)], self.write(right, numbers=numbers).markup
                    )
                return _Text(text, 0)
            case ast.BoolOp(op=op, values=values):
                word = "and" if isinstance(op, ast.And) else "or"
                return _Text(
                    n.joined([self.write(v, numbers=numbers).markup for v in values], word), 0
                )
            case ast.IfExp():
                return self.write(self.chosen(node), numbers=numbers)
            case _:
                raise FormulaError(f"{self.formula.id}: cannot show `{ast.unparse(node)}`")

    def bracketed(self, node: ast.expr, least: int, numbers: bool) -> str:
        text = self.write(node, numbers=numbers)
        return text.markup if text.binds >= least else self.notation.grouped(text.markup)

    def name(self, name: str, numbers: bool) -> _Text:
        if name == "pi":
            return _Text(self.notation.symbol("pi"), 4)
        if name not in self.values:
            return _Text(self.notation.number(_plain(_global(self.formula, name)), ""), 4)
        if not numbers:
            return _Text(self.notation.symbol(name), 4)
        return self.valued(self.values[name], self.quantities[name])

    def valued(self, value: float, quantity: Quantity) -> _Text:
        unit = quantity.unit(self.system)
        text = self.notation.number(significant(value * unit.factor, unit.digits), unit.label)
        if value < 0:
            return _Text(self.notation.grouped(text), 4)
        return _Text(text, 3 if unit.label else 4)  # (3 m)², not 3 m²

    def call(self, name: str, node: ast.expr, args: list[ast.expr], numbers: bool) -> _Text:
        n = self.notation
        called = _global(self.formula, name)
        if isinstance(called, Formula):
            if numbers:
                return self.valued(float(self.evaluate(node)), called.quantity)
            return _Text(n.symbol(called.symbol), 4)
        if name == "radians" and isinstance(args[0], ast.Constant):
            return _Text(n.number(_plain(args[0].value), "°"), 4)
        parts = [self.write(a, numbers=numbers).markup for a in args]
        if name == "sqrt":
            return _Text(n.root(parts[0]), 4)
        return _Text(n.function(name, parts), 4)


def _plain(value: object) -> str:
    return f"{value:g}" if isinstance(value, float) else str(value)
