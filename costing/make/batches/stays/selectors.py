"""Reads of who is in which batch, of the skins that can still join one, and of what striking one from it would move."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from django.db.models import Exists, OuterRef, Prefetch, QuerySet

from costing.make.batches.models import Batch, BatchSkin, StruckStay
from costing.make.cost import rules as cost_rules, selectors as cost_read
from costing.make.cost.lines import selectors as lines_read
from costing.make.cost.rates import selectors as rates_read
from costing.make.cost.rules import RoundedCost, Share
from costing.make.recipes.models import RecipeLine
from inventory.base import selectors as workshop
from inventory.models import ArticleSkin, Skin


def detailed() -> QuerySet[Batch]:
    return Batch.objects.select_related("version__recipe", "place", "frames").prefetch_related(
        Prefetch("stays", queryset=BatchSkin.objects.select_related("skin__job")),
        Prefetch("version__lines", queryset=RecipeLine.objects.select_related("material", "step").order_by("position")),
        "version__steps",
    )


def unfinished() -> QuerySet[Skin]:
    """Raw or in work, in a batch or not."""
    return Skin.objects.filter(stage__in=[Skin.Stage.RAW, Skin.Stage.IN_WORK]).order_by("tag")


def free() -> QuerySet[Skin]:
    """Unfinished and in no batch now."""
    here = BatchSkin.objects.filter(skin=OuterRef("pk"), left_on__isnull=True)
    return unfinished().filter(~Exists(here))


def skin_detailed() -> QuerySet[Skin]:
    stays = BatchSkin.objects.select_related("batch__version__recipe").order_by("joined_on", "pk")
    made = ArticleSkin.objects.select_related("article").order_by("article__number")
    return Skin.objects.select_related("supplier", "place", "job").prefetch_related(
        Prefetch("stays", queryset=stays), Prefetch("parts", queryset=made), "struck__batch"
    )


def joined(batches: Iterable[int]) -> dict[int, dict[int, date]]:
    """By batch and skin (their keys): the day on which it joined."""
    found: dict[int, dict[int, date]] = defaultdict(dict)
    for batch, skin, on in BatchSkin.objects.filter(batch__in=batches).values_list("batch", "skin", "joined_on"):
        found[batch][skin] = on
    return found


def first_day(batch: Batch, skin: Skin, stay: BatchSkin | StruckStay) -> date:
    """The first day from which the skin can be taken for one that never was there: its own first, or the last on which an
    entry that names it was reversed."""
    used = skin.uses.filter(batch=batch).values_list("posting__reversed_by__on", flat=True)
    worked = skin.labour.filter(batch=batch, reverses__isnull=True).values_list("reversed_by__on", flat=True)
    return max([stay.joined_on, *(day for day in (*used, *worked) if day)])


def named(batch: Batch, skin: Skin) -> str:
    """Why it cannot be struck while entries of the batch that stand name it, in words; empty where none does."""
    uses = skin.uses.filter(batch=batch, posting__reverses__isnull=True, posting__reversed_by__isnull=True)
    lines = skin.labour.filter(batch=batch, reverses__isnull=True, reversed_by__isnull=True)
    days = [*uses.values_list("posting__on", flat=True), *lines.values_list("on", flat=True)]
    if not days:
        return ""
    return (
        f"Work or materials of {min(days)} in {batch.number} name {skin.tag}. Correct or reverse these entries first."
    )


def strikeable_on(batch: Batch, skin: Skin, stay: BatchSkin | StruckStay) -> date:
    """The day offered: the first that can be, or today where that is closed."""
    closed, first = workshop.current().closed_to, first_day(batch, skin, stay)
    return max(workshop.today(), first) if closed and first <= closed else first


@dataclass(frozen=True)
class Shift:
    """What one skin has borne of a batch, and what it bears without the one that is struck: book cost and hours."""

    tag: str
    before: RoundedCost
    after: RoundedCost


def without(batch: Batch, skin: Skin) -> list[Shift]:
    """What everybody's share of the batch becomes, the struck skin's own first; nothing to see while entries name it."""
    if named(batch, skin):
        return []
    lines = lines_read.batch_lines([batch])[batch.pk]
    everybody = list(BatchSkin.objects.filter(batch=batch).select_related("skin").order_by("pk"))
    others = [stay for stay in everybody if stay.skin_id != skin.pk]
    before, after = (
        cost_rules.share_out(lines, cost_read.as_stays(batch.share_by, stays))[0] for stays in (everybody, others)
    )
    rates, places = rates_read.plain(), workshop.places()

    def seen(share: Share) -> RoundedCost:
        return cost_rules.rounded(share, rates, places)

    tags = [skin.tag, *(stay.skin.tag for stay in others)]
    return [Shift(tag, seen(before.get(tag, Share())), seen(after.get(tag, Share()))) for tag in tags]
