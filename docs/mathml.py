"""MathML notation: equations on the documentation pages, drawn by the browser itself."""

from __future__ import annotations

from xml.sax.saxutils import escape

from backstay.notation import GREEK, split_symbol

_NAMES = {"asin": "arcsin", "acos": "arccos", "atan": "arctan", "log": "ln"}


class MathML:
    """Equations as MathML."""

    quotient_groups = True

    def symbol(self, name: str) -> str:
        head, subscripts, primed = split_symbol(name)
        letter = GREEK.get(head, head) + ("′" if primed else "")
        base = f"<mi>{escape(letter)}</mi>"
        if not subscripts:
            return base
        below = ",".join(GREEK.get(s, s) for s in subscripts)
        return f"<msub>{base}<mtext>{escape(below)}</mtext></msub>"

    def number(self, text: str, unit: str) -> str:
        return f"<mn>{escape(text)}</mn>" + (f"<mtext>{escape(unit)}</mtext>" if unit else "")

    def sum(self, left: str, operator: str, right: str) -> str:
        return f"{left}<mo>{'−' if operator == '-' else '+'}</mo>{right}"

    def product(self, left: str, right: str) -> str:
        return f"{left}<mo>·</mo>{right}"

    def quotient(self, top: str, bottom: str) -> str:
        return f"<mfrac><mrow>{top}</mrow><mrow>{bottom}</mrow></mfrac>"

    def power(self, base: str, exponent: str) -> str:
        return f"<msup><mrow>{base}</mrow><mrow>{exponent}</mrow></msup>"

    def negative(self, value: str) -> str:
        return f"<mo>−</mo>{value}"

    def root(self, value: str) -> str:
        return f"<msqrt><mrow>{value}</mrow></msqrt>"

    def function(self, name: str, arguments: list[str]) -> str:
        inside = "<mo>,</mo>".join(arguments)
        if name == "abs":
            return f"<mo>|</mo>{inside}<mo>|</mo>"
        return f"<mi>{_NAMES.get(name, name)}</mi>{self.grouped(inside)}"

    def grouped(self, value: str) -> str:
        return f"<mrow><mo>(</mo>{value}<mo>)</mo></mrow>"

    def relation(self, left: str, operator: str, right: str) -> str:
        return f"{left}<mo>{escape(operator)}</mo>{right}"

    def joined(self, parts: list[str], word: str) -> str:
        return f"<mtext>&nbsp;{word}&nbsp;</mtext>".join(parts)
