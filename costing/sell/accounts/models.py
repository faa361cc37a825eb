"""The accounts that money moves in: what was in each on a day, and money moved between them, put in or taken out."""

from django.db import models
from django.db.models import F, Q

from inventory.base.models import Entry, How
from inventory.fields import MoneyField

ACCOUNTS = [account for account, _ in How.in_money()]


class OpeningBalance(models.Model):
    """What was in an account before the first entry of a day. Below zero: it was overdrawn."""

    account = models.CharField(max_length=5, choices=How.in_money(), unique=True)
    on = models.DateField()
    amount = MoneyField()

    class Meta:
        ordering = ["account"]
        constraints = [models.CheckConstraint(condition=Q(account__in=ACCOUNTS), name="opening_account_known")]

    def __str__(self) -> str:
        return f"{self.account} {self.amount}"


class Transfer(Entry):
    """Money from one account to another. Empty stands for the maker: put in (`source`) or taken out (`target`)."""

    on = models.DateField()
    amount = MoneyField()
    source = models.CharField(max_length=5, choices=How.in_money(), blank=True)
    target = models.CharField(max_length=5, choices=How.in_money(), blank=True)
    words = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["-on", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(reverses__isnull=True, amount__gt=0) | Q(reverses__isnull=False, amount__lt=0),
                name="transfer_positive_unless_reversed",
            ),
            models.CheckConstraint(condition=~Q(source=F("target")), name="transfer_between_two"),
        ]

    def __str__(self) -> str:
        return f"{self.on} {self.amount}"
