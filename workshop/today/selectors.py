"""What the first page shows of the work: batches in work and planned, skins waiting, pieces without a price."""

from datetime import date
from typing import Any

from django.db.models import QuerySet

from costing.make.batches import selectors as batches_read
from costing.models import Batch
from inventory.base import selectors as workshop
from inventory.foresight import words
from inventory.foresight.advice import advices
from inventory.foresight.snoozes import selectors as snoozes
from inventory.models import Article, Skin


def batches() -> dict[str, list[Batch]]:
    """By state: those in work and those planned, the oldest first."""
    found: dict[str, list[Batch]] = {Batch.State.IN_WORK: [], Batch.State.PLANNED: []}
    for batch in batches_read.listed().filter(state__in=found).order_by("start", "pk"):
        found[batch.state].append(batch)
    return found


def waiting() -> QuerySet[Skin]:
    """Raw skins in no batch."""
    raw = Skin.objects.filter(stage=Skin.Stage.RAW).exclude(stays__left_on__isnull=True, stays__isnull=False)
    return raw.order_by("date_in", "tag")


def unpriced() -> QuerySet[Article]:
    """Own finished pieces that are here without a list price."""
    mine = Article.objects.filter(list_price__isnull=True, customers=False, gone_on__isnull=True)
    return mine.order_by("finished_on", "number")


def to_order(on: date) -> dict[str, Any]:
    """Materials about which something must be done, and what; those set aside apart."""
    found = snoozes.alerts(on)
    buys, currency = advices(found.pressing), workshop.current().currency
    return {
        "alerts": [words.brief(each, buys[each.material.pk], currency) for each in found.pressing],
        "aside": found.aside,
    }
