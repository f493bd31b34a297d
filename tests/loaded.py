"""Loads what commands load, before they are forked from here: see `tests.commands`."""

import sys

for unused in ("scipy", "yaml"):  # as the command line keeps numba from loading them
    sys.modules.setdefault(unused, None)  # type: ignore[arg-type]

import backstay.cli  # noqa: E402
import backstay.design  # noqa: E402, F401
from backstay.stability.slip.build import build_kernel as slip  # noqa: E402
from backstay.wall.staged.build import build_kernel as staged  # noqa: E402

staged()
slip()
