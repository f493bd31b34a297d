"""What a review of a submittal is made of: checks with what follows where they fail, and gaps."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from backstay.checks import Check, Verdict, expand
from backstay.cite import Citation
from backstay.quantity import UnitSystem

Weight = Literal["revise", "note"]
By = Literal["before drilling", "before the tendon is placed", "before the first test"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Item:
    """One check of a submittal.

    weight: what follows where it fails: the submittal is revised, or accepted with a note; ours: it
    fails in the design as well, so that it is not the contractor's to mend alone.
    """

    check: Check
    weight: Weight
    ours: bool = False

    @property
    def failed(self) -> bool:
        """Say whether it fails."""
        return self.check.verdict is Verdict.FAIL

    def words(self, system: UnitSystem) -> str:
        """Return it in words: what, offered and needed, and what to do."""
        check = self.check
        where = f" ({check.where})" if check.where else ""
        remedy = f": {expand(check.remedy, system)}" if check.remedy else ""
        ours = "; the design fails here as well, the engineer settles it" if self.ours else ""
        return f"{self.weight}: {check.name}{where} {check.comparison(system)}{remedy}{ours}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Missing:
    """What is not submitted yet: what, by when, and by which rule."""

    what: str
    by: By
    cite: Citation

    @property
    def words(self) -> str:
        """Return it in words."""
        return f"note: to be submitted {self.by}: {self.what} ({self.cite})"
