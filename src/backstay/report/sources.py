"""The sources of a calculation: cited in short at each line, listed by kind at its end."""

from __future__ import annotations

from typing import Any

from backstay.cite import Citation
from backstay.report.prose import MEMORY_MARK, typeset
from backstay.tables import sentence

_KINDS = {
    "published": "Read for this tool: values and equations were compared with the document",
    "memory": f"From memory ({MEMORY_MARK}): confirm against the document before relying on it",
    "formula": "Mechanics and mathematics: follow from statics, or from the named theory, and were "
    "checked by a second computation",
    "common practice": "Common practice: rules of the trade for which no published source is named",
    "given": "Given by the project: values that its file states instead of those of the basis",
}


class Sources:
    """Collects citations: provenance -> document -> clauses, in the order of first use."""

    def __init__(self) -> None:
        self._kept: dict[str, dict[str, list[str]]] = {kind: {} for kind in _KINDS}

    def cite(self, citation: Citation) -> str:
        """Keep a citation, and return it in short."""
        document, clause = citation.document, citation.clause
        if citation.provenance == "common practice":
            document = document.removeprefix("common practice: ")
            clause = clause or ("" if document.startswith("common practice") else document)
            document = "common practice"
        clauses = self._kept[citation.provenance].setdefault(document, [])
        if clause and clause not in clauses:
            clauses.append(clause)
        mark = f" {MEMORY_MARK}" if citation.provenance == "memory" else ""
        if not clause:
            return document + mark
        joint = ": " if document == "common practice" else ", "
        return f"{document}{joint}{clause}{mark}"

    def blocks(self) -> list[dict[str, Any]]:
        """Return the list of sources as blocks of the document."""
        blocks: list[dict[str, Any]] = []
        for kind, documents in self._kept.items():
            if not documents:
                continue
            blocks.append({"type": "strong", "text": f"{_KINDS[kind]}."})
            if kind == "common practice":
                items = [sentence(c) for clauses in documents.values() for c in clauses]
                items.sort(key=str.lower)
            else:
                items = [
                    sentence(d) + (f": {'; '.join(clauses)}" if clauses else "")
                    for d, clauses in sorted(documents.items(), key=lambda item: item[0].lower())
                ]
            blocks.append({"type": "list", "items": [typeset(item) for item in items]})
        return blocks
