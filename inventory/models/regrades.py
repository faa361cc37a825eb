"""What a piece was judged anew: its grade and area before and after. Never edited; the last row says what stands now."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import Q

from inventory.fields import QuantityField
from inventory.models.articles import Article


class Regrade(models.Model):
    """Areas in cm2, None where it was not measured."""

    article = models.ForeignKey(Article, on_delete=models.PROTECT, related_name="regrades")
    on = models.DateField()
    was_grade = models.CharField(max_length=12, blank=True)
    was_area = QuantityField(null=True, blank=True)
    grade = models.CharField(max_length=12, blank=True)
    area = QuantityField(null=True, blank=True)
    note = models.CharField(max_length=200, blank=True)
    written_at = models.DateTimeField(auto_now_add=True)
    written_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, related_name="regrades"
    )

    class Meta:
        ordering = ["on", "pk"]
        constraints = [models.CheckConstraint(condition=~Q(area__lte=0), name="regrade_area_positive")]

    def __str__(self) -> str:
        return f"{self.was_grade} to {self.grade}"
