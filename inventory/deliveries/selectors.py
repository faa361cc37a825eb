"""Deliveries as they are listed, and the lines of one."""

from django.db.models import QuerySet, Sum

from inventory.base.finding import hits
from inventory.deliveries.models import Delivery, DeliveryLine


def deliveries() -> QuerySet[Delivery]:
    """Every delivery with `total`, its landed value, newest first."""
    return (
        Delivery.objects.select_related("supplier", "posting__reversed_by")
        .annotate(total=Sum("posting__movements__value"))
        .order_by("-on", "-pk")
    )


def lines(delivery: Delivery) -> QuerySet[DeliveryLine]:
    """With what each put on the shelf: its movement is worth the goods and their share of the carriage."""
    return delivery.lines.select_related("movement__material").order_by("pk")


def search(words: str) -> QuerySet[Delivery]:
    """Deliveries by the number on the supplier's paper."""
    return hits(Delivery.objects.select_related("supplier"), words, ("ref",))
