"""The page of one anchor: what is known, what is next, forms for what happened, the verdict signed."""

from __future__ import annotations

from asyncio import Lock

from nicegui import ui

from backstay.checks import expand
from backstay.drawing.state_signs import SIGNS
from backstay.fieldbook.line_words import state_words
from backstay.fieldbook.verdicts import sign_verdict
from backstay.records.facts import VerdictIssued
from backstay.records.store import Records
from backstay.report.field.whole import wall_papers
from backstay.report.field.words import VERDICT
from backstay.tables import sentence
from backstay.workbench.desk import Desk
from backstay.workbench.field.anchor_page import (
    AnchorSeen,
    life,
    made,
    next_steps_of,
    see_anchor,
)
from backstay.workbench.field.attach_view import attach_form, attached_files
from backstay.workbench.field.correct_view import CorrectView
from backstay.workbench.field.down_rating_view import DownRatingView
from backstay.workbench.field.form_view import FormView
from backstay.workbench.field.forms import FORMS, STRESSING
from backstay.workbench.field.papers_view import hand_over
from backstay.workbench.field.places import anchor_address, jack_address, register_address
from backstay.workbench.field.tested import shown_test
from backstay.workbench.field.who import SIGNS as WHO_SIGNS
from backstay.workbench.field.who import Recorder, may_record, may_sign
from backstay.workbench.field.work import FieldWork, Refused, attempt
from backstay.workbench.markup import joined, tag


class AnchorView:
    """The page of one anchor."""

    def __init__(self, desk: Desk, work: FieldWork, anchor: str) -> None:
        """Lay the page out; `show` fills it."""
        self._desk, self._work, self._anchor = desk, work, anchor
        self._seen: AnchorSeen | None = None
        self._drawing = Lock()
        self._head = ui.element("div")
        self._body = ui.html("", sanitize=False)
        self._files = ui.element("div")
        self._entry: ui.element | None = None
        self._recorder: Recorder | None = None
        self._forms = ui.element("div").classes("no-print")
        self._life = ui.html("", sanitize=False)

    async def show(self, *, forms: bool = True) -> None:
        """Show the anchor as it stands, one time after the other.

        forms: make them anew too, which empties what is typed.
        """
        async with self._drawing:
            await self._show(forms=forms)

    async def _show(self, *, forms: bool) -> None:
        work, desk = self._work, self._desk

        def load() -> AnchorSeen:
            with work.records() as records:
                return see_anchor(records, work.rules, records.register(), self._anchor)

        found = await attempt(load, desk.units)
        if isinstance(found, Refused):
            self._head.clear()
            with self._head:
                ui.label(found.words).classes("notice").props('role="alert"')
                ui.link("To the register", register_address(desk.opened.name, part=desk.part_asked))
            return
        self._seen = found
        body = await attempt(lambda: self._markup(found), desk.units)
        if isinstance(body, Refused):
            desk.say(body.words, "bad")
            return
        self._top(found)
        self._body.content, self._life.content = body
        self._files.clear()
        if found.attached:
            with self._files:
                with ui.element("h2"):
                    ui.label("Photographs and files")
                attached_files(desk, work, found.attached)
        if forms:
            self._forms.clear()
            with self._forms:
                self._enter(found)

    def _markup(self, seen: AnchorSeen) -> tuple[str, str]:
        units, rules = self._desk.units, self._work.rules
        tests = [shown_test(one, rules, units) for one in reversed(seen.tests)]
        body = joined([joined(tests), made(seen, units)])
        return body, joined([tag("h2", "Its life, as recorded"), life(seen, units)])

    def _top(self, seen: AnchorSeen) -> None:
        desk, line = self._desk, seen.line
        name, part = desk.opened.name, desk.part_asked
        self._head.clear()
        with self._head:
            with ui.element("nav").classes("parts").props('aria-label="Anchors"'):
                ui.link("To the register", register_address(name, part=part))
                if seen.before:
                    ui.link(f"‹ {seen.before}", anchor_address(name, seen.before, part=part))
                if seen.after:
                    ui.link(f"{seen.after} ›", anchor_address(name, seen.after, part=part))
            with ui.element("h2"):
                ui.label(f"Anchor {line.anchor}")
            sign = SIGNS[line.state]
            since = f"{line.since:%Y-%m-%d %H:%M}"
            with ui.row().classes("items-center gap-2"):
                ui.label(sign.letter).classes("letter")
                ui.label(f"{sentence(state_words(line))}, since {since}")
            with ui.element("h3"):
                ui.label("What is next")
            with ui.element("ul"):
                for words in next_steps_of(seen):
                    with ui.element("li"):
                        ui.label(sentence(expand(words, desk.units)))
            ui.label(f"⚠ {STRESSING} The engineer of record decides.").classes("caution")
            with ui.row().classes("items-center gap-3 no-print"):
                ui.link("Stressing page, for use beside the jack", jack_address(name, line.anchor))
                page = ui.button("Page of the anchor as PDF").classes("act").props("flat no-caps")
                busy = ui.label().props('role="status"')
            page.set_enabled(bool(seen.tests))

            async def make() -> None:
                busy.text = "Making …"
                await hand_over(desk, self._work, _file_name(line.anchor), self._pdf, busy)

            page.on_click(make)

    def _pdf(self, records: Records) -> bytes:
        line = records.anchor(self._anchor).line
        wall = wall_papers(records, [line], self._work.rules, self._work.project)
        return wall.pages(wall.of(), self._desk.units)

    def _enter(self, seen: AnchorSeen) -> None:
        desk = self._desk
        with ui.element("h2"):
            ui.label("Record what happened")
        if not may_record(desk):
            ui.label("You may look at the records, not add to them.").classes("quiet")
            return
        ui.label(
            "What is recorded is never changed: a correction is an entry of its own, with a reason. "
            "Fields marked * are needed. A number without a unit is in the unit of its field; another unit "
            "may be written with the number."
        ).classes("quiet")
        recorder = Recorder(desk)
        line = seen.line
        unsigned = line.state == "stressed" or line.verdict_stale
        if line.tests:
            with _fold("Sign the verdict", opened=unsigned and not line.test_open):
                self._signing(seen, recorder)
        if seen.tests and seen.tests[-1].judgement.decision == "not accepted":
            with _fold("Down-rate it"):
                DownRatingView(desk, self._work, line.anchor, recorder, self.show)
        for form in FORMS:
            with _fold(form.title, opened=line.state in form.states):
                FormView(desk, self._work, line.anchor, form, recorder, self.show)
        with _fold("Photograph or file"):
            attach_form(desk, self._work, line.anchor, recorder, self.show)
        with _fold("Correct or withdraw what is recorded"):
            CorrectView(desk, self._work, seen, recorder, self.show)

    def _signing(self, seen: AnchorSeen, recorder: Recorder) -> None:
        desk, last = self._desk, seen.tests[-1]
        decision = last.judgement.decision
        ui.label(
            f"Test {last.number} as judged: {VERDICT[decision]}. The signature records the decision with "
            "its criteria; the engineer may refuse what the criteria accept, nothing makes accepted "
            "what they do not."
        )
        for issued in seen.file.of(VerdictIssued):
            if issued.fact is not None and issued.fact.test == last.number:
                stale = ", to be signed anew" if seen.line.verdict_stale else ""
                ui.label(f"Signed by {issued.fact.signed_by}: {issued.fact.decision}{stale}.")
        if not may_sign(desk):
            ui.label(WHO_SIGNS).classes("notice")
            return
        with ui.element("div").classes("fields"):
            licence = ui.input("Licence number").props("outlined dense maxlength=60")
            against = ui.input("Not accepted although the criteria are met, because")
            against.props("outlined dense maxlength=1000").classes("wide")
        button = ui.button("Sign the verdict").classes("act main").props("flat no-caps")

        async def sign() -> None:
            why = str(against.value or "").strip()
            with ui.dialog() as asked, ui.card():
                outcome = "not accepted" if why else VERDICT[decision]
                ui.label(f"Sign test {last.number} of {seen.line.anchor}: {outcome}?")
                with ui.row():
                    yes = ui.button("Sign it", on_click=lambda: asked.submit(True))
                    yes.classes("act main").props("flat no-caps")
                    no = ui.button("Leave it", on_click=lambda: asked.submit(False))
                    no.classes("act").props("flat no-caps")
            if not await asked or not may_sign(desk):
                return
            number = str(licence.value or "").strip()

            def work() -> str:
                by = recorder.name
                with self._work.records() as records:
                    line = records.anchor(self._anchor).line
                    fact = sign_verdict(
                        records, line, self._work.rules, desk.units, by=by, licence=number,
                        test=last.number, against=why,
                    )  # fmt: skip
                return f"Test {fact.test}: {fact.decision}, signed by {by}."

            done = await attempt(work, desk.units)
            if isinstance(done, Refused):
                desk.say(done.words, "bad")
                return
            desk.say(done, "good")
            await self.show()

        button.on_click(sign)


def _fold(title: str, *, opened: bool = False) -> ui.element:
    """Return a part that opens and closes."""
    part = ui.element("details")
    if opened:
        part.props("open")
    with part, ui.element("summary"):
        ui.label(title).style("display: inline")
    return part


def _file_name(anchor: str) -> str:
    kept = "".join(c if c.isalnum() or c in "-_" else "-" for c in anchor).strip("-")
    return f"anchor-{kept[:80] or 'page'}.pdf"
