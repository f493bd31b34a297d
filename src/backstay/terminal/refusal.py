"""A refusal as data: why there is no design, for a program that reads JSON."""

from __future__ import annotations

import json
from dataclasses import asdict

from backstay.errors import DesignError, ProjectError


def refusal_json(error: ProjectError | DesignError) -> str:
    """Return the faults of the project file, or the reason that there is no design, as JSON."""
    if isinstance(error, ProjectError):
        data = {
            "schema": "backstay-faults/1",
            "file": error.name,
            "faults": [asdict(fault) for fault in error.faults],
        }
    else:
        data = {"schema": "backstay-refusal/1", "where": error.where, "reason": error.reason}
    return json.dumps(data, indent=2, ensure_ascii=False)
