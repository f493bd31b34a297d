"""The font of every drawing and figure: Roboto Condensed (Apache License 2.0, see the licence here).

It is shipped because text vanishes from a drawing where no font is installed.
"""

from __future__ import annotations

from importlib.resources import files
from pathlib import Path

FAMILY = "Roboto Condensed"
CSS_FAMILY = "Roboto Condensed, Roboto, sans-serif"
"""For SVG: typesetters that file width under stretch know the family as Roboto."""
REGULAR = "RobotoCondensed-Regular.ttf"
BOLD = "RobotoCondensed-Bold.ttf"


def font_folder() -> Path:
    """Return the folder of the font files."""
    return Path(str(files(__name__)))
