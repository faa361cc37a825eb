"""Reads of the shelf for its pages: what stands there, what it is worth, how full, how long it lasts, and how it came.

How long it lasts is by own average use only; what planned batches need is joined upstairs.
"""

from django.db.models import Count, Q, QuerySet

from inventory.places.models import Place
from inventory.skins.models import Skin

ALIVE = (Skin.Stage.RAW, Skin.Stage.IN_WORK)


def places() -> QuerySet[Place]:
    """Places with how many materials and unfinished skins are there."""
    return Place.objects.annotate(
        goods=Count("materials", distinct=True),
        hides=Count("skins", filter=Q(skins__stage__in=ALIVE), distinct=True),
    ).order_by("name")
