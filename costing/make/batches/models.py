"""Batches: skins treated together by one frozen recipe version, with the dates each skin was in it."""

from datetime import date

from django.db import models
from django.db.models import Q

from costing.make.recipes.models import RecipeLine, RecipeVersion
from inventory.base.models import Written
from inventory.fields import QuantityField
from inventory.models import Movement, Place, Posting, Skin


class Batch(models.Model):
    """`place` is its tub, or where it is when it has none; `frames` where its skins are laced and dry."""

    class State(models.TextChoices):
        PLANNED = "planned", "Planned"
        IN_WORK = "in_work", "In work"
        DONE = "done", "Done"

    class ShareBy(models.TextChoices):
        HEAD = "head", "By head"
        WEIGHT = "weight", "By green weight"
        AREA = "area", "By area"

    number = models.CharField(max_length=20, unique=True)
    version = models.ForeignKey(RecipeVersion, on_delete=models.PROTECT, related_name="batches")
    start = models.DateField()
    litres = QuantityField(null=True, blank=True)
    planned_skins = models.PositiveSmallIntegerField(default=0)
    share_by = models.CharField(max_length=6, choices=ShareBy.choices, default=ShareBy.HEAD)
    place = models.ForeignKey(Place, on_delete=models.PROTECT, null=True, blank=True, related_name="batches")
    frames = models.ForeignKey(Place, on_delete=models.PROTECT, null=True, blank=True, related_name="framed_batches")
    state = models.CharField(max_length=8, choices=State.choices, default=State.PLANNED)
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["-start", "-pk"]
        verbose_name_plural = "batches"
        constraints = [
            models.CheckConstraint(condition=~Q(litres__lte=0), name="batch_litres_positive"),
            models.CheckConstraint(condition=Q(state__in=["planned", "in_work", "done"]), name="batch_state_known"),
        ]

    def __str__(self) -> str:
        return self.number


class BatchSkin(models.Model):
    """A skin's stay in a batch, both days included."""

    batch = models.ForeignKey(Batch, on_delete=models.PROTECT, related_name="stays")
    skin = models.ForeignKey(Skin, on_delete=models.PROTECT, related_name="stays")
    joined_on = models.DateField()
    left_on = models.DateField(null=True, blank=True)

    class Meta:
        ordering = ["joined_on", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["batch", "skin"], name="batch_holds_a_skin_once"),
            models.UniqueConstraint(
                fields=["skin"], condition=Q(left_on__isnull=True), name="skin_in_one_batch_at_a_time"
            ),
            models.CheckConstraint(
                condition=Q(left_on__isnull=True) | Q(left_on__gte=models.F("joined_on")),
                name="stay_ends_after_it_began",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.skin_id} in {self.batch_id}"

    def covers(self, day: date) -> bool:
        return self.joined_on <= day and (self.left_on is None or day <= self.left_on)


class StruckStay(Written):
    """A skin that was never in a batch, although it was written that it was: from `on` its shares are those of the others.

    What was worked out of days before `on` counts it as it stood then.
    """

    batch = models.ForeignKey(Batch, on_delete=models.PROTECT, related_name="struck")
    skin = models.ForeignKey(Skin, on_delete=models.PROTECT, related_name="struck")
    joined_on = models.DateField()
    left_on = models.DateField(null=True, blank=True)
    on = models.DateField()
    reason = models.CharField(max_length=200)

    class Meta:
        ordering = ["on", "pk"]
        constraints = [
            models.CheckConstraint(condition=Q(on__gte=models.F("joined_on")), name="stay_struck_after_it_began"),
            models.CheckConstraint(condition=~Q(reason=""), name="stay_struck_with_a_reason"),
        ]

    def __str__(self) -> str:
        return f"{self.skin_id} never in {self.batch_id}"


class Use(models.Model):
    """Materials put in work for a batch, straight on named skins (salt on a raw hide), or into a frame. The posting holds the
    amounts.

    `share_by`: how this entry is shared; empty: as its batch, and without one by head.
    """

    posting = models.OneToOneField(Posting, on_delete=models.PROTECT, related_name="use")
    batch = models.ForeignKey(Batch, on_delete=models.PROTECT, null=True, blank=True, related_name="uses")
    frame = models.ForeignKey("costing.Frame", on_delete=models.PROTECT, null=True, blank=True, related_name="uses")
    skins = models.ManyToManyField(Skin, blank=True, related_name="uses")
    share_by = models.CharField(max_length=6, choices=Batch.ShareBy.choices, blank=True)

    class Meta:
        constraints = [
            models.CheckConstraint(condition=Q(share_by__in=["", "head", "weight", "area"]), name="use_share_by_known"),
            models.CheckConstraint(condition=Q(frame__isnull=True) | Q(batch__isnull=True), name="use_of_one_thing"),
        ]

    def __str__(self) -> str:
        return f"use {self.posting_id}"


class PlannedAmount(models.Model):
    """What the recipe asked for beside what was really put in, and in which `line`: planned and actual stay comparable.

    `quantity` None: how much the line wants was not known.
    """

    movement = models.OneToOneField(Movement, on_delete=models.PROTECT, related_name="planned")
    quantity = QuantityField(null=True)
    line = models.ForeignKey(RecipeLine, on_delete=models.PROTECT, null=True, related_name="planned_amounts")

    def __str__(self) -> str:
        return str(self.quantity)
