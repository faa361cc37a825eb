"""Skins that a customer took home undone: their story ended as a lost skin's does, but nobody lost them."""

from __future__ import annotations

from datetime import date

from django.db.models import QuerySet

from inventory.models import Skin


def lost(rows: QuerySet[Skin]) -> QuerySet[Skin]:
    """Of these, the ones that slipped or spoiled: what loss rates and their costs are told from."""
    return rows.filter(lost_on__isnull=False).exclude(job__given_back=True)


def went(on: date) -> set[int]:
    """Ids of skins that had gone home undone by the end of a day."""
    return set(Skin.objects.filter(job__given_back=True, job__given_up_on__lte=on).values_list("pk", flat=True))
