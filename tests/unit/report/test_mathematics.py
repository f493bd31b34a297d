"""Every formula of the project typesets: Typst compiles its equation, numbers and result."""

from __future__ import annotations

import importlib
import pkgutil

import pytest
import typst

import backstay
from backstay.expression import written
from backstay.quantity import UnitSystem
from backstay.report.mathematics import TypstMath
from backstay.trace import FORMULAS, Computed
from tests.laws.test_formula_laws import evaluate, sample

for _module in pkgutil.walk_packages(backstay.__path__, "backstay."):
    importlib.import_module(_module.name)


@pytest.mark.parametrize(
    ("name", "markup"),
    [
        ("K_a", 'K_("a")'),
        ("sigma_v_prime", 'sigma\'_("v")'),
        ("H_1", "H_(1)"),
        ("FS", '"FS"'),
        ("gamma", "gamma"),
    ],
)
def test_symbols(name: str, markup: str) -> None:
    assert TypstMath().symbol(name) == markup


def test_all_formulas_compile() -> None:
    notation = TypstMath()
    lines: list[str] = []
    for formula in [f for f in FORMULAS.values() if not f.id.startswith("tests")]:
        for seed in range(60):
            values = sample(formula, seed)
            value = evaluate(formula, values)
            if value is None:
                continue
            step = Computed(formula, (), tuple(values.items()), value)
            for line in written(step, notation, UnitSystem.SI):
                parts = [line.condition, line.symbol, line.equation, line.substituted, line.result]
                lines += [
                    f"$ {part} $"
                    for part in parts
                    if part and part not in ("holds", "does not hold")
                ]
            break
    assert len(lines) > 50
    page = "\n".join(lines).encode()
    assert typst.compile(page, ignore_system_fonts=True)
