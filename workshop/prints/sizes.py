"""The sheets that papers may be printed on, by their names in an address or a command."""

from __future__ import annotations

from typing import TYPE_CHECKING

from inventory.errors import Refused
from workshop.papers.kit import Paper

if TYPE_CHECKING:
    from workshop.papers.kit import Paper


SHEETS = ("a4", "letter")


def sheet_of(name: str) -> Paper | None:
    """None where no sheet is asked for: a label is then as large as itself."""
    from workshop.papers import kit

    if not name:
        return None
    if name not in SHEETS:
        raise Refused(f"There is no sheet {name!r}; choose one of {', '.join(SHEETS)}.", field="sheet")
    return kit.A4 if name == "a4" else kit.LETTER


def page_of(name: str) -> Paper:
    """The page of a letter: A4 where no sheet is asked for."""
    from workshop.papers import kit

    return sheet_of(name) or kit.A4
