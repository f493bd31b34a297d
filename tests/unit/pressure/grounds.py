"""Invented design sections for the tests of pressure, in SI."""

from __future__ import annotations

from typing import Any

from backstay.model.project import Section, Service

TEMPORARY = Service(life="temporary")
PERMANENT = Service(life="permanent")


def sand(
    top: float = 0.0, *, phi: float = 32.0, gamma: float = 18.0, **more: Any
) -> dict[str, Any]:
    return {
        "name": f"Sand at {top:g}", "top": top, "kind": "granular", "moist_unit_weight": gamma,
        "saturated_unit_weight": 20.0, "friction_angle": phi, **more,
    }  # fmt: skip


def clay(
    top: float = 0.0, *, su: float = 25.0, gamma: float = 18.0, kind: str = "soft clay", **more: Any
) -> dict[str, Any]:
    return {
        "name": f"Clay at {top:g}", "top": top, "kind": kind, "moist_unit_weight": gamma,
        "saturated_unit_weight": gamma, "undrained_strength": su, **more,
    }  # fmt: skip


def rock(top: float = 0.0, **more: Any) -> dict[str, Any]:
    return {
        "name": f"Rock at {top:g}", "top": top, "kind": "rock", "moist_unit_weight": 25.0,
        "saturated_unit_weight": 25.0, **more,
    }  # fmt: skip


def section(
    *strata: dict[str, Any],
    H: float = 10.0,
    rows: tuple[float, ...] = (2.5, 6.25),
    width: float | None = None,
    water: float | None = None,
    pressure: dict[str, Any] | None = None,
    ground: dict[str, Any] | None = None,
    **more: Any,
) -> Section:
    """Return a section with its top at elevation 0; rows and water are depths."""
    return Section.model_validate(
        {
            "name": "A",
            "wall_length": 40.0,
            "ground": {
                "top": 0.0,
                "strata": list(strata),
                "water": {} if water is None else {"retained": -water},
                **(ground or {}),
            },
            "cut": {"subgrade": -H, "width": width},
            "wall": {"kind": "soldier piles", "section": "HP14x89", "spacing": 2.5},
            "anchors": [{"elevation": -z} for z in rows],
            "pressure": pressure or {},
            **more,
        }
    )
