"""Every table: its header, its rows, and how a name is found."""

from dataclasses import is_dataclass
from importlib.resources import files
from typing import get_args

import pytest

from backstay import data
from backstay.cite import Provenance

NAMES = sorted(
    entry.name.removesuffix(".csv")
    for entry in files("backstay.data").iterdir()
    if entry.name.endswith(".csv")
)
TABLES = [
    data.bars, data.bond_stress, data.bond_transfer, data.corrosion_limits,
    data.damage_categories, data.lagging_grounds, data.lagging_table, data.protection_rules,
    data.settlement_troughs, data.steel_grades, data.strands, data.tendon_holes,
    data.timber_factors, data.timbers, data.typical_movements,
]  # fmt: skip
LOOKUPS = [
    (data.bar, "a722 1-3/8 IN", "2 in"),
    (data.bond_stress_of, "Dense Glacial Till", "dense till"),
    (data.bond_transfer_of, "sand DENSE", "sand"),
    (data.settlement_trough, "Concave", "convex"),
    (data.steel_grade, "a572 gr 50", "A573"),
    (data.strand, "15.24", "15.20"),
    (data.timber, "Mixed Hardwood", "balsa"),
    (data.timber_factor, "Wet bending", "dry"),
]


@pytest.mark.parametrize("name", NAMES)
def test_a_table_says_title_source_provenance_and_units(name):
    table = data.read_table(name)
    assert all((table.title, table.source, table.provenance, table.units, table.records))
    for record in table.records:
        assert record.source
        assert record.provenance in get_args(Provenance)


@pytest.mark.parametrize("name", NAMES)
def test_every_table_is_listed_with_its_provenance(name):
    readme = files("backstay.data").joinpath("README.md").read_text(encoding="utf-8")
    assert f"`{name}.csv`" in readme


@pytest.mark.parametrize("load", TABLES)
def test_rows_are_frozen_sourced_and_loaded_once(load):
    rows = load()
    assert rows is load()
    for row in rows:
        assert is_dataclass(row)
        assert row.source
        assert row.provenance in get_args(Provenance)
        with pytest.raises(AttributeError):
            row.source = ""


@pytest.mark.parametrize(("find", "known", "unknown"), LOOKUPS)
def test_names_are_found_without_case_and_refused_with_choices(find, known, unknown):
    row = find(known)
    assert row is find(known.upper())
    with pytest.raises(LookupError, match=r"did you mean: .+"):
        find(unknown)


@pytest.mark.parametrize(
    ("rows", "names"),
    [
        (data.strands(), lambda row: (row.name, *row.aliases)),
        (data.bars(), lambda row: (row.name, *row.aliases)),
        (data.steel_grades(), lambda row: (row.name, *row.aliases)),
        (data.bond_stress(), lambda row: (row.name,)),
        (data.bond_transfer(), lambda row: (row.name,)),
        (data.timbers(), lambda row: (row.name,)),
    ],
)
def test_no_name_means_two_rows(rows, names):
    seen = [name.casefold() for row in rows for name in set(map(str.casefold, names(row)))]
    assert len(seen) == len(set(seen))


def test_import_pulls_in_nothing_heavy():
    import subprocess
    import sys

    code = (
        "import sys, backstay.data; "
        "print(sorted({'numpy','scipy','pint','pydantic','ruamel','difflib'} & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
