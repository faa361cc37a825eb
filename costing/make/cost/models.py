"""The cost of an article as it was frozen at finishing, part by part, and what came late; and what an ended skin has borne."""

from django.db import models

from inventory.fields import ExactField, MoneyField
from inventory.models import Article, Skin


class ArticleCost(models.Model):
    """Exact shares (nine places) so that pieces of one skin still add up; `book` and `full` are rounded once, to the cent.

    `late_book` and `late_full` are costs written after the piece was finished, `late_minutes` and `late_own_minutes` the work:
    shown as late, never dropped. Minutes are None only in rows older than the columns, until `cost.services.fill_late` has run.

    `settled_on`: the first day from which the book cost of the article is that of now; None while one of its skins is in work.
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
    settled_on = models.DateField(null=True, blank=True, db_index=True)

    def __str__(self) -> str:
        return f"cost of {self.article_id}"


class SkinCost(models.Model):
    """What a skin that is finished or lost has borne, kept so that nobody adds it up again. Written by `cost.services`.

    `exact`: what it took itself, unrounded, as `Share.text` writes it. `book` (rounded) and `own_minutes` are of all that
    it bears, of skins lost beside it too. From `settled_on`, the day of the last entry in any of these, they are what the entries
    say; for a day before it the entries themselves are asked. `entered`: the steps that it went through, a line each.
    """

    skin = models.OneToOneField(Skin, on_delete=models.CASCADE, related_name="cost")
    exact = models.TextField()
    book = MoneyField()
    own_minutes = ExactField()
    settled_on = models.DateField(db_index=True)
    entered = models.TextField(blank=True)

    def __str__(self) -> str:
        return f"cost of {self.skin_id}"
