"""The face of each wall of a project, for the elevation by state: length along it and depth of cut."""

from __future__ import annotations

from backstay.drawing.states import Face
from backstay.model.project import Project


def faces_of(project: Project) -> dict[str, Face]:
    """Return the face of each section of wall by its name."""
    return {
        one.name: Face(length=one.wall_length, depth=one.ground.top - one.cut.subgrade)
        for one in project.sections
    }
