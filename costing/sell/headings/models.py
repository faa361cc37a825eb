"""Kinds of cost, and the headings of the maker's tax form that they come under.

A kind that comes with the program has a row here only where the maker changed it; without headings of their own the plain list
holds (`shipped`).
"""

from django.db import models
from django.db.models import Q

from inventory.fields import MoneyField


class CostHeading(models.Model):
    """A line of the `form` that the maker fills in. `stock`: the stock that was used comes under it."""

    form = models.CharField(max_length=60)
    line = models.CharField(max_length=10, blank=True)
    words = models.CharField(max_length=80, unique=True)
    position = models.PositiveSmallIntegerField()
    stock = models.BooleanField(default=False)

    class Meta:
        ordering = ["position", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["stock"], condition=Q(stock=True), name="cost_heading_one_for_stock")
        ]

    def __str__(self) -> str:
        return f"{self.line} {self.words}".strip()


class CostKind(models.Model):
    """What costs of a kind are entered by (`asks`) and come under. `rate`: money for one `unit` of distance.

    `closed`: no longer offered; what is entered stays.
    """

    class Place(models.TextChoices):
        SELLING = "selling", "Selling"
        YEAR = "year", "The year"

    class Asks(models.TextChoices):
        NOTHING = "", "Its amount"
        DISTANCE = "distance", "A distance, at a rate"
        LIFE = "life", "A life in years"
        PERSON = "person", "The person"

    class Unit(models.TextChoices):
        KILOMETRE = "km", "kilometre"
        MILE = "mi", "mile"

    code = models.CharField(max_length=20, unique=True)
    name = models.CharField(max_length=60)
    place = models.CharField(max_length=7, choices=Place.choices, default=Place.YEAR)
    asks = models.CharField(max_length=8, choices=Asks.choices, blank=True)
    heading = models.ForeignKey(CostHeading, on_delete=models.PROTECT, null=True, blank=True, related_name="kinds")
    unit = models.CharField(max_length=2, choices=Unit.choices, blank=True)
    rate = MoneyField(null=True, blank=True)
    closed = models.BooleanField(default=False)

    class Meta:
        ordering = ["code"]
        constraints = [
            models.CheckConstraint(condition=Q(place__in=["selling", "year"]), name="cost_kind_place_known"),
            models.CheckConstraint(condition=~Q(rate__lte=0), name="cost_kind_rate_positive"),
        ]

    def __str__(self) -> str:
        return self.name
