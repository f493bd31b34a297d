"""The errors Backstay raises on purpose.

BackstayError
├── ProjectError    the project file is wrong (carries every fault, with line and column)
└── DesignError     the design cannot be computed, with the reason; never a made-up number
"""

from __future__ import annotations


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
