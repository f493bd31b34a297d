"""The project file: what it may say, how it is read, and how it is written.

`read_project` returns a sound, frozen `Project`, or raises ProjectError with every fault at once,
each with its line, column and field, what was read, and what is accepted. `write_project` changes
values and keeps the comments. `json_schema` describes the file for editors. `starter` is a
commented project to begin with.

A bare number is in the unit of the project (SI or US customary); text may carry its own unit.
Elevations are positive upward, as on drawings; `Section.depth` is the one place that turns them
into depths below the top of wall.
"""

from backstay.model.project import Project, Section, Service
from backstay.model.reading import read_project, read_text
from backstay.model.schema import json_schema
from backstay.model.starter import starter
from backstay.model.writing import set_value, write_project

__all__ = [
    "Project",
    "Section",
    "Service",
    "json_schema",
    "read_project",
    "read_text",
    "set_value",
    "starter",
    "write_project",
]
