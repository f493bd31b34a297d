"""What the field commands say: sentences with a capital, names as they are."""

from __future__ import annotations

import pytest

from backstay.field_cli.work import sentence


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ("the register has no anchor '9-1'", "The register has no anchor '9-1'"),
        ("anchor A-1-001: no gauge pressures", "Anchor A-1-001: no gauge pressures"),
        ("wall.records: this is not a database", "wall.records: this is not a database"),
        ("postgresql+psycopg://nowhere/x: no answer", "postgresql+psycopg://nowhere/x: no answer"),
        ("", ""),
    ],
)
def test_a_sentence_begins_with_a_capital_but_for_a_name(words: str, said: str) -> None:
    assert sentence(words) == said
