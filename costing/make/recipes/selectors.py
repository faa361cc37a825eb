"""Reads of recipes: the list, one with its versions and lines, where it was used, and what meets in its bath."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.db.models import Count, Max, Prefetch, QuerySet

from costing.make.batches.models import Batch
from costing.make.baths.chemistry import bath
from costing.make.recipes.models import Recipe, RecipeLine, RecipeVersion
from costing.make.recipes.rules import BASES
from inventory import substances, units

MILD = "No usual hazard"


@dataclass(frozen=True)
class Row:
    """A recipe line with its measure as people read it, and the same in the material's unit where that differs."""

    line: RecipeLine
    measure: str
    same_as: str


@dataclass(frozen=True)
class Group:
    """The lines reckoned on one basis."""

    basis: str
    rows: tuple[Row, ...]


@dataclass(frozen=True)
class Meeting:
    """Alum and soda that go in on one day on one basis: `per` says what the facts are for."""

    per: str
    day: int
    facts: bath.Facts

    @property
    def mol(self) -> str:
        return f"{self.facts.aluminium_mol} mol"


def listed() -> QuerySet[Recipe]:
    return Recipe.objects.annotate(
        last=Max("versions__number"), used=Count("versions__batches", distinct=True)
    ).order_by("code")


def detailed() -> QuerySet[Recipe]:
    lines = RecipeLine.objects.select_related("material").order_by("position")
    versions = RecipeVersion.objects.prefetch_related(
        Prefetch("lines", queryset=lines), "steps", Prefetch("batches", queryset=Batch.objects.order_by("start", "pk"))
    ).order_by("-number")
    return Recipe.objects.prefetch_related(Prefetch("versions", queryset=versions))


def versions() -> QuerySet[RecipeVersion]:
    """Every version to choose from, the newest of each recipe first."""
    return RecipeVersion.objects.select_related("recipe").order_by("recipe__code", "-number")


def typed(line: RecipeLine) -> tuple[Decimal, str]:
    """The maker's own measure of a line: amount and unit; "%" for percent of weight."""
    amount, _, unit = line.typed.rpartition(" ")
    if amount:
        return Decimal(amount), unit
    return (line.amount, "%") if line.basis == "percent_of_weight" else (line.amount, line.material.base)


def groups(lines: Sequence[RecipeLine]) -> list[Group]:
    """Lines by basis, in the order of `scaling.BASES`."""
    found: dict[str, list[Row]] = defaultdict(list)
    for line in lines:
        found[line.basis].append(_row(line))
    return [Group(BASES[basis], tuple(found[basis])) for basis in BASES if basis in found]


def meetings(lines: Sequence[RecipeLine]) -> list[Meeting]:
    """Where alum and soda meet in the recipe: lines of one day on one basis, since only those stand in a fixed proportion."""
    together: dict[tuple[str, int], list[bath.Portion]] = defaultdict(list)
    for line in lines:
        if line.material.substance and line.material.base == "g" and line.basis != "percent_of_weight":
            together[(line.basis, line.day)].append(bath.Portion(line.material.substance, line.amount))
    found = ((basis, day, bath.facts(portions)) for (basis, day), portions in together.items())
    return [Meeting(BASES[basis], day, facts) for basis, day, facts in found if facts]


def hazards(lines: Sequence[RecipeLine]) -> list[tuple[str, str]]:
    """Cautions of what goes in, each material once: its substance's usual hazard and the maker's own note."""
    found: dict[str, str] = {}
    for line in lines:
        known = substances.SUBSTANCES.get(line.material.substance)
        words = [known.hazard] if known and not known.hazard.startswith(MILD) else []
        if line.material.hazard_note:
            words.append(line.material.hazard_note)
        if words:
            found[line.material.name] = " ".join(words)
    return list(found.items())


def _row(line: RecipeLine) -> Row:
    amount, unit = typed(line)
    if unit == "%":
        return Row(line, f"{amount.normalize():f} %", "")
    measure = f"{amount.normalize():f} {units.label(unit)}"
    own = units.show(line.amount, line.material.unit)
    return Row(line, measure, "" if units.canonical(unit) in (line.material.unit, line.material.base) else own)
