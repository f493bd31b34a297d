"""The projects that are open: one shared file and design for all windows on the same project."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from threading import Lock

from backstay.fieldbook.place import records_beside, records_place
from backstay.records.store import Records, open_records
from backstay.workbench.access.paths import UnsafePathError, safe_path
from backstay.workbench.jack import JackSite, NoSuchProjectError
from backstay.workbench.live import LiveDesign
from backstay.workbench.project_file import ProjectFile, State

SUFFIXES = (".yaml", ".yml")
VARIANTS = "-variants"
"""End of the name of a folder that holds variants of a project: they are reached from it."""


class OpenProject:
    """A project file with its design, kept together: every new text is designed."""

    def __init__(self, path: Path, name: str, told: str = "") -> None:
        """path: of the file; name: of the project in addresses, its path within the root.

        told: another place of the field records than beside the file.
        """
        self.name = name
        self.records: Path | str = records_place(path, told)
        self.file = ProjectFile(path)
        self.live = LiveDesign(path.name)
        self._designed: str | None = None
        self.file.listen(self._take)
        self._take(self.file.state)

    def _take(self, state: State) -> None:
        """Design a text that has not been designed: what is only saved stays as it was found."""
        if state.text != self._designed:
            self._designed = state.text
            self.live.take(state.text, state.revision)


class OpenProjects:
    """The projects of one folder, opened when first asked for."""

    def __init__(self, root: Path, first: str = "", told: str = "") -> None:
        """root: the folder; nothing outside of it is ever opened, but for records.

        told: where the field records of the project `first` are, "" for beside it. Records of one
        place are those of one project: those of all others are beside them.
        """
        self.root = root.resolve()
        self._told = {first: told} if first and told else {}
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
                name = path.relative_to(self.root).as_posix()
                self._open[path] = OpenProject(path, name, self._told.get(name, ""))
            return self._open[path]

    def jack_site(self, name: str) -> JackSite:
        """Return where the stressing page of a project works; its records stay open.

        Raises NoSuchProjectError, ProjectError, StoreError.
        """
        try:
            path = safe_path(self.root, name)
        except UnsafePathError as error:
            raise NoSuchProjectError(str(error)) from None
        if not path.is_file():
            raise NoSuchProjectError(f"there is no project {name}")
        project = self.get(path)
        place = project.records
        if isinstance(place, Path) and not place.exists():
            raise NoSuchProjectError(f"there are no field records of {name} yet")
        with self._lock:
            if path not in self._records:
                self._records[path] = open_records(place)
            records = self._records[path]
        beside = place if isinstance(place, Path) else records_beside(path)
        return JackSite(project.file.project(), records, beside.with_name(f"{beside.name}.sent"))

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
