"""The catalogue of verification: published answers, closed forms and second methods.

Each file ``cases_<room>_<topic>.py`` in this folder defines ``CASES: tuple[Case, ...]``. A case
names its source and how well that source is known, states its inputs in words, computes the
value with the program, and holds it against the expected one. `all_cases` gathers every file;
``test_catalogue.py`` fails on any case that misses its tolerance, and a page of the documentation
is generated from the same cases.

Adding a case: write it into the file of its room and topic (or start a new one); give an `id`
that no other case has, starting with the room, e.g. ``pressure.coulomb-ka-30-15``.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from importlib import import_module
from pathlib import Path

from backstay.cite import Provenance


@dataclass(frozen=True)
class Case:
    """One value to be met.

    id: stable, unique, ``room.kebab-name``; room: ``pressure``, ``anchors`` ...; title: what is
    computed; source: document, example, page; provenance: published (read), formula (computed
    from a published formula by other means), memory (recalled, not re-read) or common practice;
    inputs: in words, with units; compute: the program's value in `unit`; expected: the value to
    be met in `unit`; tolerance: relative to the expected value, or absolute in `unit` where
    `absolute`; tolerance_reason: why that wide; note: contradictions, misprints, conventions.
    """

    id: str
    room: str
    title: str
    source: str
    provenance: Provenance
    inputs: str
    compute: Callable[[], float]
    expected: float
    tolerance: float
    unit: str
    tolerance_reason: str = ""
    note: str = ""
    absolute: bool = False

    def deviation(self, value: float) -> float:
        """Return how far a computed value is off, in the measure of `tolerance`, with its sign."""
        off = value - self.expected
        return off if self.absolute else off / abs(self.expected)

    def met_by(self, value: float) -> bool:
        """Say whether a computed value is within tolerance; NaN and infinity are not."""
        return abs(self.deviation(value)) <= self.tolerance


def all_cases() -> tuple[Case, ...]:
    """Return the cases of every ``cases_*.py`` in this folder, by file name, in written order."""
    found: list[Case] = []
    for path in sorted(Path(__file__).parent.glob("cases_*.py")):
        found.extend(import_module(f"{__package__}.{path.stem}").CASES)
    return tuple(found)
