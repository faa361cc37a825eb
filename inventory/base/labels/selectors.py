"""Finds a sheet of labels by what a command or an address calls it."""

from django.db.models import QuerySet

from inventory.base import selectors as workshop
from inventory.base.labels import rules
from inventory.base.labels.models import LabelSheet
from inventory.base.labels.rules import Sheet
from inventory.errors import Refused


def sheet(text: str) -> Sheet:
    """A sheet by its numbers (3x7 on the workshop's own paper, 57x32mm) or by the name that Setup gives it."""
    if found := rules.asked(text, workshop.current().paper):
        return found
    row = LabelSheet.objects.filter(name__iexact=text.strip()).first()
    if row is None:
        named = ", ".join(LabelSheet.objects.values_list("name", flat=True)) or "none yet"
        raise Refused(
            f"There is no sheet {text!r}. Name one of yours ({named}), or write columns × rows as 3x7, or a "
            "label of a roll as 57x32mm.",
            field="sheet",
        )
    return row.sheet


def rows() -> QuerySet[LabelSheet]:
    """The maker's own sheets by name."""
    return LabelSheet.objects.order_by("name")


def own() -> list[tuple[str, Sheet]]:
    """The same as plain values."""
    return [(row.name, row.sheet) for row in rows()]
