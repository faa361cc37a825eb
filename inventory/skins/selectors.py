"""Reads of skins for their list and forms. What a skin cost is read upstairs."""

import re
from itertools import count

from django.db.models import QuerySet

from inventory.base.finding import hits
from inventory.skins.models import Skin


def skins() -> QuerySet[Skin]:
    """Every skin, the last to come first."""
    return Skin.objects.select_related("supplier", "place").order_by("-date_in", "-pk")


def next_tag() -> str:
    """The tag after the last one taken in: H14 -> H15, H09 -> H10; nothing to go by -> empty."""
    last = Skin.objects.order_by("-pk").values_list("tag", flat=True).first()
    found = re.fullmatch(r"(.*?)(\d{1,9})", last) if last else None
    if found is None:
        return ""
    stem, number = found.groups()
    taken = {tag.lower() for tag in Skin.objects.filter(tag__istartswith=stem).values_list("tag", flat=True)}
    tags = (f"{stem}{step:0{len(number)}d}" for step in count(int(number) + 1))
    return next(tag for tag in tags if tag.lower() not in taken)


def species() -> list[str]:
    """The words used for species so far."""
    return list(Skin.objects.order_by("species").values_list("species", flat=True).distinct())


def search(words: str) -> QuerySet[Skin]:
    """Skins by tag, species, and whose they are."""
    return hits(Skin.objects.select_related("supplier"), words, ("tag", "species", "sex_age", "customer"))
