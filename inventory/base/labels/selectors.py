"""Finds a sheet of labels by what a command or an address calls it."""

from inventory.base import selectors as workshop
from inventory.base.labels import rules
from inventory.base.labels.models import LabelSheet
from inventory.base.labels.rules import Sheet
from inventory.errors import Refused


def every() -> list[tuple[str, Sheet]]:
    """The common sheets by their names, then the maker's own; an own one stands for the common one of its name."""
    own = [(row.name, row.sheet) for row in LabelSheet.objects.all()]
    taken = {name.casefold() for name, _ in own}
    return [(name, found) for name, found in rules.COMMON.items() if name.casefold() not in taken] + own


def sheet(text: str) -> Sheet:
    """A sheet by its numbers (3x7 on the workshop's own paper, 57x32mm) or by its name."""
    if found := rules.asked(text, workshop.current().paper):
        return found
    named = {name.casefold(): found for name, found in every()}
    if found := named.get(text.strip().casefold()):
        return found
    own = ", ".join(LabelSheet.objects.values_list("name", flat=True)) or "none yet"
    raise Refused(
        f"There is no sheet {text[:60]!r}. Name one of yours ({own}), or write columns × rows as 3x7, or a "
        "label of a roll as 57x32mm.",
        field="sheet",
    )
