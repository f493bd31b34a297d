"""The terminal: one page that an engineer can act on, and the derivation of one check.

Plain words and tables, 100 columns wide where the output is not a terminal. Colour only repeats
what a word says, and is left out in a pipe or where NO_COLOR is set. Nothing is computed here.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from backstay.terminal.derivation import print_derivation
    from backstay.terminal.page import print_page
    from backstay.terminal.stages import print_stages

__all__ = ["print_derivation", "print_page", "print_stages"]
_WHERE = {"print_derivation": "derivation", "print_page": "page", "print_stages": "stages"}
"""Pages of a design bring the whole design with them; a page of the field has none."""


def __getattr__(name: str) -> Any:
    if name not in _WHERE:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    from importlib import import_module

    return getattr(import_module(f"{__name__}.{_WHERE[name]}"), name)
