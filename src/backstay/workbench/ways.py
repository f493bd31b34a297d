"""The ways through the workbench: its panels, by the names that stand on the screen."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from importlib import import_module

from backstay.workbench.desk import Desk


@dataclass(frozen=True, slots=True)
class Way:
    """A panel: its key in addresses, its name on screen, and the module whose `build` makes it."""

    key: str
    name: str
    module: str

    def build(self) -> Callable[[Desk], None]:
        """Return what fills the panel for a desk."""
        found: Callable[[Desk], None] = import_module(f"backstay.workbench.{self.module}").build
        return found


WAYS = (
    Way("section", "Section", "section.panel"),
    Way("checks", "Checks", "checks.panel"),
    Way("anchors", "Anchors", "anchors.panel"),
    Way("field", "Field", "field.panel"),
    Way("variants", "Variants", "variants.panel"),
    Way("output", "Output", "output.panel"),
)
