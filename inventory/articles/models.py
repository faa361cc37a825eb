"""A finished piece, made from one skin, a part of one, or several. Its book cost is frozen at finishing."""

from django.db import models
from django.db.models import Q

from inventory.base.models import Written
from inventory.fields import MoneyField, QuantityField
from inventory.places.models import Place
from inventory.skins.models import Skin


class Method(models.TextChoices):
    """How the skin was tanned; it decides the words of the care label."""

    ALUM_TAWED = "alum_tawed", "Alum-tawed"
    BARK = "bark", "Bark-tanned"
    OIL_SMOKED = "oil_smoked", "Oil-tanned and smoked"
    SYNTHETIC = "synthetic", "Synthetic or brush-on oil"


class Hair(models.TextChoices):
    """Whether the hair is on the finished skin. Empty: not said, and no paper says it."""

    ON = "on", "Hair on"
    OFF = "off", "Hair off"


class Use(models.TextChoices):
    """What a buyer does with a piece, for the words of its care. Empty: not said."""

    RUG = "rug", "On a floor, seat or bed"
    WORN = "worn", "Worn"
    CARRIED = "carried", "Carried: bag, pouch, case"


class Article(models.Model):
    """`area` in cm2, measured by hand and so approximate. `book_cost` is the frozen cost plus what came late.

    `title` is its name for a buyer where species and kind do not give one. `textile`: a textile article with skin or fur in it;
    `fur_origin`: sold where the law asks for the words "Fur origin".

    `gone_on` and `gone_why` follow its last move; both empty while the workshop has it.
    """

    number = models.CharField(max_length=20, unique=True)
    kind = models.CharField(max_length=60)
    method = models.CharField(max_length=12, choices=Method.choices)
    title = models.CharField(max_length=80, blank=True)
    hair = models.CharField(max_length=3, choices=Hair.choices, blank=True)
    use = models.CharField(max_length=7, choices=Use.choices, blank=True)
    textile = models.BooleanField(default=False)
    fur_origin = models.BooleanField(default=False)
    finished_on = models.DateField()
    area = QuantityField(null=True, blank=True)
    grade = models.CharField(max_length=12, blank=True)
    list_price = MoneyField(null=True, blank=True)
    place = models.ForeignKey(Place, on_delete=models.PROTECT, null=True, blank=True, related_name="articles")
    customers = models.BooleanField(default=False)
    book_cost = MoneyField()
    gone_on = models.DateField(null=True, blank=True)
    gone_why = models.CharField(max_length=9, blank=True)

    class Meta:
        ordering = ["number"]
        constraints = [
            models.CheckConstraint(condition=Q(book_cost__gte=0), name="article_cost_not_negative"),
            models.CheckConstraint(condition=~Q(area__lte=0), name="article_area_positive"),
            models.CheckConstraint(condition=~Q(list_price__lte=0), name="article_price_positive"),
            models.CheckConstraint(
                condition=Q(gone_on__isnull=True, gone_why="") | (Q(gone_on__isnull=False) & ~Q(gone_why="")),
                name="article_gone_has_a_reason",
            ),
            models.CheckConstraint(condition=Q(hair__in=["", *Hair.values]), name="article_hair_known"),
            models.CheckConstraint(condition=Q(use__in=["", *Use.values]), name="article_use_known"),
            models.CheckConstraint(condition=Q(fur_origin=False) | ~Q(hair="off"), name="article_fur_has_hair"),
        ]

    def __str__(self) -> str:
        return self.number


class ArticleSkin(models.Model):
    """The share of a skin's cost that an article bears: 1 of 3 for one of three pouches. A fraction, so that thirds stay exact."""

    article = models.ForeignKey(Article, on_delete=models.PROTECT, related_name="parts")
    skin = models.ForeignKey(Skin, on_delete=models.PROTECT, related_name="parts")
    share_of = models.PositiveIntegerField(default=1)
    share_in = models.PositiveIntegerField(default=1)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["article", "skin"], name="article_names_a_skin_once"),
            models.CheckConstraint(
                condition=Q(share_of__gt=0, share_of__lte=models.F("share_in")), name="article_share_within_one"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.share_of}/{self.share_in} of {self.skin_id}"


class Regrade(Written):
    """Areas in cm2, None where it was not measured."""

    article = models.ForeignKey(Article, on_delete=models.PROTECT, related_name="regrades")
    on = models.DateField()
    was_grade = models.CharField(max_length=12, blank=True)
    was_area = QuantityField(null=True, blank=True)
    grade = models.CharField(max_length=12, blank=True)
    area = QuantityField(null=True, blank=True)
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["on", "pk"]
        constraints = [models.CheckConstraint(condition=~Q(area__lte=0), name="regrade_area_positive")]

    def __str__(self) -> str:
        return f"{self.was_grade} to {self.grade}"
