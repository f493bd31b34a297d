"""Offering cures of a failing check: looked for in a thread when asked, with progress and cancel."""

from __future__ import annotations

from collections.abc import Iterator

from markupsafe import Markup
from nicegui import run, ui

from backstay.checks import Verdict, expand
from backstay.design import Design
from backstay.errors import DesignError, ProjectError
from backstay.quantity import UnitSystem
from backstay.report.prose import prose
from backstay.tables import sentence
from backstay.workbench.checks.cures import Cure, Search, find_cures
from backstay.workbench.checks.listing import Key
from backstay.workbench.desk import Desk, words_of
from backstay.workbench.markup import joined, tag
from backstay.workbench.variants.compare import Line, compare

SHOWN_CHANGES = 12
"""Differences of each subject that are shown at most; the number of the rest is told."""


class CureOffer:
    """The place below a failing check where its cures are looked for and set."""

    def __init__(self, desk: Desk) -> None:
        """Build it, empty, where the page is being built."""
        self.desk = desk
        self.search: Search | None = None
        self.key: Key | None = None
        self.revision = -1
        self.place = ui.element("section").classes("cures").props('aria-label="Cures"')
        self.timer = ui.timer(0.25, self._look, active=False)

    def show(self, key: Key, verdict: Verdict) -> None:
        """Stand below a check; what was found for another, or for another state, is dropped."""
        revision = self.desk.opened.file.revision
        if (key, revision) == (self.key, self.revision) and verdict is Verdict.FAIL:
            return
        self.cancel()
        self.key, self.revision, self.search = key, revision, None
        self.place.clear()
        if verdict is Verdict.FAIL and self.desk.may_design:
            with self.place:
                button = ui.button("Look for one value that cures it", on_click=self.start)
                button.classes("act").props("flat no-caps")

    def cancel(self) -> None:
        """End a search: what it found so far stays, if it is of what is shown."""
        self.timer.deactivate()
        if self.search is not None:
            self.search.stop.set()

    async def start(self) -> None:
        """Look for cures in a thread."""
        key, revision, desk = self.key, self.revision, self.desk
        if key is None:
            return
        search = self.search = Search()
        self.place.clear()
        with self.place, ui.element("div").classes("progress"):
            self.said = ui.label("Designing again …").props('role="status" aria-live="polite"')
            stop = ui.button("Stop", on_click=self._stop).classes("act").props("flat no-caps")
            # once it is there: the button that was pressed is gone
            ui.run_javascript(f"setTimeout(() => getHtmlElement({stop.id})?.focus(), 50)")
        self.timer.activate()
        file = desk.opened.file
        try:
            await run.io_bound(find_cures, file.text, file.path.name, key, desk.units, search)
        except (ProjectError, DesignError) as error:
            words = words_of(error) if isinstance(error, ProjectError) else expand(str(error), desk.units)  # fmt: skip
            if self.search is search:
                self._refused(words)
            return
        finally:
            if self.search is search:
                self.timer.deactivate()
        if self.search is search and revision == file.revision:
            self._found(search)

    def _stop(self) -> None:
        if self.search is not None:
            self.search.stop.set()

    def _look(self) -> None:
        search = self.search
        if search is not None:
            trying = f"trying {search.trying}" if search.trying else "beginning"
            found = f", {len(search.found)} found" if search.found else ""
            self.said.text = f"Designing again: {trying} ({search.designs} designs{found})"

    def _refused(self, words: str) -> None:
        self.place.clear()
        with self.place:
            ui.label(words).classes("notice").props('role="alert"')

    def _found(self, search: Search) -> None:
        self.place.clear()
        units = self.desk.units
        with self.place:
            ui.label(_summary(search)).props('role="status"')
            for cure in search.found:
                with ui.element("article").classes("cure"):
                    ui.html(
                        joined(
                            [
                                tag("h4", sentence(cure.words(units))),
                                *effects(cure.before, cure.after, units),
                            ]
                        ),
                        sanitize=False,
                    )
                    words = f"Set {cure.knob.words} to {cure.knob.text(cure.value, units)}"
                    button = ui.button(words, on_click=lambda _, cure=cure: self._set(cure))
                    button.classes("act main").props("flat no-caps")
            ui.html(_tried(search), sanitize=False)
            ui.button("Look again", on_click=self.start).classes("act bare").props("flat no-caps")

    async def _set(self, cure: Cure) -> None:
        words = f"{cure.knob.words}: {cure.knob.text(cure.value, self.desk.units)}"
        refused = await self.desk.edit(cure.changes, sentence(words))
        if refused:
            with self.place:
                ui.label(refused).classes("notice").props('role="alert"')
        else:
            self.desk.say(f"{sentence(words)}. Undo takes it back.", "good")


def _summary(search: Search) -> str:
    """Return in words what was found."""
    ended = {
        "stopped": "Stopped before all was tried. ",
        "out of time": "Time ran out before all was tried. ",
    }.get(search.ended, "")
    count = len(search.found)
    if not count:
        return f"{ended}No single value was found that cures it without another check failing."
    each = "One value cures it" if count == 1 else f"{count} values cure it, each alone"
    return f"{ended}{each}; no check then fails that passes now:"


def _tried(search: Search) -> Markup:
    """Return what else was tried, and what would not do."""
    near = [
        tag("li", f"{sentence(n.words)}: then these would fail: {'; '.join(n.fails)}.")
        for n in search.near
    ]
    tried = ", ".join(dict.fromkeys(search.tried)) or "nothing"
    would = [tag("p", "With these it would pass, and others fail:"), tag("ul", *near)]
    return tag(
        "div",
        *(would if near else []),
        tag("p", f"Tried: {tried}; {search.designs} designs.", class_="quiet"),
    )


def effects(before: Design, after: Design, units: UnitSystem) -> Iterator[Markup]:
    """Yield what else changes between two designs, by subject."""
    failing = sum(check.verdict is Verdict.FAIL for _, check in after.checks)
    rest = (
        "then no check fails" if not failing
        else f"{failing} other check{'s fail' if failing > 1 else ' fails'} as before"
    )  # fmt: skip
    left_out = all(s.overall is None for s in after.sections) and after.sections
    slips = "; slip surfaces are looked for once it is set" if left_out else ""
    yield tag("p", f"What else changes ({rest}{slips}):")
    items = []
    for subject in compare(before, after, units):
        lines = [line for line in subject.differing if _counts(line)]
        shown = [tag("li", prose(_line_words(line), units)) for line in lines[:SHOWN_CHANGES]]
        if len(lines) > SHOWN_CHANGES:
            shown.append(tag("li", f"and {len(lines) - SHOWN_CHANGES} more"))
        if shown:
            items.append(
                tag(
                    "details",
                    tag("summary", f"{subject.title} ({len(lines)})"),
                    tag("ul", *shown),
                )
            )
    yield tag("div", *items) if items else tag("p", "Nothing that is printed.", class_="quiet")


def _counts(line: Line) -> bool:
    """Say whether a difference is told: of utilisations, from a twentieth or a verdict on."""
    if not line.subject.endswith(": utilisation"):
        return True
    if line.first[:1] != line.second[:1] or not line.difference:
        return True
    return abs(float(line.difference.replace("−", "-"))) >= 0.05


def _line_words(line: Line) -> str:
    change = f" ({line.difference})" if line.difference else ""
    return f"{line.subject} {line.first} → {line.second}{change}"
