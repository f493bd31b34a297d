"""The forms of the page of an anchor: which there are, and what their fields are called."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from backstay.fieldbook.forms import FormField, List

STRESSING = "Nobody stands behind the jack or in line with the tendon while there is load on it."
DRILLING = "Locate every utility before a hole is drilled."
AS_WELL = "Record it although it does not fit, because"


@dataclass(frozen=True, slots=True)
class Form:
    """A form. caution: shown where the step is recorded; states: of anchors that it is open for."""

    entry: List
    title: str
    caution: str = ""
    states: tuple[str, ...] = ()


FORMS = (
    Form("drilled", "Drilled", DRILLING, ("planned", "submittal")),
    Form("tendons", "Tendon placed", "", ("drilled",)),
    Form("grouted", "Grouted", "", ("drilled",)),
    Form("cubes", "Strength of the grout"),
    Form("locked_off", "Locked off", STRESSING, ("accepted",)),
    Form("lifted_off", "Lifted off", STRESSING, ("locked off",)),
    Form("loads", "Load read later at a cell", ""),
    Form("repairs", "Repaired", STRESSING, ("not accepted",)),
    Form("replacements", "Replaced by another anchor", DRILLING),
    Form("remarks", "Remark"),
)
_LABELS: Mapping[str, str] = {
    "on": "When", "exception": AS_WELL, "diameter": "Diameter of the hole",
    "length": "Length of the hole", "inclination": "Inclination below the horizontal",
    "skew": "Skew in plan", "water": "Water met", "losses": "Flush lost", "casing": "Length cased",
    "creeps": "Does the ground of the bond creep", "rig": "Rig", "crew": "Crew", "method": "Method",
    "certificate": "Certificate", "area": "Area of the tendon as measured", "modulus": "Modulus",
    "guaranteed": "Guaranteed strength of the tendon", "measured": "Strength as measured",
    "proof_load": "Load at 0.1 % strain", "free_length": "Free length, plate to bond",
    "bond_length": "Bond length", "regroutable": "Tubes for re-grouting", "tendon": "Tendon",
    "heat": "Heat", "stage": "Stage", "water_cement": "Water-cement ratio", "volume": "Volume",
    "pressure": "Pressure", "cement": "Cement", "admixtures": "Admixtures", "sample": "Sample",
    "age": "Age (days)", "strengths": "Strengths, by commas", "shape": "Shape",
    "jack_load": "Load at the jack when locked", "strands": "Or of each strand, by commas",
    "seating": "Draw-in as measured", "head": "Head", "jack": "Jack", "cell": "Load cell",
    "work": "What was done", "why": "Why", "replacement": "Name of the new anchor", "text": "Remark",
    "top": "From", "bottom": "To", "description": "Ground as met", "kind": "Kind of ground",
    "loss": "Flush lost",
}  # fmt: skip
_OF: Mapping[tuple[str, str], str] = {
    ("locked_off", "load"): "Load once seated, if measured",
    ("lifted_off", "load"): "Load at which the head came off its seat",
    ("lifted_off", "loads"): "Or loads at which movement was read, by commas",
    ("lifted_off", "movements"): "Movement at each of these loads or pressures, by commas",
    ("lifted_off", "gauge"): "Or gauge pressure at which the head came off its seat",
    ("lifted_off", "strand_gauges"): "Or gauge pressure of each strand, by commas",
    ("lifted_off", "gauges"): "Or gauge pressures at which movement was read, by commas",
    ("loads", "load"): "Load", ("tendons", "certificate"): "Number of the mill certificate",
    ("locked_off", "certificate"): "Certificate of the jack",
    ("lifted_off", "certificate"): "Certificate of the jack",
}  # fmt: skip
LONG = frozenset({"text", "exception", "work", "why"})
"""Fields of several words, as wide as the form."""


def label(entry: str, field: FormField, more: str = "") -> str:
    """Return what a field is called, with its unit, and a mark where it must be filled."""
    words = _OF.get((entry, field.key)) or _LABELS.get(field.key, field.key.replace("_", " "))
    unit = f" ({field.unit})" if field.unit else ""
    return f"{words}{unit}{more}{' *' if field.needed else ''}"
