"""Reads of areas told by photos: those of a skin, the frames known by them, where an area came from, how skins shrink."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from decimal import Decimal

from django.db.models import Exists, OuterRef, QuerySet

from costing.make.readings.areas import shrinking
from costing.make.readings.areas.models import PhotoArea
from costing.make.readings.areas.shrinking import Dries
from costing.make.readings.areas.taps import written
from inventory.models import Article, ArticleSkin, Skin

# Half a hundredth of a square foot, which is the last that an area is told to.
ROUGH_CM2 = Decimal("4.65")


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


def dries(skin: Skin) -> Dries | None:
    """What other skins of its species in this workshop, measured wet and dry, say of one whose wet area is known."""
    if not skin.wet_area:
        return None
    rows = Skin.objects.filter(species__iexact=skin.species, wet_area__isnull=False, dry_area__isnull=False)
    pairs = rows.exclude(pk=skin.pk).values_list("wet_area", "dry_area")
    known = shrinking.shrinkage([(wet, dry) for wet, dry in pairs if wet and dry])
    return shrinking.dries(known, skin.wet_area, skin.dry_area)


def wet_still(skin: Skin) -> bool:
    """Whether a skin is rather wet than dry: raw, or in a batch now."""
    return skin.stage == Skin.Stage.RAW or skin.stays.filter(left_on__isnull=True).exists()


def drawn(area: PhotoArea) -> list[tuple[str, str]]:
    """Its rings as they were tapped, each as its kind and its points, for the drawing over the photo."""
    taps = area.taps
    rings = [("outline", taps["outline"]), ("corners", taps["corners"])]
    rings += [(each["kind"], each["ring"]) for each in taps["defects"]]
    return [(kind, written(ring)) for kind, ring in rings]


def behind_skin(skin: Skin) -> PhotoArea | None:
    """The photo that the area of a skin came from, dry if it has a dry one, else wet; None where it was typed."""
    area = skin.dry_area or skin.wet_area
    return _alike(standing().filter(skin=skin, wet=not skin.dry_area).order_by("-pk"), area)


def behind(articles: Iterable[Article]) -> dict[int, PhotoArea]:
    """By article: the photo its area came from. Only where the whole of one skin was made into it and its area is that of the
    photo still; an area that was typed, or a part's, came from none."""
    rows = list(articles)
    parts: dict[int, list[ArticleSkin]] = defaultdict(list)
    for part in ArticleSkin.objects.filter(article__in=rows):
        parts[part.article_id].append(part)
    whole = {
        key: each[0].skin_id for key, each in parts.items() if len(each) == 1 and each[0].share_of == each[0].share_in
    }
    photos: dict[int, list[PhotoArea]] = defaultdict(list)
    for row in standing().filter(skin__in=whole.values(), wet=False).select_related("skin").order_by("-pk"):
        photos[row.skin_id].append(row)
    found = {row.pk: _alike(photos[whole[row.pk]], row.area) for row in rows if row.pk in whole}
    return {key: photo for key, photo in found.items() if photo is not None}


def _alike(photos: Iterable[PhotoArea], area: Decimal | None) -> PhotoArea | None:
    """The newest of them that tells this area, as finely as an area is told: on the way through a form it is rounded."""
    if area is None:
        return None
    return next((photo for photo in photos if abs(photo.area - area) <= ROUGH_CM2), None)
