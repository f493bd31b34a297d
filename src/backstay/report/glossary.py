"""The symbols of a calculation: what each means, in which unit, and where it is used first."""

from __future__ import annotations

from backstay.quantity import Quantity, UnitSystem
from backstay.report.mathematics import TypstMath
from backstay.report.prose import typeset
from backstay.tables import sentence

_FEW = 3
"""Most titles of results that explain a symbol which is no argument anywhere."""


class Glossary:
    """Collects symbols while lines are written.

    One letter may mean different things in different equations, as in the documents they are
    from: each meaning is listed with the line where it is used first. The title of a result
    explains itself where it stands, so it is listed only for symbols that are never put in.
    """

    def __init__(self, notation: TypstMath, system: UnitSystem) -> None:
        self._notation = notation
        self._system = system
        self._arguments: dict[str, dict[tuple[str, str], int]] = {}
        self._results: dict[str, dict[tuple[str, str], int]] = {}

    def argument(self, name: str, meaning: str, quantity: Quantity, line: int) -> None:
        """Keep the meaning of a symbol that is put into the equation on a line."""
        self._keep(self._arguments, name, meaning, quantity, line)

    def result(self, name: str, title: str, quantity: Quantity, line: int) -> None:
        """Keep the title of the result of a line."""
        self._keep(self._results, name, title, quantity, line)

    def rows(self) -> list[tuple[str, str, str, str]]:
        """Return symbol (markup, nothing where as above), meaning, unit, line, by symbol."""
        rows: list[tuple[str, str, str, str]] = []
        for name in sorted({*self._arguments, *self._results}, key=lambda n: (n.lower(), n)):
            meanings = self._arguments.get(name) or dict(list(self._results[name].items())[:_FEW])
            for i, ((meaning, unit), line) in enumerate(meanings.items()):
                symbol = "" if i else self._notation.symbol(name)
                rows.append((symbol, meaning, unit, f"({line})"))
        return rows

    def _keep(
        self,
        where: dict[str, dict[tuple[str, str], int]],
        name: str,
        meaning: str,
        quantity: Quantity,
        line: int,
    ) -> None:
        label = quantity.unit(self._system).label
        where.setdefault(name, {}).setdefault((sentence(typeset(meaning)), label), line)
