"""Published tables, each with its source: sections, steels, tendons, bond, lagging, movement.

Every table is a CSV file beside this module whose first lines name title, source, provenance and
units as printed. The loaders give typed, frozen rows in internal units (kN, m, kPa, kg). Each row
says its source and provenance; `memory` names fields that are recalled and were not re-read.
A name that no row has raises LookupError with the close ones. Values are kept as printed:
nothing is rounded or repaired here, and no function chooses a value.
"""

from __future__ import annotations

from backstay.data.bond import (
    BondStress,
    BondTransfer,
    bond_stress,
    bond_stress_of,
    bond_transfer,
    bond_transfer_of,
)
from backstay.data.corrosion import (
    CorrosionLimit,
    ProtectionRule,
    corrosion_limits,
    protection_rules,
)
from backstay.data.grades import SteelGrade, SteelStep, steel_grade, steel_grades
from backstay.data.lagging import (
    LaggingGround,
    LaggingRow,
    Timber,
    TimberFactor,
    lagging_grounds,
    lagging_table,
    timber,
    timber_factor,
    timber_factors,
    timbers,
)
from backstay.data.movement import (
    DamageCategory,
    SettlementTrough,
    TroughPoint,
    TypicalMovement,
    damage_categories,
    settlement_trough,
    settlement_troughs,
    typical_movements,
)
from backstay.data.sections import ShapeKind, Standard, SteelShape, steel_shape, steel_shapes
from backstay.data.table import PublishedTable, Record, read_table
from backstay.data.tendons import (
    Bar,
    Strand,
    TendonHole,
    bar,
    bars,
    strand,
    strands,
    tendon_holes,
)

__all__ = [
    "Bar",
    "BondStress",
    "BondTransfer",
    "CorrosionLimit",
    "DamageCategory",
    "LaggingGround",
    "LaggingRow",
    "ProtectionRule",
    "PublishedTable",
    "Record",
    "SettlementTrough",
    "ShapeKind",
    "Standard",
    "SteelGrade",
    "SteelShape",
    "SteelStep",
    "Strand",
    "TendonHole",
    "Timber",
    "TimberFactor",
    "TroughPoint",
    "TypicalMovement",
    "bar",
    "bars",
    "bond_stress",
    "bond_stress_of",
    "bond_transfer",
    "bond_transfer_of",
    "corrosion_limits",
    "damage_categories",
    "lagging_grounds",
    "lagging_table",
    "protection_rules",
    "read_table",
    "settlement_trough",
    "settlement_troughs",
    "steel_grade",
    "steel_grades",
    "steel_shape",
    "steel_shapes",
    "strand",
    "strands",
    "tendon_holes",
    "timber",
    "timber_factor",
    "timber_factors",
    "timbers",
    "typical_movements",
]
