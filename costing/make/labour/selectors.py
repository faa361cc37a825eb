"""Reads of labour: the log, and the words used in it before."""

from decimal import Decimal

from django.db.models import Max, Q, QuerySet

from costing.make.batches.models import Batch
from costing.make.batches.stays import selectors as stays
from costing.make.labour import rules
from costing.make.labour.models import LabourLine
from inventory.models import Skin

OFFERED = 60

# So many entries, the last, say what is usual.
COMPARED = 100


def listed() -> QuerySet[LabourLine]:
    """The log without the lines that only take another back; those show as a mark on what they took back."""
    return (
        LabourLine.objects.filter(reverses__isnull=True)
        .select_related("batch", "reversed_by", "written_by")
        .prefetch_related("skins")
    )


def tasks() -> list[str]:
    """Tasks named before, the latest first."""
    rows = LabourLine.objects.order_by().values("task").annotate(last=Max("on")).order_by("-last", "task")
    return [row["task"] for row in rows[:OFFERED]]


def people() -> list[str]:
    """Helpers named before."""
    return list(LabourLine.objects.exclude(who="").order_by("who").values_list("who", flat=True).distinct()[:OFFERED])


def workable(batch: Batch | None) -> tuple[QuerySet[Skin], QuerySet[Batch]]:
    """The skins and the batches that work can be logged on: with a batch only its skins, and it though it is done."""
    skins = stays.unfinished() if batch is None else Skin.objects.filter(stays__batch=batch).order_by("tag")
    open_ones = ~Q(state=Batch.State.DONE)
    batches = Batch.objects.filter(open_ones if batch is None else open_ones | Q(pk=batch.pk))
    return skins, batches.order_by("-start", "-pk")


def odd_minutes(minutes: Decimal | None, planned: int = 0, ran: bool = False) -> str | None:
    """What to ask of minutes in one entry, beside the last ones of the log."""
    if minutes is None:
        return None
    logged = LabourLine.objects.filter(reverses__isnull=True, reversed_by__isnull=True).order_by("-pk")
    return rules.odd_minutes(minutes, list(logged.values_list("minutes", flat=True)[:COMPARED]), planned, ran)
