"""Where things went: from place to place, out of the workshop, and back. Never edited; reversed on the row, which stays."""

from django.db import models
from django.db.models import Q

from inventory.articles.models import Article
from inventory.base.models import Struck
from inventory.materials.models import Material
from inventory.places.models import Place
from inventory.skins.models import Skin


class Move(Struck):
    """One thing on one day, from `origin` to `to`; no `to` for what left the workshop. An article's last move says where it is."""

    class Why(models.TextChoices):
        MOVED = "moved", "Moved"
        RETURNED = "returned", "Came back"
        SOLD = "sold", "Sold"
        DELIVERED = "delivered", "Handed to its owner"
        GIVEN = "given", "Given away"
        OWN_USE = "own_use", "Own use"
        SPOILED = "spoiled", "Spoiled"
        MISSING = "missing", "Lost or stolen"

    article = models.ForeignKey(Article, on_delete=models.PROTECT, null=True, blank=True, related_name="moves")
    skin = models.ForeignKey(Skin, on_delete=models.PROTECT, null=True, blank=True, related_name="moves")
    material = models.ForeignKey(Material, on_delete=models.PROTECT, null=True, blank=True, related_name="moves")
    on = models.DateField()
    why = models.CharField(max_length=9, choices=Why.choices, default=Why.MOVED)
    origin = models.ForeignKey(Place, on_delete=models.PROTECT, null=True, blank=True, related_name="departures")
    to = models.ForeignKey(Place, on_delete=models.PROTECT, null=True, blank=True, related_name="arrivals")
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["on", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(article__isnull=False, skin__isnull=True, material__isnull=True)
                | Q(article__isnull=True, skin__isnull=False, material__isnull=True)
                | Q(article__isnull=True, skin__isnull=True, material__isnull=False),
                name="move_of_one_thing",
            ),
            models.CheckConstraint(
                condition=Q(
                    why__in=["moved", "returned", "sold", "delivered", "given", "own_use", "spoiled", "missing"]
                ),
                name="move_why_known",
            ),
            models.CheckConstraint(
                condition=Q(why="moved") | Q(article__isnull=False), name="move_only_an_article_leaves"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.why} on {self.on}"

    @property
    def thing(self) -> Article | Skin | Material:
        """The database lets no move be of nothing."""
        return next(thing for thing in (self.article, self.skin, self.material) if thing is not None)


# What a sale, a job or a credit writes, and only they take back.
WITH_PAPER = (Move.Why.SOLD, Move.Why.DELIVERED, Move.Why.RETURNED)
OUT = tuple(why for why in Move.Why if why not in (Move.Why.MOVED, Move.Why.RETURNED))
