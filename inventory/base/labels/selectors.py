"""Finds a sheet of labels by what a command or an address calls it, and the ruler that the workshop measures it with."""

from django.db.models import QuerySet

from inventory.base import selectors as workshop
from inventory.base.labels import rules
from inventory.base.labels.lengths import INCHES, MM, Ruler
from inventory.base.labels.models import LabelSheet
from inventory.base.labels.rules import Sheet
from inventory.base.models import Measures
from inventory.errors import Refused


def ruler() -> Ruler:
    """Inches where the units are those of the United States. Elsewhere, in Britain too, sheets are A4 and told in millimetres."""
    return INCHES if workshop.current().units == Measures.US else MM


def common() -> list[tuple[str, Sheet]]:
    """The common sheets by their names, those on the workshop's own paper first."""
    paper = workshop.current().paper
    return sorted(rules.COMMON.items(), key=lambda each: each[1].paper != paper)


def every() -> list[tuple[str, Sheet]]:
    """The common sheets by their names, then the maker's own."""
    return [*common(), *own()]


def sheet(text: str) -> Sheet:
    """A sheet by its numbers (3x7 on the workshop's own paper, 57x32mm) or by its name."""
    if found := rules.asked(text, workshop.current().paper, ruler()):
        return found
    mine = own()
    named = {name.casefold(): found for name, found in [*rules.COMMON.items(), *mine]}
    if found := named.get(text.strip().casefold()):
        return found
    names = ", ".join(name for name, _ in mine) or "none yet"
    raise Refused(
        f"There is no sheet {text[:60]!r}. Name one of yours ({names}) or a common one, or write columns × rows as 3x7, "
        "or a label of a roll as 57x32mm.",
        field="sheet",
    )


def rows() -> QuerySet[LabelSheet]:
    """The maker's own sheets by name."""
    return LabelSheet.objects.order_by("name")


def own() -> list[tuple[str, Sheet]]:
    """The same as plain values."""
    return [(row.name, row.sheet) for row in rows()]
