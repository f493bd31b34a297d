"""The projects that are open: one shared file and design for all windows on the same project."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from threading import Lock

from backstay.fieldbook.place import records_beside
from backstay.records.store import Records, open_records
from backstay.workbench.access.paths import UnsafePathError, safe_path
from backstay.workbench.jack import JackSite, NoSuchProjectError
from backstay.workbench.live import LiveDesign
from backstay.workbench.project_file import ProjectFile

SUFFIXES = (".yaml", ".yml")
VARIANTS = "-variants"
"""End of the name of a folder that holds variants of a project: they are reached from it."""


class OpenProject:
    """A project file with its design, kept together: every new text is designed."""

    def __init__(self, path: Path, name: str) -> None:
        """path: of the file; name: of the project in addresses, its path within the root."""
        self.name = name
        self.file = ProjectFile(path)
        self.live = LiveDesign(path.name)
        self.file.listen(lambda state: self.live.take(state.text, state.revision))
        self.live.take(self.file.text, self.file.revision)


class OpenProjects:
    """The projects of one folder, opened when first asked for."""

    def __init__(self, root: Path) -> None:
        """root: the folder; nothing outside of it is ever opened."""
        self.root = root.resolve()
        self._lock = Lock()
        self._open: dict[Path, OpenProject] = {}
        self._records: dict[Path, Records] = {}

    def names(self) -> list[str]:
        """Return the names of all project files in the folder and the folders in it."""
        return sorted(self._named())

    def _named(self) -> Iterator[str]:
        for path in self.root.rglob("*"):
            within = path.relative_to(self.root)
            hidden = any(
                part.startswith(".") or part.endswith(VARIANTS) for part in within.parts[:-1]
            ) or within.name.startswith(".")
            if path.suffix.lower() in SUFFIXES and not hidden and path.is_file():
                yield within.as_posix()

    def get(self, path: Path) -> OpenProject:
        """Return an open project; open it first. Raises ProjectError where it cannot be read."""
        with self._lock:
            if path not in self._open:
                self._open[path] = OpenProject(path, path.relative_to(self.root).as_posix())
            return self._open[path]

    def jack_site(self, name: str) -> JackSite:
        """Return where the stressing page of a project works; its records stay open.

        Raises NoSuchProjectError, ProjectError, StoreError.
        """
        try:
            path = safe_path(self.root, name)
        except UnsafePathError as error:
            raise NoSuchProjectError(str(error)) from None
        place = records_beside(path)
        if not place.exists():
            raise NoSuchProjectError(f"there are no field records of {name} yet")
        with self._lock:
            if path not in self._records:
                self._records[path] = open_records(place)
            records = self._records[path]
        return JackSite(
            self.get(path).file.project(), records, place.with_name(f"{place.name}.sent")
        )

    @contextmanager
    def closing(self) -> Iterator[OpenProjects]:
        """End all threads in the end."""
        try:
            yield self
        finally:
            for one in self._open.values():
                one.live.close()
            for records in self._records.values():
                records.close()
