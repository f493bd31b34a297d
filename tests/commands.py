"""Commands as a person runs them, each in a process of its own that is forked from one with everything loaded.

Loading Python's modules takes most of a command's time; what tests look at comes after it. What a cold start
does is tested where commands are run by `python -m backstay`.
"""

from __future__ import annotations

import multiprocessing
import os
import subprocess
import sys
import tempfile
from collections.abc import Mapping
from pathlib import Path

LOADED = ["tests.loaded"]


def run(
    *words: str | Path, cwd: Path | None = None, stdin: bytes = b"", timeout: float = 120.0,
    environment: Mapping[str, str] | None = None,
) -> subprocess.CompletedProcess[str]:  # fmt: skip
    """Run `backstay` with words, and return its status and all that it said."""
    context = multiprocessing.get_context("forkserver")
    context.set_forkserver_preload(LOADED)
    with tempfile.TemporaryDirectory() as folder:
        given, out, err = (Path(folder) / name for name in ("in", "out", "err"))
        given.write_bytes(stdin)
        process = context.Process(
            target=_command,
            args=([*map(str, words)], str(cwd or Path.cwd()), {**os.environ, **(environment or {})}, str(given), str(out), str(err)),
        )  # fmt: skip
        process.start()
        process.join(timeout)
        if process.is_alive():
            process.kill()
            process.join()
            raise subprocess.TimeoutExpired([*map(str, words)], timeout)
        status = process.exitcode
        process.close()
        return subprocess.CompletedProcess(
            [*map(str, words)], status, out.read_text("utf-8"), err.read_text("utf-8")
        )


def _command(
    words: list[str], cwd: str, environment: dict[str, str], given: str, out: str, err: str
) -> None:
    """Become the command: its folder, environment, arguments, and what it reads and writes."""
    os.chdir(cwd)
    os.environ.clear()
    os.environ.update(environment)
    for number, (path, flags) in enumerate(
        ((given, os.O_RDONLY), (out, os.O_WRONLY | os.O_CREAT), (err, os.O_WRONLY | os.O_CREAT))
    ):
        os.dup2(os.open(path, flags), number)
    sys.stdin = open(0, encoding="utf-8", closefd=False)  # noqa: SIM115 - as long as it lives
    sys.stdout = open(1, "w", encoding="utf-8", closefd=False)  # noqa: SIM115 - as long as it lives
    sys.stderr = open(2, "w", encoding="utf-8", closefd=False)  # noqa: SIM115 - as long as it lives
    sys.argv = ["backstay", *words]
    from backstay.cli import main

    try:
        main()
    finally:
        sys.stdout.flush()
        sys.stderr.flush()
