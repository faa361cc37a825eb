"""What the first page shows of the work: batches in work and planned, skins waiting, pieces without a price."""

from dataclasses import dataclass

from django.db.models import QuerySet

from costing.make.batches import selectors as batches
from costing.models import Batch
from inventory.models import Article, Skin


@dataclass(frozen=True)
class Work:
    in_work: QuerySet[Batch]
    planned: QuerySet[Batch]
    waiting: QuerySet[Skin]
    unpriced: QuerySet[Article]


def work() -> Work:
    """Batches oldest first; raw skins in no batch; own finished pieces that are here without a list price."""
    listed = batches.listed().order_by("start", "pk")
    raw = Skin.objects.filter(stage=Skin.Stage.RAW).exclude(stays__left_on__isnull=True, stays__isnull=False)
    return Work(
        in_work=listed.filter(state=Batch.State.IN_WORK),
        planned=listed.filter(state=Batch.State.PLANNED),
        waiting=raw.order_by("date_in", "tag"),
        unpriced=Article.objects.filter(list_price__isnull=True, customers=False, gone_on__isnull=True).order_by(
            "finished_on", "number"
        ),
    )
