"""Reads of areas told by photos: those of a skin, the frames known by them, where an area came from, how skins shrink."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal

from django.db.models import Exists, OuterRef, QuerySet

from costing.make.areas.models import PhotoArea
from costing.make.areas.taps import written
from inventory.models import Article, ArticleSkin, Skin


def standing() -> QuerySet[PhotoArea]:
    return PhotoArea.objects.filter(reversed_at__isnull=True)


def marked(skins: QuerySet[Skin]) -> QuerySet[Skin]:
    """Each with `measured`: whether it has any, so that the page of one that has none does not ask again."""
    return skins.annotate(measured=Exists(PhotoArea.objects.filter(skin=OuterRef("pk"))))


def of_skin(skin: Skin) -> QuerySet[PhotoArea]:
    """All, those reversed too, newest first."""
    if not getattr(skin, "measured", True):
        return PhotoArea.objects.none()
    return PhotoArea.objects.filter(skin=skin).select_related("written_by", "reverser")


def frames() -> list[tuple[Decimal, Decimal]]:
    """Insides of frames in mm that were measured in before, the latest first."""
    rows = standing().filter(apart__isnull=True).order_by("-pk").values_list("frame_width", "frame_height")[:50]
    return list(dict.fromkeys((wide, high) for wide, high in rows if wide and high))


def wet_still(skin: Skin) -> bool:
    """Whether a skin is rather wet than dry: raw, or in a batch now."""
    return skin.stage == Skin.Stage.RAW or skin.stays.filter(left_on__isnull=True).exists()


def drawn(area: PhotoArea) -> list[tuple[str, str]]:
    """Its rings as they were tapped, each as its kind and its points, for the drawing over the photo."""
    taps = area.taps
    rings = [("outline", taps["outline"]), ("corners", taps["corners"])]
    rings += [(each["kind"], each["ring"]) for each in taps["defects"]]
    return [(kind, written(ring)) for kind, ring in rings]


def behind(articles: Iterable[Article]) -> dict[int, PhotoArea]:
    """By article: the photo its area came from. Only where the whole of one skin was made into it and its area is that of the
    photo still; an area that was typed, or a part's, came from none."""
    rows = list(articles)
    parts: dict[int, list[tuple[int, bool]]] = {}

    for part in ArticleSkin.objects.filter(article__in=rows):
        parts.setdefault(part.article_id, []).append((part.skin_id, part.share_of == part.share_in))
    whole = {key: each[0][0] for key, each in parts.items() if len(each) == 1 and each[0][1]}
    photos: dict[tuple[int, Decimal], PhotoArea] = {}
    for row in standing().filter(skin__in=whole.values(), wet=False).order_by("pk"):
        photos[row.skin_id, row.area] = row
    found = {row.pk: photos.get((whole[row.pk], row.area)) for row in rows if row.pk in whole and row.area is not None}
    return {key: photo for key, photo in found.items() if photo is not None}
