"""Generate the pages that follow from the code: equations, project file, result, verification.

Run by `make docs`. The verification page is kept in the repository, so that it can be read without
building anything; `--check` fails if the one there is out of date.
"""

from __future__ import annotations

import importlib
import json
import pkgutil
import sys
from itertools import groupby
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parent.parent
sys.path[:0] = [str(ROOT)]


import backstay  # noqa: E402
from backstay.expression import written  # noqa: E402
from backstay.mathml import MathML  # noqa: E402
from backstay.quantity import UnitSystem, significant  # noqa: E402
from backstay.trace import FORMULAS, Computed, Formula  # noqa: E402

ROOMS = {
    "pressure": "Earth pressure",
    "anchors": "Anchors",
    "wall": "Wall",
    "stability": "Stability: base, slips, slopes",
    "movement": "Movement",
    "ground": "Ground",
    "stressing": "Load tests, lock-off and lift-off",
    "records": "Field records",
    "fieldbook": "Field books and tables of readings",
}


def import_all() -> None:
    """Import every module, so that every formula is registered."""
    for module in pkgutil.walk_packages(backstay.__path__, "backstay."):
        importlib.import_module(module.name)


def variants(formula: Formula[...]) -> list[tuple[str, list[str]]]:
    """Return the written forms of a formula: (condition, lines), one for each branch met."""
    from tests.laws.test_formula_laws import evaluate, sample

    notation = MathML()
    found: dict[tuple[str, ...], tuple[str, list[str]]] = {}
    for seed in range(80):
        values = sample(formula, seed)
        value = evaluate(formula, values)
        if value is None:
            continue
        lines = written(
            Computed(formula, (), tuple(values.items()), value), notation, UnitSystem.SI
        )
        conditions = [
            f"{'' if line.result == 'holds' else 'not '}<math>{line.condition}</math>"
            for line in lines
            if line.condition
        ]
        shown = [
            f"<math display='block'>{line.symbol}<mo>=</mo>{line.equation or line.result}</math>"
            for line in lines
            if not line.condition
        ]
        found.setdefault(tuple(shown), (", ".join(conditions), shown))
    return list(found.values())


def equations_page() -> str:
    """Return the page of every equation, by room."""
    out = [
        "# Equations",
        "",
        "Every design equation, written from the definition that runs. Quantities are in one consistent system of units;",
        "an equation marked *empirical* holds in kN, m and kPa only.",
        "",
    ]
    formulas = sorted(
        (f for f in FORMULAS.values() if not f.id.startswith("tests")),
        key=lambda f: (f.id.split(".")[0], f.id),
    )
    for room, group in groupby(formulas, key=lambda f: f.id.split(".")[0]):
        out += [f"## {ROOMS.get(room, room)}", ""]
        for formula in group:
            out += [f"### {formula.title}", ""]
            for condition, lines in variants(formula):
                if condition:
                    out += [f"where {condition}:", ""]
                out += [*lines, ""]
            names = "; ".join(
                f"<math>{MathML().symbol(a.name)}</math> {a.meaning}"
                + (f" ({a.quantity.si.label})" if a.quantity.si.label else "")
                for a in formula.arguments
            )
            mark = " *Empirical.*" if formula.empirical else ""
            out += [
                f"{names}.{mark}",
                "",
                f"Source: {formula.cite}. Definition: `backstay.{formula.id}`.",
                "",
            ]
    return "\n".join(out)


def project_page() -> str:
    """Return the reference of the project file, from its schema."""
    from backstay.model.schema import json_schema

    schema = json_schema()
    out = [
        "# The project file, field by field",
        "",
        "A bare number is in the project's unit; any value may carry its own (`30 ft`, `115 pcf`, `3 ksf`).",
        "Unknown keys are refused.",
        "",
    ]
    entries: dict[str, Any] = {"Project": schema, **schema.get("$defs", {})}
    for name, entry in entries.items():
        if "properties" not in entry:
            continue
        words = " ".join(entry.get("description", "").split())
        out += [
            f"## {name}",
            "",
            words,
            "",
            "| key | accepts | default | meaning |",
            "|---|---|---|---|",
        ]
        required = set(entry.get("required", ()))
        for key, field in entry["properties"].items():
            default = "required" if key in required else _inline(field.get("default"))
            meaning = " ".join(str(field.get("description", "")).split()).replace("|", "\\|")
            out.append(f"| `{key}` | {_accepts(field)} | {default} | {meaning} |")
        out.append("")
    return "\n".join(out)


def _inline(value: object) -> str:
    if value in (None, "", [], {}):
        return ""
    if isinstance(value, (dict, list)):
        return "see entry"
    return f"`{value}`"


def _accepts(field: dict[str, Any]) -> str:
    if "$ref" in field:
        return _link(field["$ref"])
    if "const" in field:
        return f"`{field['const']}`"
    if "enum" in field:
        return ", ".join(f"`{v}`" for v in field["enum"])
    for union in ("anyOf", "oneOf"):
        if union in field:
            parts = [_accepts(f) for f in field[union] if f.get("type") != "null"]
            return " or ".join(dict.fromkeys(parts))
    if field.get("type") == "array":
        return "list of " + _accepts(field.get("items", {}))
    return str(field.get("type", "value"))


def _link(reference: str) -> str:
    name = reference.rsplit("/", 1)[-1]
    return f"[{name}](#{name.lower()})"


def verification_page() -> str:
    """Return the table of published and closed-form values beside what Backstay computes."""
    from tests.verification.catalogue import all_cases

    cases = sorted(all_cases(), key=lambda c: (c.room, c.id))
    count = {
        p: sum(c.provenance == p for c in cases)
        for p in ("published", "formula", "memory", "common practice")
    }
    out = [
        "# Verification",
        "",
        f"{len(cases)} values from outside the project beside what Backstay computes: {count['published']} published, "
        f"{count['formula']} from formulas or closed forms, {count['memory']} recalled from a named source and not re-read, "
        f"{count['common practice']} of common practice. A case that misses its tolerance fails the build.",
        "",
    ]
    for room, group in groupby(cases, key=lambda c: c.room):
        out += [
            f"## {ROOMS.get(room, room)}",
            "",
            "| case | inputs | expected | computed | deviation | tolerance | source |",
            "|---|---|---|---|---|---|---|",
        ]
        for case in group:
            computed = case.compute()
            absolute = getattr(case, "absolute", False)
            off = computed - case.expected
            deviation = significant(off, 2) if absolute else f"{100 * off / case.expected:+.2f} %"
            tolerance = (
                significant(case.tolerance, 3) if absolute else f"{100 * case.tolerance:g} %"
            )
            if deviation in ("+0.00 %", "-0.00 %"):
                deviation = "0.00 %"
            source = f"{case.source} ({case.provenance})" + (f". {case.note}" if case.note else "")
            cells = [
                case.title, case.inputs, f"{case.expected:g} {case.unit}", f"{significant(computed, 5)} {case.unit}",
                deviation, tolerance, source,
            ]  # fmt: skip
            out.append(
                "| " + " | ".join(c.replace("|", "\\|").replace("\n", " ") for c in cells) + " |"
            )
        out.append("")
    return "\n".join(out)


def result_page() -> str:
    """Return the published schemas of the JSON results."""
    from backstay.results import result_schema
    from backstay.results.field import field_schema

    out = ["# The result as JSON", ""]
    for command, schema in (
        ("backstay check FILE --json", result_schema()),
        ("backstay field register FILE --json", field_schema("register")),
        ("backstay field judge FILE --json", field_schema("judgements")),
    ):
        out += [f"`{command}` prints this.", "", "```json", json.dumps(schema, indent=2), "```", ""]
    return "\n".join(out)


def main() -> int:
    """Write the pages; with --check, compare the verification page only."""
    import_all()
    page = ROOT / "docs" / "verification.md"
    if "--check" in sys.argv:
        if not page.exists() or page.read_text("utf-8") != verification_page():
            print("docs/verification.md is out of date: run `make docs` and commit it")
            return 1
        return 0
    folder = ROOT / "docs" / "reference"
    folder.mkdir(exist_ok=True)
    page.write_text(verification_page(), "utf-8")
    (folder / "equations.md").write_text(equations_page(), "utf-8")
    (folder / "project-file.md").write_text(project_page(), "utf-8")
    (folder / "result.md").write_text(result_page(), "utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
