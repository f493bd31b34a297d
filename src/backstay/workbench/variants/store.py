"""The variants of a project: whole project files in a folder beside it, each under its name."""

from __future__ import annotations

import re
from pathlib import Path

from backstay.errors import BackstayError
from backstay.files import atomic_create
from backstay.model.reading import text_of_file

_NAME = re.compile(r"[\w][\w .,()+-]{0,59}", re.UNICODE)


class VariantError(BackstayError):
    """A variant cannot be kept under a name, or is not there."""


class Variants:
    """The variants of one project file; the folder is made when the first is kept."""

    def __init__(self, project: Path) -> None:
        """project: its file; ``wall.yaml`` has its variants in ``wall-variants``."""
        self.folder = project.with_name(f"{project.stem}-variants")

    def names(self) -> list[str]:
        """Return the names, in order."""
        if not self.folder.is_dir():
            return []
        return sorted(path.stem for path in self.folder.glob("*.yaml") if path.is_file())

    def keep(self, name: str, text: str) -> None:
        """Keep a text under a name. Raises VariantError where it is taken or cannot be a file's name."""
        path = self._path(name)
        self.folder.mkdir(exist_ok=True)
        try:
            atomic_create(path, text.encode("utf-8"))
        except FileExistsError:
            raise VariantError(
                f"There is a variant {name!r} already; choose another name."
            ) from None

    def text(self, name: str) -> str:
        """Return the text of a variant. Raises VariantError, ProjectError where it cannot be read."""
        path = self._path(name)
        if not path.is_file():
            raise VariantError(f"There is no variant {name!r} any more.")
        return text_of_file(path)

    def remove(self, name: str) -> None:
        """Remove a variant; that it is gone already is no error."""
        self._path(name).unlink(missing_ok=True)

    def _path(self, name: str) -> Path:
        if not _NAME.fullmatch(name) or name != name.strip() or name.endswith("."):
            raise VariantError(
                "A variant's name begins with a letter or digit and has up to 60 letters, digits, "
                "blanks and signs of . , ( ) + -"
            )
        return self.folder / f"{name}.yaml"
