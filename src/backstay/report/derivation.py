"""Derivations as numbered lines: each step is derived once, and referred to by number after that."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from backstay.cite import Citation
from backstay.expression import Line, written
from backstay.quantity import UnitSystem
from backstay.report.extent import extent
from backstay.report.glossary import Glossary
from backstay.report.mathematics import TypstMath
from backstay.report.prose import prose
from backstay.report.sources import Sources
from backstay.tables import sentence
from backstay.trace import Computed, Remark, Stated, Step

Block = dict[str, Any]
ROOM = 425.0
"""Length (points) that an equation may have by estimate; the narrower page has 448 points."""
_SIZE, _LEAST_SIZE = 10.0, 6.5
_MANY = 3
"""More references than this in a row become one line."""


class Derivations:
    """Turns steps into blocks of the document, numbering lines and remembering what was shown."""

    def __init__(self, system: UnitSystem) -> None:
        self.system = system
        self.notation = TypstMath()
        self.numbers: dict[Step, int] = {}
        self.glossary = Glossary(self.notation, system)
        self.sources = Sources()
        self._remarks: set[tuple[str, str]] = set()

    def blocks(self, steps: Iterable[Step]) -> list[Block]:
        """Return the blocks of a derivation; steps shown before become references."""
        return self._parts(steps, refer=True)

    def additions(self, steps: Iterable[Step]) -> list[Block]:
        """Return the blocks of those steps alone that have not been shown yet."""
        return self._parts(steps, refer=False)

    def lines(self, steps: Iterable[Step]) -> str:
        """Return the numbers of the lines that steps stand on: ``(3) to (9), (12)``."""
        return number_ranges(sorted({self.numbers[s] for s in steps if s in self.numbers}))

    def cite(self, citation: Citation | None) -> str:
        """Return the citation as text, and keep it for the list of sources."""
        return "" if citation is None else prose(self.sources.cite(citation), self.system)

    def _parts(self, steps: Iterable[Step], *, refer: bool) -> list[Block]:
        blocks: list[Block] = []
        for heading, part in _by_heading(steps):
            body = self._part(heading, part, refer=refer)
            if body and heading:
                text = sentence(prose(heading, self.system))
                blocks.append({"type": "part", "text": text})
            blocks += body
        return blocks

    def _part(self, heading: str, part: Sequence[Step], *, refer: bool) -> list[Block]:
        blocks: list[Block] = []
        run: list[Computed | Stated] = []
        waiting: list[Remark] = []
        said_before = (heading, "") in self._remarks
        self._remarks.add((heading, ""))
        anew = any(not isinstance(s, Remark) and s not in self.numbers for s in part)
        if not anew and heading and said_before:
            refer = False  # a whole part again, under its own heading
        for step in part:
            if isinstance(step, Remark):
                waiting.append(step)
            elif step in self.numbers:
                blocks += self._said(heading, waiting, again=False)
                waiting = []
                run.append(step)
            else:
                blocks += self._references(run) if refer else []
                run = []
                blocks += self._said(heading, waiting, again=True)
                waiting = []
                blocks.append(self._numbered(step))
        blocks += self._references(run) if refer else []
        return blocks + self._said(heading, waiting, again=False)

    def _said(self, heading: str, remarks: Iterable[Remark], *, again: bool) -> list[Block]:
        """Return remarks; those made before under the same heading only where `again`."""
        blocks: list[Block] = []
        for remark in remarks:
            key = (heading, remark.text)
            if again or key not in self._remarks:
                text = sentence(prose(remark.text, self.system))
                blocks.append({"type": "remark", "text": text})
            self._remarks.add(key)
        return blocks

    def _references(self, run: Sequence[Computed | Stated]) -> list[Block]:
        if len(run) > _MANY:
            return [{"type": "remark", "text": f"Lines {self.lines(run)} apply here as well."}]
        return [self._reference(step) for step in run]

    def _numbered(self, step: Computed | Stated) -> Block:
        self.numbers[step] = len(self.numbers) + 1
        block = self._computed(step) if isinstance(step, Computed) else self._stated(step)
        block["number"] = self.numbers[step]
        return block

    def _computed(self, step: Computed) -> Block:
        formula, number = step.formula, self.numbers[step]
        for argument in formula.arguments:
            self.glossary.argument(argument.name, argument.meaning, argument.quantity, number)
        self.glossary.result(formula.symbol, formula.title, formula.quantity, number)
        lines = written(step, self.notation, self.system)
        return {
            "type": "step",
            "title": sentence(prose(formula.title, self.system)),
            "cite": self.cite(formula.cite),
            "lines": [_line(line) for line in lines],
            "empirical": formula.empirical,
        }

    def _stated(self, step: Stated) -> Block:
        title = sentence(prose(step.title, self.system))
        self.glossary.result(step.symbol, title, step.quantity, self.numbers[step])
        method = prose(step.method, self.system)
        symbol = self.notation.symbol(step.symbol)
        return {
            "type": "step",
            "title": f"{title}: {method}" if method else title,
            "cite": self.cite(step.cite),
            "lines": [{"maths": f"{symbol} = {self._value(step)}", "size": _SIZE}],
            "empirical": False,
        }

    def _reference(self, step: Computed | Stated) -> Block:
        name = step.formula.symbol if isinstance(step, Computed) else step.symbol
        return {
            "type": "again",
            "number": self.numbers[step],
            "symbol": self.notation.symbol(name),
            "result": self._value(step),
        }

    def _value(self, step: Computed | Stated) -> str:
        quantity = step.formula.quantity if isinstance(step, Computed) else step.quantity
        unit = quantity.unit(self.system)
        return self.notation.number(quantity.number(step.value, self.system), unit.label)


def number_ranges(numbers: Sequence[int]) -> str:
    """Return rising numbers in brackets, three or more in a row as a range."""
    runs: list[list[int]] = []
    for n in numbers:
        if runs and n == runs[-1][-1] + 1:
            runs[-1].append(n)
        else:
            runs.append([n])
    words: list[str] = []
    for run in runs:
        if len(run) > 2:
            words.append(f"({run[0]}) to ({run[-1]})")
        else:
            words += [f"({n})" for n in run]
    return ", ".join(words)


def _by_heading(steps: Iterable[Step]) -> Iterator[tuple[str, list[Step]]]:
    """Yield each heading with the steps below it; "" before the first."""
    heading, part = "", list[Step]()
    for step in steps:
        if isinstance(step, Remark) and step.heading:
            if part:
                yield heading, part
            heading, part = step.text, []
        else:
            part.append(step)
    if part:
        yield heading, part


def _line(line: Line) -> Block:
    if line.condition:
        return {
            "condition": line.condition,
            "substituted": "" if line.substituted == line.condition else line.substituted,
            "holds": line.result,
        }
    return equation(line.symbol, [p for p in (line.equation, line.substituted, line.result) if p])


def equation(symbol: str, parts: Sequence[str]) -> Block:
    """Return an equation on one line where it fits, else in two, else with each part on its own."""
    start = extent(symbol) + extent(" = ")
    lengths = [extent(part) for part in parts]
    whole = start + sum(lengths) + (len(parts) - 1) * extent(" = ")
    if whole <= ROOM:
        return {"maths": f"{symbol} & = {' = '.join(parts)}", "size": _SIZE}
    if len(parts) == 3 and start + lengths[1] + lengths[2] + extent(" = ") <= ROOM:
        split = [parts[0], f"{parts[1]} = {parts[2]}"]
        longest = start + max(lengths[0], lengths[1] + extent(" = ") + lengths[2])
    else:
        split, longest = list(parts), start + max(lengths)
    size = max(_SIZE * min(1.0, ROOM / longest), _LEAST_SIZE)
    return {"maths": f"{symbol} & = " + " \\ & = ".join(split), "size": round(size, 1)}
