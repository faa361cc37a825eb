"""Recipes: written down as versions. A version that a batch has used is never changed; a new one follows it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.db import transaction

from costing import scaling
from costing.models import Recipe, RecipeLine, RecipeVersion
from inventory import money, units
from inventory.errors import Refused
from inventory.models import Material, Method
from inventory.services import checks, requests
from inventory.services.materials import to_base
from inventory.services.permits import Act, Person, require

LAST_VERSION = 32767


@dataclass(frozen=True)
class Line:
    """`amount` `unit` of a material per what `basis` names; for percent of weight the unit is "%"."""

    material: Material
    amount: Decimal
    unit: str
    basis: str
    step: str = ""
    day: int = 0


@transaction.atomic
def write(
    *,
    code: str,
    method: str,
    lines: Sequence[Line],
    name: str = "",
    number: int | None = None,
    litres_per_skin: Decimal | None = None,
    note: str = "",
    by: Person = None,
    request_key: str | None = None,
) -> RecipeVersion:
    """A new version of a recipe, the recipe itself made when new. `number` defaults to the next one."""
    require(by, Act.SHED)
    if done := requests.earlier(request_key, RecipeVersion):
        return done
    if not lines:
        raise Refused("The recipe has no lines. Enter at least one material.")
    recipe = _recipe(code, name, method)
    last = recipe.versions.order_by("-number").first()
    number = (last.number + 1 if last else 1) if number is None else number
    if not 1 <= number <= LAST_VERSION:
        raise Refused(f"A version is numbered 1 to {LAST_VERSION}; {number} was given.", field="version")
    if recipe.versions.filter(number=number).exists():
        raise Refused(f"{recipe.code} has a version {number} already; write it as the next one.", field="version")
    version = RecipeVersion.objects.create(
        recipe=recipe,
        number=number,
        litres_per_skin=None
        if litres_per_skin is None
        else units.to_base(checks.positive(litres_per_skin, "Litres a skin", field="litres_per_skin"), "L", "mL"),
        note=checks.text(note, "The note", field="note", longest=200),
    )
    for position, line in enumerate(lines, start=1):
        _line(version, position, line)
    return requests.keep(request_key, version)


def _recipe(code: str, name: str, method: str) -> Recipe:
    code = checks.code(code, "The recipe code", field="code")
    if method not in Method.values:
        raise Refused(f"Method {method!r} is not known; choose one of {', '.join(Method.values)}.", field="method")
    recipe = Recipe.objects.filter(code__iexact=code).first() or Recipe.objects.create(code=code, method=method)
    if recipe.method != method:
        raise Refused(
            f"{code} is {recipe.get_method_display().lower()}; a version cannot change the method. Use a new code.",
            field="method",
        )
    if name:
        recipe.name = checks.text(name, "The name", field="name", longest=80)
        recipe.save(update_fields=["name"])
    return recipe


def _line(version: RecipeVersion, position: int, line: Line) -> None:
    if line.basis not in scaling.BASES:
        raise Refused(f"Basis {line.basis!r} is not known; choose one of {', '.join(scaling.BASES)}.", field="basis")
    checks.positive(line.amount, f"The amount of {line.material.name}", field="amount")
    if line.basis == "percent_of_weight":
        if line.unit not in ("%", "percent"):
            raise Refused(f"An amount in % of skin weight has the unit %, not {line.unit!r}.", field="unit")
        amount = money.half_up(line.amount, 3)
    else:
        amount = to_base(line.material, line.amount, line.unit)
    if not amount:
        raise Refused(f"{line.amount} {line.unit} of {line.material.name} is less than can be weighed.", field="amount")
    if not 0 <= line.day <= 3650:
        raise Refused(f"Day {line.day} of the recipe is not believable.", field="day")
    RecipeLine.objects.create(
        version=version,
        position=position,
        material=line.material,
        amount=amount,
        basis=line.basis,
        typed=f"{line.amount.normalize():f} {line.unit}",
        step=checks.text(line.step, "The step", field="step", longest=80),
        day=line.day,
    )
