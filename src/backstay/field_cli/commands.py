"""Every field command, in the order in which help lists them: that of the modules here."""

# isort: skip_file
from backstay.field_cli import planning, entering, judging, keeping, teaching
from backstay.field_cli.app import app

__all__ = ["app", "entering", "judging", "keeping", "planning", "teaching"]
