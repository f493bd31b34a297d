"""MathML notation: equations on pages, drawn by the browser itself and read by screen readers.

Every piece is well-formed XML, and what was typed by a person is escaped.
"""

from __future__ import annotations

from xml.sax.saxutils import escape

from backstay.notation import GREEK, split_symbol

_NAMES = {"asin": "arcsin", "acos": "arccos", "atan": "arctan", "log": "ln", "log10": "log₁₀"}
_DEEP = '<mspace depth="0.22em"/>'
"""Lowers a subscript where the font has no measures for mathematics; hardly seen where it has."""
_SPACE = "\N{NO-BREAK SPACE}"
_HIGH = ("<mfrac", "<msup", "<msqrt", "<munder", "<mover", "<mtable")
"""Elements that make an equation more than a line high."""


class MathML:
    """Equations as MathML, without the `math` element around them."""

    quotient_groups = True

    def symbol(self, name: str) -> str:
        """Return a symbol with its prime and subscripts."""
        head, subscripts, primed = split_symbol(name)
        letter = GREEK.get(head, head) + ("′" if primed else "")
        base = f"<mi>{escape(letter)}</mi>"
        if not subscripts:
            return base
        below = ",".join(GREEK.get(s, s) for s in subscripts)
        return f"<msub><mrow>{base}{_DEEP}</mrow><mtext>{escape(below)}</mtext></msub>"

    def number(self, text: str, unit: str) -> str:
        """Return a number with its unit in upright text."""
        shown = f"<mn>{escape(text)}</mn>"
        if not unit:
            return shown
        gap = "" if unit in ("°", "%") else _SPACE
        return f"{shown}<mtext>{gap}{escape(unit)}</mtext>"

    def sum(self, left: str, operator: str, right: str) -> str:
        """Return a sum or difference."""
        return f"{left}<mo>{'−' if operator == '-' else escape(operator)}</mo>{right}"

    def product(self, left: str, right: str) -> str:
        """Return a product with a dot."""
        return f"{left}<mo>·</mo>{right}"

    def quotient(self, top: str, bottom: str) -> str:
        """Return a fraction with a bar."""
        return f"<mfrac><mrow>{top}</mrow><mrow>{bottom}</mrow></mfrac>"

    def power(self, base: str, exponent: str) -> str:
        """Return a power."""
        return f"<msup><mrow>{base}</mrow><mrow>{exponent}</mrow></msup>"

    def negative(self, value: str) -> str:
        """Return the negative."""
        return f'<mo form="prefix">−</mo>{value}'

    def root(self, value: str) -> str:
        """Return a square root."""
        return f"<msqrt><mrow>{value}</mrow></msqrt>"

    def function(self, name: str, arguments: list[str]) -> str:
        """Return a function of its arguments."""
        inside = "<mo>,</mo>".join(arguments)
        if name == "abs":
            return f'<mrow><mo form="prefix">|</mo>{inside}<mo form="postfix">|</mo></mrow>'
        return f"<mi>{escape(_NAMES.get(name, name))}</mi>{self.grouped(inside)}"

    def grouped(self, value: str) -> str:
        """Return the value in brackets that grow with what is more than a line high.

        Round a mere letter with a tail some browsers grow them too, which reads as if there were more.
        """
        still = "" if any(high in value for high in _HIGH) else ' stretchy="false"'
        return f"<mrow><mo{still}>(</mo>{value}<mo{still}>)</mo></mrow>"

    def relation(self, left: str, operator: str, right: str) -> str:
        """Return a comparison."""
        return f"{left}<mo>{escape(operator)}</mo>{right}"

    def joined(self, parts: list[str], word: str) -> str:
        """Return conditions joined by a word."""
        return f"<mtext>{_SPACE}{escape(word)}{_SPACE}</mtext>".join(parts)
