"""Reads of recipes: the list, one with its versions and lines, where it was used, and what meets in its bath."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from decimal import Decimal
from fractions import Fraction
from itertools import groupby

from django.db.models import Count, Exists, Max, OuterRef, Prefetch, QuerySet

from costing.make.batches.models import Batch
from costing.make.baths.chemistry import bath, substitution
from costing.make.recipes.models import Recipe, RecipeLine, RecipeStep, RecipeVersion
from costing.make.recipes.rules import BASES, BY_BATH, PLACES, spans
from inventory import formats, money, units
from inventory.base.finding import hits
from inventory.materials import selectors as materials
from inventory.models import Material

# A recipe line, its measure as people read it, and the same in the material's unit where that differs.
Row = tuple[RecipeLine, str, str]


def listed() -> QuerySet[Recipe]:
    return Recipe.objects.annotate(
        last=Max("versions__number"), used=Count("versions__batches", distinct=True)
    ).order_by("code")


def detailed() -> QuerySet[Recipe]:
    lines = RecipeLine.objects.select_related("material", "step").order_by("position")
    versions = RecipeVersion.objects.prefetch_related(Prefetch("lines", queryset=lines), "steps").order_by("-number")
    return Recipe.objects.prefetch_related(Prefetch("versions", queryset=versions))


def batches_by(recipe: Recipe) -> QuerySet[Batch]:
    """The batches that any version of it was made for, the last started first."""
    return Batch.objects.filter(version__recipe=recipe).select_related("version").order_by("-start", "-pk")


def versions() -> QuerySet[RecipeVersion]:
    """Every version to choose from, the newest of each recipe first."""
    return RecipeVersion.objects.select_related("recipe").order_by("recipe__code", "-number")


def current() -> QuerySet[RecipeVersion]:
    """The newest version of each recipe."""
    newer = RecipeVersion.objects.filter(recipe=OuterRef("recipe"), number__gt=OuterRef("number"))
    return versions().filter(~Exists(newer))


def label(recipe: Recipe) -> str:
    """Its code and its name, to choose it by."""
    return f"{recipe.code}, {recipe.name}" if recipe.name else recipe.code


def typed(line: RecipeLine) -> tuple[Decimal, str]:
    """The maker's own measure of a line: amount and unit; "%" for percent of weight."""
    amount, _, unit = line.typed.rpartition(" ")
    if amount:
        return Decimal(amount), unit
    return (line.amount, "%") if line.basis == "percent_of_weight" else (line.amount, line.material.base)


def exact(line: RecipeLine) -> Fraction:
    """Base units for one of what a line is reckoned by, as typed: the amount kept is rounded to a thousandth, which a large bath
    would multiply. What was measured by the cup is as it weighed then. Of a hundred grams of skin a percent is one gram or
    millilitre."""
    amount, unit = typed(line)
    base = line.material.base
    if unit == "%":
        return Fraction(line.amount) * units.ratio(units.metric_of(base), base)
    if units.metric_of(unit) != units.metric_of(base):
        return Fraction(line.amount)
    return Fraction(amount) * units.ratio(unit, base)


def per_litre(line: RecipeLine) -> Fraction:
    """Base units of a line by the bath for each litre of it."""
    return exact(line) / BY_BATH[line.basis]


def groups(lines: Sequence[RecipeLine]) -> list[tuple[str, list[Row]]]:
    """Lines by what they are reckoned for, in the order of `BASES`."""
    found: dict[str, list[Row]] = defaultdict(list)
    for line in lines:
        found[line.basis].append(_row(line))
    return [(words, found[basis]) for basis, words in BASES.items() if basis in found]


def fillings(lines: Iterable[RecipeLine]) -> list[list[RecipeLine]]:
    """What goes by the litre or gallon, apart by the fillings of a tub: a bath, and what is added to it on later days.

    A later line tops the bath up while the skins lie in it: its step takes the tub, and no step out of the tub lies between.
    Where nobody said which steps take a tub, it is taken to. What is in the bath already and goes in again fills another one.
    """
    found: list[list[RecipeLine]] = []
    by_litre = sorted((line for line in lines if line.basis in BY_BATH), key=lambda line: (line.day, line.position))
    for _, group in groupby(by_litre, key=lambda line: line.day):
        of_day = list(group)
        there = {line.material_id for line in found[-1]} if found else set()
        again = there & {line.material_id for line in of_day}
        if found and not again and _in_one_tub(found[-1][-1], of_day[0]):
            found[-1] += of_day
        else:
            found.append(of_day)
    return found


def _in_one_tub(before: RecipeLine, line: RecipeLine) -> bool:
    if before.step is None or line.step is None:
        return True
    steps, tub = list(line.version.steps.all()), RecipeStep.Uses.TUB
    if all(step.uses != tub for step in steps):
        return True
    between = [step for step in steps if before.step.position < step.position < line.step.position]
    begins, _ = spans(steps)[line.step.name]
    runs = line.day > begins or before.step.uses == tub
    return line.step.uses == tub and runs and all(step.uses == tub for step in between)


def meetings(lines: Sequence[RecipeLine]) -> list[tuple[str, int, bath.Facts]]:
    """Where alum and soda meet in the recipe: for what, from which day on, and what they do.

    By the litre they meet in their tub, on whichever day each goes in; else lines of one day on one basis meet, since only
    those stand in a fixed proportion.
    """
    by_bath = {line.basis for line in lines if line.basis in BY_BATH}
    first = {line.pk: filling[0].day for filling in fillings(lines) for line in filling}
    together: dict[tuple[str, int], list[bath.Line]] = defaultdict(list)
    for line in lines:
        weighed = units.metric_of(line.material.base) == "g"
        if line.material.substance and weighed and line.basis != "percent_of_weight":
            basis, amount = line.basis, Fraction(line.amount)
            if basis in by_bath and len(by_bath) > 1:
                basis, amount = "per_litre", per_litre(line)
            grams = money.half_up(amount * units.ratio(line.material.base, "g"), PLACES)
            told = bath.Line(line.material.name, line.material.substance, grams)
            together[basis, first.get(line.pk, line.day)].append(told)
    return [(BASES[basis], day, met) for (basis, day), poured in together.items() if (met := bath.facts(poured))]


def hazards(lines: Sequence[RecipeLine]) -> list[tuple[str, str]]:
    """Cautions of what goes in, each material once: its substance's usual hazard and the maker's own note."""
    materials = {line.material.name: line.material for line in lines}
    told = ((name, " ".join(care(row))) for name, row in materials.items())
    return [(name, words) for name, words in told if words]


def care(material: Material, *, froths: bool = False) -> tuple[str, ...]:
    """What to mind of a material: what it does where soda `froths`, else its substance's usual hazard; then the maker's note."""
    if froths and substitution.family(material.substance) == "soda":
        return tuple(filter(None, (bath.FROTH_CAUTION, materials.noted(material))))
    return materials.cautions(material)


def _row(line: RecipeLine) -> Row:
    amount, unit = typed(line)
    if unit == "%":
        return line, f"{formats.plain(amount)} %", ""
    measure = units.told(amount, unit)
    own = units.show(line.amount, line.material.unit)
    return line, measure, ("" if units.canonical(unit) in (line.material.unit, line.material.base) else own)


def search(words: str) -> QuerySet[Recipe]:
    return hits(Recipe.objects.all(), words, ("code", "name"))
