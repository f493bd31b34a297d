"""Drawings to test: every case in both unit systems, as sheet and as figure."""

from __future__ import annotations

from typing import Any

import pytest

from backstay.drawing.marks import Drawing
from backstay.quantity import UnitSystem
from tests.unit.drawing.cases import CASES, compose


@pytest.fixture(scope="session", params=list(CASES))
def case(request: pytest.FixtureRequest) -> dict[str, Any]:
    return CASES[request.param]


@pytest.fixture(scope="session", params=["section", "elevation"])
def kind(request: pytest.FixtureRequest) -> str:
    return request.param


@pytest.fixture(scope="session", params=list(UnitSystem))
def units(request: pytest.FixtureRequest) -> UnitSystem:
    return request.param


@pytest.fixture(scope="session", params=["sheet", "figure"])
def drawing(
    request: pytest.FixtureRequest, case: dict[str, Any], kind: str, units: UnitSystem
) -> Drawing:
    return compose(case, kind, request.param, units)


@pytest.fixture(scope="session")
def sheet_drawing(case: dict[str, Any], kind: str, units: UnitSystem) -> Drawing:
    return compose(case, kind, "sheet", units)


@pytest.fixture(
    scope="session",
    params=["two-row-sand", "three-row-layered-water", "four rows, nine thin strata"],
)
def filed_drawing(request: pytest.FixtureRequest, kind: str, units: UnitSystem) -> Drawing:
    """Return the drawings that are also written and opened as files, which takes longer."""
    return compose(CASES[request.param], kind, "sheet", units)
