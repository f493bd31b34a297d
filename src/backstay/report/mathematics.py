"""Typst notation: the equations of a derivation as typeset mathematics."""

from __future__ import annotations

from backstay.notation import GREEK, split_symbol

_FUNCTIONS = {
    "asin": "arcsin", "acos": "arccos", "atan": "arctan", "log": "ln", "log10": "log_10",
}  # fmt: skip


class TypstMath:
    """Equations in Typst's mathematics."""

    quotient_groups = True

    def symbol(self, name: str) -> str:
        """Return a symbol with its prime and subscripts."""
        head, subscripts, primed = split_symbol(name)
        text = _letter(head) + ("'" if primed else "")
        if subscripts:
            text += "_(" + " thin ".join(_letter(s, upright=True) for s in subscripts) + ")"
        return text

    def number(self, text: str, unit: str) -> str:
        """Return a number with its unit in upright text."""
        shown = text.replace("-", "−").replace("∞", "infinity")
        if shown == "undefined":
            shown = '"undefined"'
        if not unit:
            return f"{shown}"
        if unit in ("°", "%"):
            return f'{shown}"{unit}"'
        return f'{shown} space.thin "{unit}"'

    def sum(self, left: str, operator: str, right: str) -> str:
        """Return a sum or difference."""
        return f"{left} {operator} {right}"

    def product(self, left: str, right: str) -> str:
        """Return a product with a dot."""
        return f"{left} dot.op {right}"

    def quotient(self, top: str, bottom: str) -> str:
        """Return a fraction with a bar."""
        return f"frac({_argument(top)}, {_argument(bottom)})"

    def power(self, base: str, exponent: str) -> str:
        """Return a power."""
        return f"{base}^({exponent})"

    def negative(self, value: str) -> str:
        """Return the negative."""
        return f"- {value}"

    def root(self, value: str) -> str:
        """Return a square root."""
        return f"sqrt({_argument(value)})"

    def function(self, name: str, arguments: list[str]) -> str:
        """Return a function of its arguments."""
        if name == "abs":
            return f"abs({_argument(arguments[0])})"
        inside = " \\, ".join(arguments)
        return f"{_FUNCTIONS.get(name, name)} lr(({inside}))"

    def grouped(self, value: str) -> str:
        """Return the value in brackets that grow with it."""
        return f"lr(({value}))"

    def relation(self, left: str, operator: str, right: str) -> str:
        """Return a comparison."""
        return f"{left} {operator} {right}"

    def joined(self, parts: list[str], word: str) -> str:
        """Return conditions joined by a word."""
        return f' space "{word}" space '.join(parts)


def _letter(token: str, *, upright: bool = False) -> str:
    if token in GREEK:
        return "lambda" if token == "lamda" else token
    if len(token) == 1 and not upright:
        return token
    return token if token.isdigit() else f'"{token}"'


def _argument(markup: str) -> str:
    """Protect commas, which would divide the arguments of a Typst function."""
    return f"{{{markup}}}".strip("{}") if "\\," not in markup else f"lr({markup})"
