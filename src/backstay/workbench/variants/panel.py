"""The panel of variants: keep the project as it stands, and see two designs side by side."""

from __future__ import annotations

from collections.abc import Sequence

from nicegui import run, ui

from backstay.design import Design, SectionDesign
from backstay.drawing import section_svg, slope_svg
from backstay.errors import BackstayError
from backstay.workbench.desk import Desk
from backstay.workbench.parts import choose_part
from backstay.workbench.variants.compare import Compared, compare
from backstay.workbench.variants.designs import NOW, Designs
from backstay.workbench.variants.store import VariantError, Variants

BEGIN = (
    "A variant is a copy of the project that is kept beside it. Keep one, change the project, "
    "and see here what the change does to loads, schedule, quantities and checks."
)
CHOOSE = "Choose two that differ, to see them side by side."


def build(desk: Desk) -> None:
    """Show the variants, and two designs side by side."""
    variants = Variants(desk.opened.file.path)
    designs = Designs(desk, variants)
    drawn: list[object] = []
    with ui.element("form").props('onsubmit="return false"'), ui.row().classes("items-end gap-3"):
        name = ui.input("Name of the variant").props("outlined dense maxlength=60")
        keep = ui.button("Keep the project as it stands").classes("act main").props("flat no-caps")
    with ui.row().classes("items-end gap-3"):
        first = ui.select([NOW], value=NOW, label="First").props("outlined dense").classes("w-72")
        second = ui.select([NOW], value=NOW, label="Second").props("outlined dense").classes("w-72")
        take = ui.button("Take the second").classes("act").props("flat no-caps")
        remove = ui.button("Remove the second").classes("act").props("flat no-caps")
        choose_part(desk)
    where = ui.element("div").props('aria-live="polite"')

    def offer() -> None:
        names = [NOW, *variants.names()]
        for choice in (first, second):
            choice.set_options(names, value=choice.value if choice.value in names else NOW)

    asked = [0]

    async def show() -> None:
        mine = asked[0] = asked[0] + 1
        chosen = second.value != NOW
        take.set_enabled(chosen and desk.may_design)
        remove.set_enabled(chosen and desk.may_design)
        keep.set_enabled(desk.may_design)
        if first.value == second.value:
            drawn.clear()
            where.clear()
            with where:
                ui.label(CHOOSE if variants.names() else BEGIN).classes("quiet")
            return
        one, other = first.value, second.value
        a = await run.io_bound(designs.of, one)
        b = await run.io_bound(designs.of, other)
        if mine != asked[0]:
            return  # something else was chosen meanwhile: that is shown
        shown = (a, b, one, other, desk.units, desk.part_index)
        if a is None or b is None or (drawn and _same(shown, drawn)):
            return
        drawn[:] = shown
        where.clear()
        with where:
            for title, found in ((one, a), (other, b)):
                if isinstance(found, str):
                    ui.label(f"{title}: {found}").classes("notice")
            if isinstance(a, Design) and isinstance(b, Design):
                _side_by_side(desk, (one, other), a, b)

    async def kept() -> None:
        if not desk.may_design:
            return
        try:
            variants.keep(name.value.strip(), desk.state.text)
        except (VariantError, OSError) as error:
            desk.say(str(error), "bad")
            return
        wanted = name.value.strip()
        name.value = ""
        offer()
        second.value = wanted

    async def taken() -> None:
        try:
            text = variants.text(second.value)
        except BackstayError as error:
            desk.say(str(error), "bad")
            return
        refused = await desk.rewrite(text, f"Take the variant {second.value}")
        desk.say(refused or "Taken; Undo goes back.", "bad" if refused else "good")

    async def removed() -> None:
        gone = second.value
        with ui.dialog() as asked, ui.card():
            ui.label(f"Remove the variant {gone} for good?")
            with ui.row():
                ui.button("Remove it", on_click=lambda: asked.submit(True)).classes(
                    "act main"
                ).props("flat no-caps")
                ui.button("Keep it", on_click=lambda: asked.submit(False)).classes("act").props(
                    "flat no-caps"
                )
        if await asked:
            variants.remove(gone)
            second.value = NOW
            offer()

    keep.on_click(kept)
    name.on("keydown.enter", kept)
    take.on_click(taken)
    remove.on_click(removed)
    first.on_value_change(show)
    second.on_value_change(show)
    offer()
    desk.on_change(lambda: ui.timer(0.0, show, once=True))
    ui.timer(0.0, show, once=True)


def _same(shown: Sequence[object], drawn: Sequence[object]) -> bool:
    """Say whether what is to be shown is drawn already: designs are compared by being the same one."""
    return all(
        a is b if isinstance(a, Design) else a == b for a, b in zip(shown, drawn, strict=True)
    )


def _side_by_side(desk: Desk, names: tuple[str, str], a: Design, b: Design) -> None:
    with ui.element("div").classes("two"):
        for name, one in zip(names, (a, b), strict=True):
            with ui.element("section"):
                with ui.element("h2"):
                    ui.label(name)
                part = one.parts[min(desk.part_index, len(one.parts) - 1)]
                draw = section_svg if isinstance(part, SectionDesign) else slope_svg
                ui.html(draw(part, desk.units), sanitize=False).classes("drawing")  # type: ignore[arg-type]
    found = compare(a, b, desk.units)
    ui.label("Slip surfaces are compared where both designs have looked for them.").classes("quiet")
    with ui.element("table").classes("sheet"):
        with ui.element("thead"), ui.element("tr"):
            for at, head in enumerate(("What differs", *names, "Second less first")):
                with ui.element("th").props('scope="col"').classes("number" if at else ""):
                    ui.label(head)
        with ui.element("tbody"):
            for subject in found:
                _subject(subject)


def _subject(subject: Compared) -> None:
    with ui.element("tr"), ui.element("th").props('colspan="4" scope="rowgroup"'):
        ui.label(f"{subject.title} · {len(subject.differing)} differ, {subject.same} the same")
    for line in subject.differing:
        with ui.element("tr"):
            for at, cell in enumerate((line.subject, line.first, line.second, line.difference)):
                with ui.element("td").classes("number" if at else ""):
                    ui.label(cell)
