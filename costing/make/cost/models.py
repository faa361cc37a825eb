"""The cost of an article as it was frozen at finishing, part by part, and what came late."""

from django.db import models

from inventory.fields import ExactField, MoneyField
from inventory.models import Article


class ArticleCost(models.Model):
    """Exact shares (nine places) so that pieces of one skin still add up; `book` and `full` are rounded once, to the cent.

    `late_book` and `late_full` are costs written after the piece was finished, `late_minutes` and `late_own_minutes` the work:
    shown as late, never dropped. Minutes are None only in rows older than the columns, until `cost.services.fill_late` has run.
    """

    article = models.OneToOneField(Article, on_delete=models.PROTECT, related_name="cost")
    skin_price = ExactField()
    materials = ExactField()
    paid_help = ExactField()
    minutes = ExactField()
    own_minutes = ExactField()
    laces = ExactField()
    framed = ExactField(default=0)
    worn = ExactField(default=0)
    wage_per_hour = MoneyField()
    overhead_per_hour = MoneyField()
    frame_wear = MoneyField()
    book = MoneyField()
    full = MoneyField()
    late_book = MoneyField(default=0)
    late_full = MoneyField(default=0)
    late_minutes = ExactField(null=True)
    late_own_minutes = ExactField(null=True)
    split = models.CharField(max_length=40)

    def __str__(self) -> str:
        return f"cost of {self.article_id}"
