"""Forms of adding a batch's materials: one addition, the head of many, and one line of the recipe with what may go in instead."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Any

from django import forms
from django.http import QueryDict

from costing.make.additions import selectors as additions
from costing.make.additions.forms import TapForm
from costing.make.batches.issues.forms import IssueForm
from costing.make.batches.models import Batch
from costing.make.batches.requirements.selectors import Amount, ShelfAllows, largest
from costing.make.baths.chemistry import bath as chemistry
from costing.make.baths.mixing import selectors as mixing
from costing.make.recipes.models import RecipeLine, RecipeVersion
from costing.make.recipes.rules import BY_BATH
from costing.make.recipes.selectors import care, per_litre
from inventory import money, units
from inventory.base.measures import LITRE_PLACES
from inventory.errors import Refused
from inventory.materials.forms import check_measure, fitting
from inventory.materials.services import to_base
from inventory.models import Material
from inventory.web.forms import FigureField

HIDDEN = forms.HiddenInput(attrs={"autocomplete": "off"})


class PourForm(IssueForm):
    """`litres`: the bath decided on here, where it is another than was planned. `day`: the day of the recipe poured now."""

    litres = FigureField(places=LITRE_PLACES, required=False, widget=HIDDEN)
    day = forms.IntegerField(required=False, widget=HIDDEN)


class AddForm(TapForm):
    amount = FigureField(label="Amount")
    unit = forms.ChoiceField()
    again = forms.BooleanField(required=False, label="More goes in, besides what is in already")
    field_order = ["amount", "unit", "again", "on"]

    def __init__(self, *args: Any, line: RecipeLine, asks_again: bool, **options: Any) -> None:
        super().__init__(*args, **options)
        self.line = line
        self.fields["unit"] = forms.ChoiceField(choices=fitting(line.material))
        if not asks_again:
            self.fields["again"].widget = forms.HiddenInput()

    def clean(self) -> dict[str, Any]:
        found = super().clean() or self.cleaned_data
        if not self.errors:
            check_measure(self, self.line.material, found["amount"], found["unit"])
        return found


class PourLineForm(forms.Form):
    """How much of one recipe line goes in now, or of what stands in for it; nothing entered: not now.

    `typed` is what the page was sent or opened with. `goes_in` is the material, `planned` its amount (base unit), `caution`
    what to mind where it is something else; `now`: its day is here.
    """

    amount = FigureField(required=False)
    unit = forms.ChoiceField()
    instead = forms.ChoiceField(required=False, widget=HIDDEN)

    def __init__(
        self, data: QueryDict | None, *, wanted: Amount, shelf: Sequence[Material], typed: Mapping[str, str], now: bool
    ) -> None:
        super().__init__(data, prefix=f"line-{wanted.line.pk}")
        others = offered(wanted.line, shelf)
        asked = typed.get(self.add_prefix("instead"))
        instead = next((row for row in others if str(row.pk) == asked), None)
        self.wanted, self.now = wanted, now
        self.goes_in, self.planned, self.caution = goes_in(wanted.line, wanted.left, instead)
        self.fields["amount"].label = f"Amount of {self.goes_in.name}"
        self.fields["unit"] = forms.ChoiceField(choices=fitting(self.goes_in), label=f"Unit of {self.goes_in.name}")
        self.fields["instead"] = forms.ChoiceField(
            choices=[("", ""), *((str(row.pk), row.name) for row in others)],
            required=False,
            widget=HIDDEN,
            error_messages={"invalid_choice": "What was to go in instead is of another kind. Open the page again."},
        )
        of = (self.goes_in, self.planned, self.goes_in.unit)
        own = additions.own_measure(wanted.line, self.planned) if instead is None else additions.measured_out(*of)
        self.as_planned = own if self.planned else None
        amount, unit = self.as_planned if self.as_planned and now else (None, self.goes_in.unit)
        entered = {name: typed[key] for name in ("amount", "unit") if (key := self.add_prefix(name)) in typed}
        self.initial = {"amount": amount, "unit": unit, "instead": str(instead.pk) if instead else "", **entered}

    @property
    def swapped(self) -> bool:
        return self.goes_in.pk != self.wanted.material.pk

    @property
    def quantity(self) -> Decimal | None:
        """What stands in the boxes, in the base unit; None where that cannot be read."""
        try:
            amount = FigureField(required=False).clean(self["amount"].value())
            return to_base(self.goes_in, amount, str(self["unit"].value())) if amount else Decimal(0)
        except (forms.ValidationError, Refused, ValueError):
            return None

    @property
    def fills(self) -> bool:
        """Whether some of the bath itself goes in now."""
        return self.now and self.wanted.line.basis in BY_BATH and bool(self.quantity)

    @property
    def changed(self) -> bool:
        """Whether something else stands in the boxes than what is planned."""
        return self.as_planned is None or self.quantity != to_base(self.goes_in, *self.as_planned)

    @property
    def wanted_words(self) -> str:
        """What the recipe asks for, in the maker's own measure."""
        return additions.in_own(self.wanted.line, self.wanted.planned or Decimal(0))

    @property
    def used_words(self) -> str:
        """What is in already, in the same."""
        return additions.in_own(self.wanted.line, self.wanted.used)

    @property
    def planned_words(self) -> str:
        """The planned amount as it is weighed out; empty where there is none."""
        return units.told(*self.as_planned) + additions.cups(self.goes_in, *self.as_planned) if self.as_planned else ""

    @property
    def is_open(self) -> bool:
        """Whether the boxes are shown at once: something in them is wrong, or is not what was planned."""
        return bool(self.errors) or (self.changed and self.quantity != 0)

    def clean_amount(self) -> Decimal | None:
        amount: Decimal | None = self.cleaned_data["amount"]
        if amount is not None and amount < 0:
            raise forms.ValidationError("It cannot be less than nothing. Leave it empty if none goes in now.")
        return amount or None

    def clean(self) -> dict[str, Any]:
        found = super().clean() or self.cleaned_data
        if found.get("amount") and found.get("unit"):
            check_measure(self, self.goes_in, found["amount"], found["unit"])
        return found


# A stand-in is measured out to this many decimals of a gram or a millilitre, or as finely as ounces are kept.
WEIGHED = 1


@dataclass(frozen=True)
class Card:
    """One line of the recipe at the tub. `short` in the base unit of what goes in, `care` what to mind of it.

    `stand_ins`: what could go in instead, and how much of it. `unmeasured`: of its kind and by volume, so that a density or
    strength must be recorded before it can stand in.
    """

    form: PourLineForm
    short: Decimal
    care: str
    stand_ins: tuple[tuple[Material, str], ...]
    unmeasured: tuple[Material, ...]


NOT_TODAY = -1


def now_day(amounts: Sequence[Amount], state: str, on: date) -> int | None:
    """The day of the recipe whose lines go in now: the earliest of what waits and is due, the first of a plan. `NOT_TODAY`: what
    waits is for later days, and no oil shall stand ready in the middle of a bath. None: nothing waits."""
    waiting = [each for each in amounts if each.left and each.waits(state)]
    due = [each.line.day for each in waiting if each.due <= on or state == Batch.State.PLANNED]
    return min(due, default=NOT_TODAY if waiting else None)


def goes_in(line: RecipeLine, left: Decimal, instead: Material | None) -> tuple[Material, Decimal, str]:
    """What goes in for a line, how much of it (base unit), and what to mind where it is something else."""
    if instead is None or not left:
        return (instead or line.material), (Decimal(0) if instead else left), ""
    found = mixing.stand_in(line, left, instead)
    places = WEIGHED if instead.base in units.METRIC else units.HELD_PLACES
    return instead, money.half_up(mixing.held(instead, found.grams), places), found.caution


def offered(line: RecipeLine, shelf: Sequence[Material]) -> list[Material]:
    """What could stand in for a line, of what grams of its substance can be told."""
    if not mixing.weighable(line.material):
        return []
    return [row for row in mixing.stand_ins(line, shelf) if mixing.weighable(row)]


def unmeasured(line: RecipeLine, shelf: Sequence[Material]) -> tuple[Material, ...]:
    """What is of the kind of a line, stands on the shelf by volume, and lacks the density or strength to stand in by."""
    kin = mixing.stand_ins(line, shelf)
    if not mixing.weighable(line.material):
        return (line.material,) if kin and by_volume(line.material) else ()
    return tuple(row for row in kin if by_volume(row) and row.on_hand and not mixing.weighable(row))


def by_volume(material: Material) -> bool:
    return units.metric_of(material.base) == "mL"


def cards(forms: Sequence[PourLineForm], shelf: Sequence[Material]) -> list[Card]:
    """A card for each line's form; lines of one material share one shelf."""
    froths = any(chemistry.sour(form.goes_in.substance) for form in forms if form.now)
    shorts = mixing.shorts([(form.goes_in, form.quantity or Decimal(0)) for form in forms])
    return [
        Card(
            form=form,
            short=short,
            care=" ".join(care(form.goes_in, froths=froths and form.now)),
            stand_ins=_stand_ins(form, shelf) if short else (),
            unmeasured=unmeasured(form.wanted.line, shelf) if short else (),
        )
        for form, short in zip(forms, shorts, strict=True)
    ]


def smaller(version: RecipeVersion, poured: Sequence[PourLineForm], litres: Decimal | None) -> ShelfAllows | None:
    """The largest bath that the shelf allows of what is poured now, where that is smaller than the bath wanted."""
    if not litres:
        return None
    rates = []
    besides: dict[int, Decimal] = {}
    for form in poured:
        each = form.wanted
        if form.fills and each.left:
            # Of a stand-in: as much as stands in for one litre of the recipe's own.
            rates.append((form.goes_in, per_litre(each.line) * Fraction(form.planned) / Fraction(each.left)))
            besides[form.goes_in.pk] = each.used if not form.swapped else Decimal(0)
    found = largest(rates, version.litres_per_skin, besides)
    return found if found is not None and 0 < found.litres < litres else None


def _stand_ins(form: PourLineForm, shelf: Sequence[Material]) -> tuple[tuple[Material, str], ...]:
    """What the shelf holds enough of, other than what goes in already and what the recipe asks for."""
    found = []
    for material in offered(form.wanted.line, shelf):
        if material.pk == form.goes_in.pk or not form.wanted.left:
            continue
        _, quantity, _ = goes_in(form.wanted.line, form.wanted.left, material)
        if 0 < quantity <= material.on_hand:
            found.append((material, mixing.in_measure(material, quantity, material.unit)))
    return tuple(found)
