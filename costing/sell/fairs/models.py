"""Fairs: a day of selling, with what it cost in pitch and fuel and how long one stood there."""

from django.db import models
from django.db.models import Q

from inventory.fields import QuantityField
from inventory.models import Article, Place


class Fair(models.Model):
    """`place` is the pitch as a place, so that what was taken out and did not come back is seen. `stall_minutes` of standing."""

    name = models.CharField(max_length=80)
    on = models.DateField()
    place = models.ForeignKey(Place, on_delete=models.PROTECT, null=True, blank=True, related_name="fairs")
    stall_minutes = QuantityField(default=0)
    closed_on = models.DateField(null=True, blank=True)
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["-on", "-pk"]
        constraints = [
            models.UniqueConstraint(fields=["name", "on"], name="fair_once_a_day"),
            models.CheckConstraint(condition=Q(stall_minutes__gte=0), name="fair_minutes_not_negative"),
        ]

    def __str__(self) -> str:
        return f"{self.name} {self.on}"


class FairPiece(models.Model):
    """A piece on the pack list of a fair. `back` once it was counted back in."""

    fair = models.ForeignKey(Fair, on_delete=models.CASCADE, related_name="pieces")
    article = models.ForeignKey(Article, on_delete=models.PROTECT, related_name="fairs")
    back = models.BooleanField(default=False)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["fair", "article"], name="fair_packs_a_piece_once")]

    def __str__(self) -> str:
        return f"{self.article_id} at {self.fair_id}"
