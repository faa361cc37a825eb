"""Additions: what goes into a batch on which day, in the maker's own measure, and what of it is still to come.

Owns the words and the figures of an addition, the same on Today, on paper and in every answer. How much a line wants and
what went in for it is `costing.make.batches.requirements.selectors`; nothing here looks at the clock.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from costing.make.batches.models import Batch
from costing.make.batches.requirements import selectors as requirements
from costing.make.batches.requirements.selectors import Amount
from costing.make.batches.stays import selectors as stays
from costing.make.baths.chemistry import bath as chemistry
from costing.make.baths.mixing import selectors as mixing
from costing.make.recipes import selectors as recipes
from costing.make.recipes.models import RecipeLine, RecipeStep
from costing.make.recipes.rules import BASES
from inventory import money, units
from inventory.models import Material

# Units of one system, of which the shelf's own is as good to weigh by as the recipe's.
ALIKE = ({"g", "kg"}, {"mL", "L"}, {"oz", "lb"})
TYPED_PLACES = 3
MUCH = 100


@dataclass(frozen=True)
class Addition:
    """One material that is to go into a batch. `quantity` of `unit` in the maker's own measure; None where it is not known
    how much, and `amount.missing` says why."""

    batch: Batch
    amount: Amount
    quantity: Decimal | None
    unit: str

    @property
    def line(self) -> RecipeLine:
        return self.amount.line

    @property
    def material(self) -> Material:
        return self.amount.material

    @property
    def step(self) -> RecipeStep | None:
        return self.amount.line.step

    @property
    def figure(self) -> str:
        """“0.675 kg”, “680 g (about 2.5 US cup)” of a weighed jar, or what the recipe says of it: “2 % of skin weight”."""
        if self.quantity is None:
            return f"{self.line.typed} {'of skin weight' if self.unit == '%' else BASES[self.line.basis]}"
        return units.told(self.quantity, self.unit) + cups(self.material, self.quantity, self.unit)

    @property
    def what(self) -> str:
        return f"{self.figure} {self.material.name}"

    @property
    def words(self) -> str:
        return f"Add {self.what}"

    @property
    def cautions(self) -> tuple[str, ...]:
        """Of the material: what it does in this bath, else its usual hazard, and the maker's own note."""
        meets = (line.material.substance for line in self.batch.version.lines.all())
        return recipes.care(self.material, froths=any(map(chemistry.sour, meets)))


def of(batch: Batch, amounts: Iterable[Amount], *, live: bool = False) -> list[Addition]:
    """What of a batch's amounts is still to come, by the day it is due and then as the recipe has it. `live`: the batch was
    under way on the day that the amounts are of, also where it is done by now."""
    state = Batch.State.IN_WORK if live and batch.state == Batch.State.DONE else batch.state
    waiting = (amount for amount in amounts if amount.waits(state) and amount.planned != 0)
    found = [as_addition(batch, amount) for amount in waiting]
    return sorted(found, key=lambda addition: (addition.amount.due, addition.line.position))


def as_addition(batch: Batch, amount: Amount) -> Addition:
    """What is still to go in of an amount, or all of it where it is in."""
    if amount.planned is None:
        return Addition(batch, amount, None, recipes.typed(amount.line)[1])
    return Addition(batch, amount, *own_measure(amount.line, amount.left or amount.planned))


def own_measure(line: RecipeLine, quantity: Decimal) -> tuple[Decimal, str]:
    """A quantity (base unit) of a line as the maker measures it out: amount and unit of the recipe; see `measured_out`."""
    return measured_out(line.material, quantity, recipes.typed(line)[1])


def measured_out(material: Material, quantity: Decimal, unit: str) -> tuple[Decimal, str]:
    """A quantity (base unit) in a recipe's cups or pounds; in the shelf's own unit where both weigh alike (grams by the litre of
    what is kept by the kilogram), finer where three decimals do not say it whole, and where the recipe's cannot be measured."""
    if unit == "%" or not mixing.measurable(material, unit):
        unit = material.unit
    if any({unit, material.unit} <= system for system in ALIKE):
        for each in (material.unit, material.base):
            told = units.from_base(quantity, each)
            # Of much, no scale of a shed tells hundredths of a gram.
            places = TYPED_PLACES if each == material.unit or told < MUCH else 1
            if told == money.half_up(told, places) and any({each, unit} <= system for system in ALIKE):
                return told, each
    return mixing.measured(material, quantity, unit), unit


def cups(material: Material, quantity: Decimal, unit: str) -> str:
    """The same in the cup or spoon of it that the maker weighed, beside a weight: “ (about 2.5 US cup)”; else nothing."""
    if {units.metric_of(material.base), units.metric_of(unit)} != {"g"} or not material.weighed_in:
        return ""
    held = units.to_base(quantity, unit, material.base)
    return f" (about {mixing.in_measure(material, held, material.weighed_in)})"


@dataclass(frozen=True)
class Row:
    """A line of a batch for a table, its figures in the maker's own measure; `short`: the shelf lacks some of it."""

    amount: Amount
    planned: str
    used: str
    left: str
    short: bool


def rows(batch: Batch, amounts: Iterable[Amount]) -> list[Row]:
    return [
        Row(
            amount,
            planned="" if amount.planned is None else in_own(amount.line, amount.planned),
            used=in_own(amount.line, amount.used),
            left=in_own(amount.line, amount.left),
            short=bool(amount.short and amount.waits(batch.state)),
        )
        for amount in amounts
    ]


def ready(amounts: Iterable[Amount], on: date) -> bool:
    """Whether the day of something that did not go in yet is here."""
    return any(amount.left and not amount.skipped and amount.due <= on for amount in amounts)


def in_own(line: RecipeLine, quantity: Decimal) -> str:
    """A quantity (base unit) of a line in the maker's own measure, with its unit."""
    return units.told(*own_measure(line, quantity))


def missing(batch: Batch, step: RecipeStep, on: date) -> list[Addition]:
    """What of a step did not go in by a day and was not skipped."""
    row = stays.detailed().get(pk=batch.pk)
    return [addition for addition in of(row, requirements.amounts(row, on)) if addition.step == step]


def told(additions: Sequence[Addition]) -> str:
    """Their amounts in a sentence."""
    return ", ".join(addition.what for addition in additions)
