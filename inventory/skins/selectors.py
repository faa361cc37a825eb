"""Reads of skins for their list and forms. What a skin cost is read upstairs."""

import re
from decimal import Decimal
from itertools import count

from django.db.models import QuerySet

from inventory.base import selectors as workshop
from inventory.base.finding import hits
from inventory.skins import rules
from inventory.skins.models import Skin

# So many of a kind, the last to come, say what is usual for it.
COMPARED = 60


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


def odd_weight(species: str, grams: Decimal | None, unit: str, but: Skin | None = None) -> str | None:
    """What to ask of a green weight, beside those of its species; `unit` is the one it is spoken of in."""
    if grams is None:
        return None
    return rules.odd_weight(species, grams, _like(species, "green_weight", but), unit)


def odd_price(species: str, price: Decimal | None) -> str | None:
    """The same of what was paid for a skin."""
    return rules.odd_price(species, price, _like(species, "price"), workshop.shown) if price else None


def _like(species: str, column: str, but: Skin | None = None) -> list[Decimal]:
    """What is known of the other skins of a species, nothing and zero left out."""
    rows = Skin.objects.filter(species__iexact=species.strip(), **{f"{column}__gt": 0}).order_by("-pk")
    if but is not None:
        rows = rows.exclude(pk=but.pk)
    return list(rows.values_list(column, flat=True)[:COMPARED])
