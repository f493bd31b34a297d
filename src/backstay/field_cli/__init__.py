"""`backstay field`: what the inspector, the crew and the engineer do from first hole to last lift-off.

The commands read the project for its units and its rules of testing, and the field records for
everything else. Words go to standard error, data and pages to standard output, as of every command;
everything heavy is imported by the command that needs it.
"""

from __future__ import annotations

from typing import Any

import typer
from typer.core import TyperGroup

__all__ = ["field"]


class _WhenAsked(TyperGroup):
    """Takes its commands in when one of them is asked for: other commands do not wait for them."""

    def _take_in(self) -> None:
        if not self.commands:
            from backstay.field_cli.commands import app

            self.commands.update(typer.main.get_group(app).commands)

    def list_commands(self, ctx: Any) -> list[str]:
        """Return the names of the commands."""
        self._take_in()
        return super().list_commands(ctx)

    def get_command(self, ctx: Any, cmd_name: str) -> Any:
        """Return a command."""
        self._take_in()
        return super().get_command(ctx, cmd_name)


field = typer.Typer(
    name="field",
    cls=_WhenAsked,
    help="Test, accept, lock off and record the anchors of a project.",
    epilog="Exit status: 0 done or accepted, 1 not accepted or not over, 2 the input is wrong and "
    "nothing was recorded, 3 the program failed.",
    no_args_is_help=True,
    rich_markup_mode=None,
    context_settings={"help_option_names": ["-h", "--help"]},
)


@field.callback()
def _field() -> None:
    pass
