"""Reads of who is in which batch, and of the skins that can still join one."""

from django.db.models import Exists, OuterRef, Prefetch, QuerySet

from costing.make.batches.models import Batch, BatchSkin
from costing.make.recipes.models import RecipeLine
from inventory.models import ArticleSkin, Skin


def detailed() -> QuerySet[Batch]:
    return Batch.objects.select_related("version__recipe", "place").prefetch_related(
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
        Prefetch("stays", queryset=stays), Prefetch("parts", queryset=made)
    )
