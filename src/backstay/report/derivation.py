"""Derivations as numbered lines: each step is derived once, and referred to by number after that."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from backstay.checks import expand
from backstay.cite import Citation
from backstay.expression import Line, written
from backstay.quantity import Quantity, UnitSystem
from backstay.report.mathematics import TypstMath
from backstay.trace import Computed, Remark, Stated, Step

Block = dict[str, Any]


class Derivations:
    """Turns steps into blocks of the document, numbering lines and remembering what was shown."""

    def __init__(self, system: UnitSystem) -> None:
        self.system = system
        self.notation = TypstMath()
        self.numbers: dict[Step, int] = {}
        self.symbols: dict[str, tuple[str, str]] = {}
        """Symbol (markup) -> meaning and unit, of everything shown."""
        self.sources: dict[str, Citation] = {}

    def blocks(self, steps: Iterable[Step]) -> list[Block]:
        """Return the blocks of a derivation; a step shown before becomes a reference."""
        blocks: list[Block] = []
        pending: list[Block] = []  # a heading waits for the first line below it
        for step in steps:
            if isinstance(step, Remark):
                text = expand(step.text, self.system)
                if step.heading:
                    pending = [{"type": "part", "text": text}]
                else:
                    blocks += pending
                    pending = []
                    blocks.append({"type": "remark", "text": text})
                continue
            blocks += pending
            pending = []
            known = self.numbers.get(step)
            if known is not None:
                blocks.append(self._reference(step, known))
                continue
            self.numbers[step] = len(self.numbers) + 1
            block = self._computed(step) if isinstance(step, Computed) else self._stated(step)
            block["number"] = self.numbers[step]
            blocks.append(block)
        return blocks

    def cite(self, citation: Citation | None) -> str:
        """Return the citation as text, and keep it for the list of sources."""
        if citation is None:
            return ""
        text = str(citation)
        self.sources.setdefault(citation.document, citation)
        return text

    def _computed(self, step: Computed) -> Block:
        formula = step.formula
        for argument in formula.arguments:
            self._meaning(argument.name, argument.meaning, argument.quantity)
        self._meaning(formula.symbol, formula.title, formula.quantity)
        lines = written(step, self.notation, self.system)
        return {
            "type": "step",
            "title": formula.title,
            "cite": self.cite(formula.cite),
            "lines": [_line(line) for line in lines],
            "empirical": formula.empirical,
        }

    def _stated(self, step: Stated) -> Block:
        self._meaning(step.symbol, expand(step.title, self.system), step.quantity)
        result = self._value(step.value, step.quantity)
        symbol = self.notation.symbol(step.symbol)
        return {
            "type": "step",
            "title": expand(step.title, self.system)
            + (f": {expand(step.method, self.system)}" if step.method else ""),
            "cite": self.cite(step.cite),
            "lines": [{"symbol": symbol, "equation": "", "substituted": "", "result": result}],
            "empirical": False,
        }

    def _reference(self, step: Computed | Stated, number: int) -> Block:
        if isinstance(step, Computed):
            symbol, quantity = step.formula.symbol, step.formula.quantity
        else:
            symbol, quantity = step.symbol, step.quantity
        return {
            "type": "again",
            "number": number,
            "symbol": self.notation.symbol(symbol),
            "result": self._value(step.value, quantity),
        }

    def _value(self, value: float, quantity: Quantity) -> str:
        unit = quantity.unit(self.system)
        return self.notation.number(quantity.number(value, self.system), unit.label)

    def _meaning(self, name: str, meaning: str, quantity: Quantity) -> None:
        label = quantity.unit(self.system).label
        self.symbols.setdefault(self.notation.symbol(name), (meaning, label))


def _line(line: Line) -> Block:
    if line.condition:
        return {
            "condition": line.condition,
            "substituted": "" if line.substituted == line.condition else line.substituted,
            "holds": line.result,
        }
    return {
        "symbol": line.symbol,
        "equation": line.equation,
        "substituted": line.substituted,
        "result": line.result,
    }
