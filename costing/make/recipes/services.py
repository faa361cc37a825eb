"""Recipes: written down as versions. A version that a batch has used is never changed; a new one follows it."""

from collections.abc import Sequence
from dataclasses import asdict, dataclass, replace
from decimal import Decimal

from costing.make.recipes import rules as recipes
from costing.make.recipes.models import Recipe, RecipeLine, RecipeStep, RecipeVersion, TaskKind
from inventory import money, units
from inventory.base import checks
from inventory.base.services import service
from inventory.errors import Refused, in_row
from inventory.materials.services import to_base
from inventory.models import Material, Method
from inventory.permits import Act, Person

LAST_VERSION = 32767
MOST_STEPS = 60
MOST_DAYS = 3650
MOST_MINUTES = 10_000

# The figures of a step: what each is called, and the most that is believed of it.
FIGURES = {
    "wait_days": ("The wait before the step", MOST_DAYS),
    "lasts_days": ("The days that the step lasts", MOST_DAYS),
    "grace_days": ("The days for which it is still safe", MOST_DAYS),
    "every_days": ("The days between repeats", MOST_DAYS),
    "minutes": ("The minutes of hands", MOST_MINUTES),
    "minutes_per_skin": ("The minutes a skin", MOST_MINUTES),
    "repeat_minutes": ("The minutes at each repeat", MOST_MINUTES),
}


@dataclass(frozen=True)
class Line:
    """`amount` `unit` of a material per what `basis` names; for percent of weight the unit is "%".

    It goes in during the `step` of that name, on `day` of the recipe (counted from 0); of the two one will do.
    """

    material: Material
    amount: Decimal
    unit: str
    basis: str
    step: str = ""
    day: int | None = None
    how: str = ""


@dataclass(frozen=True)
class Step:
    """A step in days and minutes, as `RecipeStep` keeps it; `task` empty: the hands do what the name says."""

    name: str
    task: str = ""
    kind: str = TaskKind.OTHER
    wait_days: int = 0
    lasts_days: int = 0
    grace_days: int = 0
    every_days: int = 0
    repeat: str = ""
    minutes: int = 0
    minutes_per_skin: int = 0
    repeat_minutes: int = 0
    uses: str = ""
    caution: str = ""


@service(Act.SHED, makes=RecipeVersion)
def write(
    *,
    code: str,
    method: str,
    lines: Sequence[Line],
    name: str = "",
    number: int | None = None,
    litres_per_skin: Decimal | None = None,
    note: str = "",
    steps: Sequence[Step] = (),
    by: Person = None,
    request_key: str | None = None,
) -> RecipeVersion:
    """A new version of a recipe, the recipe itself made when new. `number` defaults to the next one.

    It is frozen with its lines and its steps. Steps without lines will do (scrape and dry), and lines without steps.
    """
    if not lines and not steps:
        raise Refused("The recipe has no lines. Enter at least one material, or the steps where nothing goes in.")
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
        else units.to_base(checks.positive(litres_per_skin, "The bath for a skin", field="litres_per_skin"), "L", "mL"),
        note=checks.text(note, "The note", field="note", longest=200),
    )
    if len(steps) > MOST_STEPS:
        raise Refused(f"{len(steps)} steps are more than a recipe holds ({MOST_STEPS}). Draw small ones together.")
    _refuse_same_names(steps)
    written = [
        RecipeStep.objects.create(version=version, position=position, **asdict(checked(step)))
        for position, step in enumerate(steps, start=1)
    ]
    for position, line in enumerate(lines, start=1):
        with in_row(position - 1):
            _line(version, position, line, written)
    return version


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


def _line(version: RecipeVersion, position: int, line: Line, steps: Sequence[RecipeStep]) -> None:
    if line.basis not in recipes.BASES:
        raise Refused(f"Basis {line.basis!r} is not known; choose one of {', '.join(recipes.BASES)}.", field="basis")
    checks.positive(line.amount, f"The amount of {line.material.name}", field="amount")
    if line.basis == "percent_of_weight":
        if line.unit not in ("%", "percent"):
            raise Refused(f"An amount in % of skin weight has the unit %, not {line.unit!r}.", field="unit")
        amount = money.half_up(line.amount, 3)
    else:
        amount = to_base(line.material, line.amount, line.unit)
    if not amount:
        raise Refused(f"{line.amount} {line.unit} of {line.material.name} is less than can be weighed.", field="amount")
    if line.day is not None and not 0 <= line.day <= MOST_DAYS:
        raise Refused(f"Day {line.day} of the recipe is not believable.", field="day")
    name, day = recipes.tie(
        checks.text(line.step, "The step", field="step", longest=80), line.day, recipes.spans(steps)
    )
    RecipeLine.objects.create(
        version=version,
        position=position,
        material=line.material,
        amount=amount,
        basis=line.basis,
        typed=f"{line.amount.normalize():f} {line.unit}",
        step=next((step for step in steps if step.name == name), None),
        how=checks.text(line.how, "How it is added", field="how", longest=80),
        day=day,
    )


def _refuse_same_names(steps: Sequence[Step]) -> None:
    names: set[str] = set()
    for name in (step.name.strip() for step in steps):
        if name.casefold() in names:
            own = "Give each a name of its own, such as Bath and Second bath."
            raise Refused(f"Two steps are called “{name}”. {own}", field="name")
        names.add(name.casefold())


def checked(step: Step) -> Step:
    """The step as it can be kept, its texts trimmed. Refuses, naming the step, what no batch could be laid out by."""
    name = checks.text(step.name, "The step's name", field="name", longest=40, needed=True)
    repeat = checks.text(step.repeat, "What is repeated", field="repeat", longest=40)
    for field, (what, most) in FIGURES.items():
        if not 0 <= (figure := getattr(step, field)) <= most:
            raise Refused(f"{name}: {what}: {figure} is not believable. Enter 0 to {most}.", field=field)
    if step.kind not in TaskKind.values:
        raise Refused(f"{name}: '{step.kind}' is not a known kind of work; choose one of the list.", field="kind")
    if step.uses not in RecipeStep.Uses.values:
        raise Refused(f"{name}: {step.uses!r} is not a place for a step; choose tub, frame or none.", field="uses")
    _refuse_half_a_repeat(step, name, repeat)
    return replace(
        step,
        name=name,
        repeat=repeat,
        task=checks.text(step.task, "What the hands do", field="task", longest=80),
        caution=checks.text(step.caution, "The caution", field="caution", longest=300),
    )


def _refuse_half_a_repeat(step: Step, name: str, repeat: str) -> None:
    if repeat and not step.every_days:
        raise Refused(f"{name}: say how many days apart “{repeat}” is, 1 for daily.", field="every_days")
    if step.every_days and not repeat:
        raise Refused(f"{name}: say what is done every {step.every_days} days, such as Turn or Drain.", field="repeat")
    if step.every_days and not step.lasts_days:
        raise Refused(
            f"{name}: “{repeat}” repeats while the step lasts. Enter how many days it lasts.", field="lasts_days"
        )
    if step.repeat_minutes and not repeat:
        raise Refused(f"{name}: minutes at each repeat need a repeat. Say what is repeated.", field="repeat")
