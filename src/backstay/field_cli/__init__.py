"""`backstay field`: what the inspector, the crew and the engineer do from first hole to last lift-off.

The commands read the project for its units and its rules of testing, and the field records for
everything else. Words go to standard error, data and pages to standard output, as of every command;
everything heavy is imported by the command that needs it.
"""

from backstay.field_cli import (  # noqa: F401  - in the order in which help lists them
    entering,
    judging,
    keeping,
    planning,
    teaching,
)  # isort: skip
from backstay.field_cli.app import app

__all__ = ["app"]
