"""Variants lie as whole project files in a folder beside the project, and nowhere else."""

from __future__ import annotations

from pathlib import Path

import pytest

from backstay.workbench.opened import OpenProjects
from backstay.workbench.variants.store import VariantError, Variants

TEXT = (Path(__file__).parents[4] / "examples" / "two-row-sand.yaml").read_text()


def test_what_is_kept_is_read_back_and_can_be_removed(tmp_path: Path) -> None:
    project = tmp_path / "wall.yaml"
    project.write_text(TEXT)
    variants = Variants(project)
    assert variants.names() == []
    variants.keep("Closer piles, 7 ft", TEXT + "# seven\n")
    assert variants.names() == ["Closer piles, 7 ft"]
    assert variants.text("Closer piles, 7 ft").endswith("# seven\n")
    assert (tmp_path / "wall-variants" / "Closer piles, 7 ft.yaml").is_file()
    assert OpenProjects(tmp_path).names() == ["wall.yaml"], "a variant is no project of its own"
    with pytest.raises(VariantError, match="already"):
        variants.keep("Closer piles, 7 ft", "other")
    assert variants.text("Closer piles, 7 ft").endswith("# seven\n")
    variants.remove("Closer piles, 7 ft")
    variants.remove("Closer piles, 7 ft")
    assert variants.names() == []
    with pytest.raises(VariantError, match="no variant"):
        variants.text("Closer piles, 7 ft")


@pytest.mark.parametrize(
    "name",
    [
        "",
        " ",
        "../wall",
        "a/b",
        "a\\b",
        ".hidden",
        "a\n",
        "x" * 61,
        "a\0",
        "<b>",
        "C:",
        "end.",
        "end ",
    ],
)
def test_a_name_never_leads_out_of_the_folder(tmp_path: Path, name: str) -> None:
    project = tmp_path / "wall.yaml"
    project.write_text(TEXT)
    for use in (lambda v: v.keep(name, "x"), lambda v: v.text(name), lambda v: v.remove(name)):
        with pytest.raises(VariantError, match="begins with a letter"):
            use(Variants(project))
    assert sorted(path.name for path in tmp_path.rglob("*")) == ["wall.yaml"]
