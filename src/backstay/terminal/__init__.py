"""The terminal: one page that an engineer can act on, and the derivation of one check.

Plain words and tables, 100 columns wide where the output is not a terminal. Colour only repeats
what a word says, and is left out in a pipe or where NO_COLOR is set. Nothing is computed here.
"""

from backstay.terminal.derivation import print_derivation
from backstay.terminal.page import print_page
from backstay.terminal.stages import print_stages

__all__ = ["print_derivation", "print_page", "print_stages"]
