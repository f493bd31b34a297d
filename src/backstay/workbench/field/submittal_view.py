"""A contractor's submittal brought in: checked against the design, its decision shown and recorded."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from markupsafe import Markup
from nicegui import events, ui

from backstay.design import Design
from backstay.fieldbook.moments import moment_of
from backstay.fieldbook.submittals import covered, record_submittal
from backstay.model.document import MAX_BYTES, decode
from backstay.model.submittal_reading import submittal_text
from backstay.quantity import UnitSystem
from backstay.report.field.submittal_page import submittal_page_bytes
from backstay.stressing.submittal import SubmittalReview, review_submittal
from backstay.tables import sentence
from backstay.workbench.desk import Desk
from backstay.workbench.field.anchor_page import table
from backstay.workbench.field.bringing import fault_rows
from backstay.workbench.field.papers_view import hand_over
from backstay.workbench.field.uploading import uploader
from backstay.workbench.field.who import READS, Recorder, may_record
from backstay.workbench.field.work import FieldError, FieldWork, Refused, attempt
from backstay.workbench.markup import joined, tag


@dataclass(frozen=True, slots=True)
class Reviewed:
    """A submittal as judged, and the anchors of the register that it is about."""

    review: SubmittalReview
    anchors: tuple[str, ...]


def reviewed(content: bytes, name: str, work: FieldWork, design: Design) -> Reviewed:
    """Return a submittal judged. Raises ProjectError with every fault and its place."""
    offered = submittal_text(decode(content, name), name)
    review = review_submittal(offered, design, work.rules)
    with work.records() as records:
        return Reviewed(review, covered(records.register(), offered))


def shown_review(found: Reviewed, units: UnitSystem) -> Markup:
    """Return the decision, why, and every line as offered and as needed."""
    review = found.review
    sign, look = ("✗", "verdict-fail") if review.decision == "revise" else ("✓", "verdict-pass")
    met = sum(not item.failed for item in review.items)
    words = f"Submittal {review.submittal.submittal}: {review.decision}"
    heads = ("What", "Offered", "Needed")
    return joined([
        tag("p", f"{sign} {words}", class_=f"verdict decision {look}"),
        tag("ul", [tag("li", sentence(reason)) for reason in review.reasons(units)]),
        tag("p", f"{met} of {len(review.items)} lines are met. "
            f"It is about {len(found.anchors)} anchors of the register."),
        table(heads, review.statement(units), "lrr"),
    ])  # fmt: skip


class SubmittalView:
    """The part of the panel that takes a submittal."""

    def __init__(self, desk: Desk, work: FieldWork) -> None:
        """Show it."""
        self._desk, self._work = desk, work
        self._found: Reviewed | None = None
        ui.label(
            "A contractor's submittal (YAML) is checked against the design, line by line. Nothing is "
            "recorded until you have seen the decision. The review advises; acceptance takes no duty "
            "from the contractor, and the engineer of record decides."
        ).classes("quiet")
        uploader(
            f"Submittal (YAML), up to {MAX_BYTES // 1_000_000} MB", self._dropped,
            lambda words: self._refuse(Refused(words)), most=MAX_BYTES, kinds=".yaml,.yml",
        )  # fmt: skip
        self._where = ui.html("", sanitize=False).props('role="status" aria-live="polite"')
        self._after = ui.element("div")
        with self._after:
            with ui.row().classes("items-center gap-3"):
                page = ui.button("Page of the review as PDF").classes("act")
                page.props("flat no-caps").on_click(self._page)
                self._busy = ui.label().props('role="status"')
            if may_record(desk):
                self._recorder = Recorder(desk)
                self._on = ui.input("When it was decided; now if empty").props("outlined dense")
                record = ui.button("Record the decision", on_click=self._record)
                record.classes("act main").props("flat no-caps")
            else:
                ui.label(READS).classes("quiet")
        self._after.set_visibility(False)

    async def _dropped(self, event: events.UploadEventArguments) -> None:
        content, name = await event.file.read(), event.file.name
        standing = self._desk.standing

        def work() -> Reviewed:
            if standing is None or standing.design is None:
                raise FieldError("The project cannot be designed as it stands.")
            return reviewed(content, name, self._work, standing.design)

        found = await attempt(work, self._desk.units)
        if isinstance(found, Refused):
            self._refuse(found, name)
            return
        self._found = found
        self._where.content = shown_review(found, self._desk.units)
        self._busy.text = ""
        self._after.set_visibility(True)

    async def _page(self) -> None:
        found, units = self._found, self._desk.units
        if found is not None:
            project = self._work.project.project
            self._busy.text = "Making …"
            await hand_over(
                self._desk, self._work, "submittal.pdf",
                lambda _: submittal_page_bytes(found.review, units, project=project), self._busy,
            )  # fmt: skip

    async def _record(self) -> None:
        found, on = self._found, str(self._on.value or "").strip()

        def work() -> str:
            by = self._recorder.name
            if found is None:
                raise FieldError("Bring a submittal in first.")
            with self._work.records() as records:
                new = record_submittal(
                    records, found.review, found.anchors, self._work.project.units, by=by,
                    on=_moment(on),
                )  # fmt: skip
            if not new:
                return "This is recorded already."
            return f"Recorded for {len(found.anchors)} anchors: {found.review.decision}."

        done = await attempt(work, self._desk.units)
        if isinstance(done, Refused):
            self._desk.say(done.words, "bad")
            return
        self._desk.say(done, "good")

    def _refuse(self, refused: Refused, name: str = "") -> None:
        self._found = None
        self._after.set_visibility(False)
        parts = [
            tag(
                "p", f"✗ {name}: {refused.words}" if name else f"✗ {refused.words}", class_="notice"
            )
        ]
        if refused.faults:
            heads = ("Line", "Field", "Stands there", "What is wrong")
            parts.append(table(heads, fault_rows(refused.faults), "rlll"))
        self._where.content = joined(parts)


def _moment(text: str) -> datetime | None:
    try:
        return moment_of(text).at(None) if text else None
    except ValueError as error:
        raise FieldError(f"When it was decided, '{text}': {error}") from None
