"""Whom the workshop sells to and works for."""

from django.db import models
from django.db.models import Q

from inventory.base.languages import LANGUAGES, NAMES


class Customer(models.Model):
    """`relief`: why no tax is charged to them (a resale certificate, export), empty where it is. `tax_number` may be that of a
    certificate. `language`: in what words their papers are printed; empty: the workshop's.
    """

    name = models.CharField(max_length=80, unique=True)
    postal_address = models.CharField(max_length=200, blank=True)
    country = models.CharField(max_length=2, blank=True)
    electronic_address = models.CharField(max_length=120, blank=True)
    tax_number = models.CharField(max_length=40, blank=True)
    relief = models.CharField(max_length=120, blank=True)
    language = models.CharField(max_length=2, choices=list(NAMES.items()), blank=True)
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["name"]
        constraints = [
            models.CheckConstraint(condition=Q(language__in=["", *LANGUAGES]), name="customer_language_known")
        ]

    def __str__(self) -> str:
        return self.name
