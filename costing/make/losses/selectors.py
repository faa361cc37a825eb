"""Which skins were lost, and not taken home undone by their customer; and what a loss costs, written off or spread."""

from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from django.db.models import QuerySet

from costing.make.batches.models import Batch
from costing.make.cost import selectors as cost_read
from costing.make.cost.rates import selectors as rates_read
from costing.make.cost.reallocation import selectors as reallocation
from costing.make.cost.rules import Share
from costing.make.losses import rules as losses
from inventory.base import selectors as workshop
from inventory.models import Skin

# What is usual is told from the last so many: older hands were slower, and the page stays quick.
LOOKED_AT = 40


def lost(rows: QuerySet[Skin]) -> QuerySet[Skin]:
    """Of these, the ones that slipped or spoiled: what loss rates and their costs are told from."""
    return rows.filter(lost_on__isnull=False).exclude(job__given_back=True)


def rate(kind: QuerySet[Skin]) -> losses.LossRate | None:
    """How many of these were lost, of those that are finished or lost; None before there is one."""
    gone, done = lost(kind).count(), kind.filter(stage=Skin.Stage.FINISHED).count()
    return losses.LossRate(gone, gone + done) if gone + done else None


def last_finished(kind: QuerySet[Skin]) -> list[Skin]:
    """Of these the last so many, from which what is usual is told."""
    return list(kind.filter(stage=Skin.Stage.FINISHED).order_by("-date_in", "-pk")[:LOOKED_AT])


def went(on: date) -> set[int]:
    """Ids of skins that had gone home undone by the end of a day."""
    return set(Skin.objects.filter(job__given_back=True, job__given_up_on__lte=on).values_list("pk", flat=True))


@dataclass(frozen=True)
class Both:
    """A loss as it would be written off and as it would be spread, side by side; `batch` None where nobody could bear it."""

    found: losses.Loss
    salvage: Fraction
    batch: Batch | None


def both(skin: Skin, share: Share | None = None) -> Both | None:
    """What its loss costs written off and spread; None for a skin that is not lost. `share`: what it bears as things stand, where
    the caller knows it."""
    if skin.lost_on is None:
        return None
    if share is None or skin.loss_spread:
        share = cost_read.lost_shares([skin])[skin.tag]
    full = share.full(rates_read.plain(skin.lost_on))
    borne = reallocation.if_spread(skin)
    salvage = borne.salvage if borne else reallocation.salvage([skin]).get(skin.pk, Fraction(0))
    brought = min(salvage, share.book())
    there = cost_read.as_stays(borne.batch.share_by, borne.bearers) if borne else []
    weights = {stay.skin: stay.weight for stay in there}
    found = losses.reallocate(share.book(), full, brought, weights, workshop.places())
    return Both(found, brought, borne.batch if borne else None)


def steps_of(skin: Skin) -> list[str]:
    """Names of the steps of the batch that it is in; none while it is raw."""
    stay = skin.stays.filter(left_on__isnull=True).select_related("batch__version").first()
    return [step.name for step in stay.batch.version.steps.all()] if stay else []
