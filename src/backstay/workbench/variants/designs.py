"""The designs that are set side by side: of the project as it stands, and of variants, each found once."""

from __future__ import annotations

from backstay.checks import expand
from backstay.design import Design, design
from backstay.errors import BackstayError, DesignError, ProjectError
from backstay.model.reading import read_text
from backstay.workbench.desk import Desk, words_of
from backstay.workbench.variants.store import Variants

NOW = "The project as it stands"


class Designs:
    """Designs by the name of a variant, for one window."""

    def __init__(self, desk: Desk, variants: Variants) -> None:
        self.desk = desk
        self.variants = variants
        self._found: dict[str, tuple[str, Design]] = {}

    def of(self, name: str) -> Design | str:
        """Return the design of a variant, without slip surfaces, or why there is none."""
        if name == NOW:
            return self.desk.design or "it cannot be designed as it stands"
        try:
            text = self.variants.text(name)
            known = self._found.get(name)
            if known is None or known[0] != text:
                known = text, design(read_text(text, name), slip_surfaces="leave out")
                self._found[name] = known
            return known[1]
        except ProjectError as error:
            return words_of(error)
        except DesignError as error:
            return expand(str(error), self.desk.units)
        except BackstayError as error:
            return str(error)
