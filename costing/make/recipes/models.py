"""Recipes: the maker's own amounts and steps, versioned. A batch keeps the version it used; a version in use is never changed."""

from django.db import models
from django.db.models import Q

from costing.make.recipes.rules import BASES
from inventory.fields import QuantityField
from inventory.models import Material, Method


class Recipe(models.Model):
    code = models.CharField(max_length=20, unique=True)
    name = models.CharField(max_length=80, blank=True)
    method = models.CharField(max_length=12, choices=Method.choices)

    class Meta:
        ordering = ["code"]

    def __str__(self) -> str:
        return self.code


class RecipeVersion(models.Model):
    """`litres_per_skin` (mL) lets the shelf say how many skins a smaller bath would hold."""

    recipe = models.ForeignKey(Recipe, on_delete=models.PROTECT, related_name="versions")
    number = models.PositiveSmallIntegerField()
    litres_per_skin = QuantityField(null=True, blank=True)
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["recipe__code", "-number"]
        constraints = [
            models.UniqueConstraint(fields=["recipe", "number"], name="recipe_version_number_once"),
            models.CheckConstraint(condition=Q(number__gte=1), name="recipe_version_from_one"),
        ]

    def __str__(self) -> str:
        return f"{self.recipe} v{self.number}"


class TaskKind(models.TextChoices):
    """What hands do, chosen and never guessed from words: lacing wears a frame, softening counts as softening."""

    FLESH = "flesh", "Flesh"
    SALT = "salt", "Salt"
    WASH = "wash", "Wash"
    BATH = "bath", "Bath"
    OIL = "oil", "Oil"
    LACE = "lace", "Lace on frame"
    SOFTEN = "soften", "Soften"
    FINISH = "finish", "Finish"
    OTHER = "other", "Other"


class RecipeLine(models.Model):
    """`amount`: the material's base unit per what `basis` names, or percent of skin weight. `typed`: the maker's measure.

    It goes in during `step`, on `day` of the recipe, counted from its first; without steps the day alone says when. `how`
    are words on the way of adding it.
    """

    version = models.ForeignKey(RecipeVersion, on_delete=models.CASCADE, related_name="lines")
    position = models.PositiveSmallIntegerField()
    material = models.ForeignKey(Material, on_delete=models.PROTECT, related_name="recipe_lines")
    amount = QuantityField()
    basis = models.CharField(max_length=20, choices=list(BASES.items()))
    typed = models.CharField(max_length=60, blank=True)
    step = models.ForeignKey("RecipeStep", on_delete=models.PROTECT, null=True, blank=True, related_name="lines")
    how = models.CharField(max_length=80, blank=True)
    day = models.PositiveSmallIntegerField(default=0)

    class Meta:
        ordering = ["position"]
        constraints = [
            models.UniqueConstraint(fields=["version", "position"], name="recipe_line_position_once"),
            models.CheckConstraint(condition=Q(amount__gt=0), name="recipe_line_positive"),
            models.CheckConstraint(condition=Q(basis__in=list(BASES)), name="recipe_line_basis_known"),
        ]

    def __str__(self) -> str:
        return f"{self.material_id} {self.typed}"

    @property
    def words(self) -> str:
        """In which step, and how: “Bath, dissolved and slowly”."""
        return ", ".join(filter(None, (self.step.name if self.step else "", self.how)))


class RecipeStep(models.Model):
    """A step of a recipe, in days and minutes as `costing.make.steps.schedule.Step` means them.

    `name` is the step (Bath), `task` what the hands do when it is due (Take out and drain; empty: the name itself).
    `kind` is what that work counts as when it is logged with the step.
    `minutes` are of hands for the whole batch, `minutes_per_skin` come on top for each skin, `repeat_minutes` at each repeat.
    """

    class Uses(models.TextChoices):
        NOTHING = "", "No tub or frame"
        TUB = "tub", "A tub"
        FRAME = "frame", "Frames"

    version = models.ForeignKey(RecipeVersion, on_delete=models.CASCADE, related_name="steps")
    position = models.PositiveSmallIntegerField()
    name = models.CharField(max_length=40)
    task = models.CharField(max_length=80, blank=True)
    kind = models.CharField(max_length=6, choices=TaskKind.choices, default=TaskKind.OTHER)
    wait_days = models.PositiveSmallIntegerField(default=0)
    lasts_days = models.PositiveSmallIntegerField(default=0)
    grace_days = models.PositiveSmallIntegerField(default=0)
    every_days = models.PositiveSmallIntegerField(default=0)
    repeat = models.CharField(max_length=40, blank=True)
    minutes = models.PositiveSmallIntegerField(default=0)
    minutes_per_skin = models.PositiveSmallIntegerField(default=0)
    repeat_minutes = models.PositiveSmallIntegerField(default=0)
    uses = models.CharField(max_length=5, choices=Uses.choices, blank=True)
    caution = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["position"]
        constraints = [
            models.UniqueConstraint(fields=["version", "position"], name="recipe_step_position_once"),
            models.UniqueConstraint(fields=["version", "name"], name="recipe_step_name_once"),
            models.CheckConstraint(condition=Q(uses__in=["", "tub", "frame"]), name="recipe_step_uses_known"),
            models.CheckConstraint(condition=Q(kind__in=TaskKind.values), name="recipe_step_kind_known"),
            models.CheckConstraint(
                condition=Q(every_days=0, repeat="") | (Q(every_days__gt=0, lasts_days__gt=0) & ~Q(repeat="")),
                name="recipe_step_repeat_whole",
            ),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def does(self) -> str:
        """What the hands do when it is due."""
        return self.task or self.name
