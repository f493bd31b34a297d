"""The errors Backstay raises on purpose.

BackstayError
├── ProjectError    the project file is wrong (carries every fault, with line and column)
└── DesignError     the design cannot be computed, with the reason; never a made-up number
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass


class BackstayError(Exception):
    """Something a person can understand and act on."""


class DesignError(BackstayError):
    """A number the program cannot stand behind: says what, where and why.

    reason: in words, with ``{quantity:value}`` placeholders; where: row, stratum or part.
    """

    def __init__(self, reason: str, where: str = "") -> None:
        super().__init__(f"{where}: {reason}" if where else reason)
        self.reason = reason
        self.where = where


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing wrong in a project file.

    line, column: from 1, or 0 where the fault has no place (the file as a whole); path: field,
    e.g. ``sections[0].anchors[1].elevation``; rule: what is broken, as a clause; read: what
    stands in the file; accepted: what would be accepted; hint: what was probably meant.
    """

    line: int
    column: int
    path: str
    rule: str
    read: str = ""
    accepted: str = ""
    hint: str = ""

    def __str__(self) -> str:
        place = f"line {self.line}, column {self.column}" if self.line else ""
        parts = [
            f"read {self.read}" if self.read else "",
            self.rule,
            f"accepted: {self.accepted}" if self.accepted else "",
            self.hint,
        ]
        sentence = "; ".join(part for part in parts if part)
        return ": ".join(part for part in (place, self.path, sentence) if part)


class ProjectError(BackstayError):
    """A project file that cannot be used, with every fault that was found, in file order."""

    def __init__(self, faults: Sequence[Fault], name: str = "") -> None:
        self.faults = tuple(sorted(faults, key=lambda f: (f.line, f.column, f.path, f.rule)))
        self.name = name
        super().__init__("\n".join(str(fault) for fault in self.faults))
