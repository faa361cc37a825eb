"""Jobs: work agreed on a customer's own skin. The skin is never stock; what is paid before delivery is owed back."""

from django.db import models
from django.db.models import Q

from costing.sell.customers.models import Customer
from inventory.fields import MoneyField
from inventory.models import Skin


class Job(models.Model):
    """`condition` is what was seen on arrival (photos are readings of the skin). `ready_on` is the day of the ready notice.

    `given_up_on` and `given_up_why`: the work ended undone. `given_back`: the skin itself went home that day; else it was lost
    before, or nothing of it is left to fetch.
    """

    number = models.CharField(max_length=20, unique=True)
    customer = models.ForeignKey(Customer, on_delete=models.PROTECT, related_name="jobs")
    skin = models.OneToOneField(Skin, on_delete=models.PROTECT, related_name="job")
    taken_on = models.DateField()
    work = models.CharField(max_length=200)
    condition = models.CharField(max_length=500, blank=True)
    price = MoneyField()
    deposit = MoneyField(default=0)
    ready_by = models.DateField(null=True, blank=True)
    ready_on = models.DateField(null=True, blank=True)
    handed_over_on = models.DateField(null=True, blank=True)
    given_up_on = models.DateField(null=True, blank=True)
    given_up_why = models.CharField(max_length=200, blank=True)
    given_back = models.BooleanField(default=False)
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["-taken_on", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(price__gte=0, deposit__gte=0, deposit__lte=models.F("price")), name="job_price_believable"
            ),
            models.CheckConstraint(
                condition=Q(handed_over_on__isnull=True) | Q(handed_over_on__gte=models.F("taken_on")),
                name="job_handed_over_after_taken",
            ),
            models.CheckConstraint(
                condition=Q(given_up_on__isnull=True) | Q(given_up_on__gte=models.F("taken_on")),
                name="job_given_up_after_taken",
            ),
            models.CheckConstraint(
                condition=Q(given_up_on__isnull=True, given_up_why="", given_back=False)
                | (Q(given_up_on__isnull=False) & ~Q(given_up_why="")),
                name="job_given_up_has_a_reason",
            ),
        ]

    def __str__(self) -> str:
        return self.number
