"""Markup from values: whatever is not markup already is escaped, so that typed text stays text."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from markupsafe import Markup, escape

from backstay.tables import Table

Content = str | Markup | Iterable["Content"]
"""Text, markup, or several of either."""
_EMPTY = frozenset(("br", "input", "hr"))


def tag(name: str, /, *children: Content, **attributes: str | int | bool | None) -> Markup:
    """Return an element.

    Attributes: `class_` and `for_` lose their last underscore, others become dashes; None and False
    leave one out, True writes it without a value.
    """
    written = "".join(_attribute(key, value) for key, value in attributes.items())
    inside = "" if name in _EMPTY else f"{joined(children)}</{name}>"
    return Markup(f"<{name}{written}>{inside}")  # noqa: S704  # names are ours, values are escaped


def joined(parts: Iterable[Content]) -> Markup:
    """Return parts one after the other, escaped where they are text."""
    return Markup("".join(map(_piece, parts)))  # noqa: S704  # each piece is escaped


def _piece(part: Content) -> str:
    return str(escape(part)) if isinstance(part, str) else str(joined(part))


def math(inside: str, *, alt: str) -> Markup:
    """Return an equation; inside: MathML of our own notation, alt: the same as plain text."""
    return tag("math", Markup(inside), displaystyle="true", alttext=alt)  # noqa: S704


def table_of(table: Table) -> Markup:
    """Return a table as markup; its cells are text."""

    def cells(row: Sequence[str], name: str) -> Markup:
        scope = "col" if name == "th" else None
        return tag(
            "tr",
            *(
                tag(name, cell, class_="number" if a == "r" else None, scope=scope)
                for cell, a in zip(row, table.align, strict=True)
            ),
        )

    return tag(
        "table",
        tag("caption", table.title),
        tag("thead", cells(table.head, "th")),
        tag("tbody", *(cells(row, "td") for row in table.rows)),
        class_="sheet",
    )


def _attribute(key: str, value: str | int | bool | None) -> str:
    if value is None or value is False:
        return ""
    name = key.rstrip("_").replace("_", "-")
    return f" {name}" if value is True else f' {name}="{escape(str(value))}"'
