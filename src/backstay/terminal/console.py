"""The console that pages are printed on."""

from __future__ import annotations

import sys

from rich.console import Console

PAGE_WIDTH = 100


def page_console() -> Console:
    """Return a console for standard output, never wider than a page.

    In a pipe it is exactly a page wide, whatever the size of the terminal around it.
    """
    console = Console(file=sys.stdout, highlight=False, soft_wrap=False, emoji=False, markup=False)
    console.width = min(console.width, PAGE_WIDTH) if console.is_terminal else PAGE_WIDTH
    return console
