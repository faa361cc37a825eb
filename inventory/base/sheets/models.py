"""What is remembered of spreadsheets that were brought in: what their columns meant, which rows came, and one that waits."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from inventory.base.models import Written


class SheetHeads(Written):
    """What the maker answered about a spreadsheet with these heads, as JSON. `heads` is the SHA-256 of its kind and its heads."""

    heads = models.CharField(max_length=64, unique=True)
    answers = models.TextField()

    class Meta:
        verbose_name_plural = "answers about spreadsheets"
        constraints = [models.CheckConstraint(condition=~Q(heads=""), name="sheet_heads_named")]

    def __str__(self) -> str:
        return self.heads[:12]


class BroughtRow(models.Model):
    """A row that came from a spreadsheet, by the SHA-256 of what stood in it: it is not brought in a second time."""

    row = models.CharField(max_length=64, unique=True)
    on = models.DateField()

    class Meta:
        verbose_name_plural = "rows brought in"
        constraints = [models.CheckConstraint(condition=~Q(row=""), name="brought_row_named")]

    def __str__(self) -> str:
        return self.row[:12]


class WaitingSheet(models.Model):
    """A spreadsheet that was sent in and is being asked about, for a day at most. `key` stands in the page's address."""

    key = models.CharField(max_length=32, unique=True)
    name = models.CharField(max_length=80)
    content = models.BinaryField()
    whose = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, null=True, blank=True, related_name="+"
    )
    written_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        constraints = [models.CheckConstraint(condition=~Q(key=""), name="waiting_sheet_has_a_key")]

    def __str__(self) -> str:
        return self.name
