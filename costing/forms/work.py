"""Forms of putting a batch's materials in work: its head, and one line of the recipe with what may go in instead."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import Decimal
from typing import Any

from django import forms

from costing.forms.batches import WorkForm
from costing.forms.measures import check_measure
from costing.selectors.batches import Amount
from inventory import money, units
from inventory.errors import Refused
from inventory.forms.entry import DayField, EntryForm, FigureField
from inventory.forms.measures import fitting
from inventory.models import Material
from inventory.services.materials import to_base

HIDDEN = forms.HiddenInput(attrs={"autocomplete": "off"})
TYPED_PLACES = 3


class MoreWorkForm(EntryForm):
    """The head of more work on a finished piece; its materials are rows."""

    on = DayField(label="Day")
    task = forms.CharField(max_length=56, label="What was done")
    minutes = FigureField(required=False, min_value=0, unit="min", label="My minutes")


class PourForm(WorkForm):
    """`litres`: the bath decided on here, where it is another than was planned. `day`: the day of the recipe poured now."""

    litres = FigureField(required=False, widget=HIDDEN)
    day = forms.IntegerField(required=False, widget=HIDDEN)


class PourLineForm(forms.Form):
    """How much of one recipe line goes in now, or of what stands in for it; nothing entered: not now.

    `goes_in` is that material and `planned` its amount (base unit); `offered` what could stand in. `typed` is what was
    entered before, in this form's own field names.
    """

    amount = FigureField(required=False)
    unit = forms.ChoiceField()
    instead = forms.ChoiceField(required=False, widget=HIDDEN)

    def __init__(
        self,
        *args: Any,
        wanted: Amount,
        goes_in: Material,
        planned: Decimal,
        offered: Sequence[Material] = (),
        typed: Mapping[str, str] | None = None,
        now: bool = True,
        **options: Any,
    ) -> None:
        self.wanted, self.goes_in, self.planned = wanted, goes_in, planned
        super().__init__(*args, **options)
        self.fields["amount"].label = f"Amount of {goes_in.name}"
        self.fields["unit"] = forms.ChoiceField(choices=fitting(goes_in), label=f"Unit of {goes_in.name}")
        self.fields["instead"] = forms.ChoiceField(
            choices=[("", ""), *((str(row.pk), row.name) for row in offered)],
            required=False,
            widget=HIDDEN,
            error_messages={"invalid_choice": "What was to go in instead is of another kind. Open the page again."},
        )
        self.as_planned = written(planned, goes_in) if planned else None
        amount, unit = self.as_planned if self.as_planned and now else (None, goes_in.unit)
        instead = str(goes_in.pk) if goes_in.pk != wanted.material.pk else ""
        self.initial = {"amount": amount, "unit": unit, "instead": instead, **(typed or {})}

    @property
    def quantity(self) -> Decimal | None:
        """What stands in the boxes, in the base unit; None where that cannot be read."""
        try:
            amount = FigureField(required=False).clean(self["amount"].value())
            return to_base(self.goes_in, amount, str(self["unit"].value())) if amount else Decimal(0)
        except (forms.ValidationError, Refused, ValueError):
            return None

    @property
    def changed(self) -> bool:
        """Whether something else stands in the boxes than what is planned."""
        return self.as_planned is None or self.quantity != to_base(self.goes_in, *self.as_planned)

    @property
    def planned_words(self) -> str:
        """The planned amount as it is weighed out; empty where there is none."""
        if self.as_planned is None:
            return ""
        amount, unit = self.as_planned
        return f"{amount.normalize():f} {units.label(unit)}"

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


def written(quantity: Decimal, material: Material) -> tuple[Decimal, str]:
    """A planned amount as it may be typed: in the material's own unit if three decimals say it whole, else in the base unit.

    The box takes three decimals; 183.75 g would not fit into it as kilograms.
    """
    own = units.from_base(quantity, material.unit)
    if own == money.half_up(own, TYPED_PLACES):
        return own, material.unit
    return units.from_base(quantity, material.base), material.base
