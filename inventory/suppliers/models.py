"""Whom the workshop buys from: chemicals, hardware, raw skins."""

from django.db import models


class Supplier(models.Model):
    name = models.CharField(max_length=80, unique=True)
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name
