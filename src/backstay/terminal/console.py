"""The console that pages are printed on."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager

from rich.console import Console

PAGE_WIDTH = 100


@contextmanager
def page_console() -> Iterator[Console]:
    """Give a console that prints to standard output at the end, never wider than a page.

    In a pipe it is exactly a page wide, whatever the size of the terminal around it. Lines carry
    no blanks at their ends, and nothing is printed if making the page fails half way.
    """
    console = Console(file=sys.stdout, highlight=False, soft_wrap=False, emoji=False, markup=False)
    console.width = min(console.width, PAGE_WIDTH) if console.is_terminal else PAGE_WIDTH
    with console.capture() as page:
        yield console
    sys.stdout.write("".join(f"{line.rstrip()}\n" for line in page.get().splitlines()))
