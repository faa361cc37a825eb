"""How far a newcomer has come, read from what exists: nothing is ticked by hand, and nothing is kept."""

from dataclasses import dataclass

from django.db.models import Exists, Subquery

from costing.make.batches.stays import selectors as stays_read
from costing.models import Batch, RecipeVersion
from inventory.models import Article, Material, Skin, Workshop


@dataclass(frozen=True)
class Progress:
    """`named`: the workshop has a name of its own, or its maker's. `recipe`: the newest version (its id). `finished`: a piece
    without a price (its number). `waiting`: the tags of unfinished skins, two at most."""

    named: bool = False
    material: bool = False
    skin: bool = False
    recipe: int | None = None
    batch: bool = False
    finished: str | None = None
    waiting: tuple[str, ...] = ()


def progress() -> Progress:
    """Two queries, whatever the workshop holds."""
    mine = Article.objects.filter(customers=False, gone_on__isnull=True, list_price__isnull=True)
    row = Workshop.objects.values_list(
        "name",
        "maker",
        Exists(Material.objects.all()),
        Exists(Skin.objects.all()),
        Subquery(RecipeVersion.objects.order_by("-pk").values("pk")[:1]),
        Exists(Batch.objects.all()),
        Subquery(mine.order_by("finished_on", "number").values("number")[:1]),
    ).first()
    if row is None:
        return Progress()
    name, maker, material, skin, recipe, batch, finished = row
    waiting = tuple(stays_read.unfinished().values_list("tag", flat=True)[:2])
    named = bool(maker) or name != Workshop._meta.get_field("name").default
    return Progress(named, material, skin, recipe, batch, finished, waiting)
