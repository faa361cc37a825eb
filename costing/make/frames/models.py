"""Frames: what the workshop laces its skins to, each with a number of its own; their repairs, and which skin was on which."""

from django.db import models
from django.db.models import Q

from costing.make.batches.models import Use
from costing.make.labour.models import LabourLine
from inventory.base.models import Entry
from inventory.fields import MoneyField, QuantityField
from inventory.models import Place, Skin


class Frame(models.Model):
    """`lacings`: how many it is good for. `cost` is money paid for it besides materials from the shelf, or what it had cost
    before these books; `minutes` the owner's own at it. Materials are uses that name the frame."""

    number = models.CharField(max_length=20, unique=True)
    made_on = models.DateField()
    lacings = models.PositiveSmallIntegerField()
    cost = MoneyField(default=0)
    minutes = QuantityField(default=0)
    place = models.ForeignKey(Place, on_delete=models.PROTECT, null=True, blank=True, related_name="numbered_frames")
    note = models.CharField(max_length=120, blank=True)
    broken_on = models.DateField(null=True, blank=True)
    broken_why = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["number"]
        constraints = [
            models.CheckConstraint(condition=Q(lacings__gte=1), name="frame_laced_once_at_least"),
            models.CheckConstraint(condition=Q(cost__gte=0, minutes__gte=0), name="frame_cost_not_negative"),
            models.CheckConstraint(
                condition=Q(broken_on__isnull=True) | Q(broken_on__gte=models.F("made_on")),
                name="frame_breaks_after_it_was_made",
            ),
        ]

    def __str__(self) -> str:
        return self.number


class Repair(Entry):
    """Minutes and money that went into a frame again, and the `lacings` it is good for on top. `use`: its materials."""

    frame = models.ForeignKey(Frame, on_delete=models.PROTECT, related_name="repairs")
    on = models.DateField()
    what = models.CharField(max_length=120)
    lacings = models.SmallIntegerField(default=0)
    cost = MoneyField(default=0)
    minutes = QuantityField(default=0)
    use = models.OneToOneField(Use, on_delete=models.PROTECT, null=True, blank=True, related_name="repair")

    class Meta:
        ordering = ["on", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(reverses__isnull=True, lacings__gte=0, cost__gte=0, minutes__gte=0)
                | Q(reverses__isnull=False, lacings__lte=0, cost__lte=0, minutes__lte=0),
                name="repair_adds_unless_reversed",
            )
        ]

    def __str__(self) -> str:
        return f"repair of {self.frame_id} {self.on}"


class Lacing(models.Model):
    """One skin on one frame, by a line of work that laced it. It stands as its line does; `off_on` empty: not said."""

    line = models.ForeignKey(LabourLine, on_delete=models.PROTECT, related_name="lacings")
    skin = models.ForeignKey(Skin, on_delete=models.PROTECT, related_name="lacings")
    frame = models.ForeignKey(Frame, on_delete=models.PROTECT, related_name="laced")
    off_on = models.DateField(null=True, blank=True)

    class Meta:
        ordering = ["line__on", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["line", "skin"], name="lacing_once_a_skin"),
            models.UniqueConstraint(fields=["line", "frame"], name="lacing_once_a_frame"),
        ]

    def __str__(self) -> str:
        return f"{self.skin_id} on {self.frame_id}"
