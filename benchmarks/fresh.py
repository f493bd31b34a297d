"""Fresh processes as on a machine where Backstay is installed: with the bytecode that pip leaves there."""

from __future__ import annotations

import os


def as_installed(folder: str) -> dict[str, str]:
    """Return an environment in which Python keeps bytecode in `folder`, whatever it is told here."""
    kept = {k: v for k, v in os.environ.items() if k != "PYTHONDONTWRITEBYTECODE"}
    return {**kept, "PYTHONPYCACHEPREFIX": folder}
