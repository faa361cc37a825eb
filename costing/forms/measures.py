"""Fields of rows upstairs: a material out of those read once, its measure tried at once, and a share of a skin."""

from __future__ import annotations

import re
from collections.abc import Sequence
from decimal import Decimal
from fractions import Fraction
from typing import Any

from django import forms

from inventory import units
from inventory.errors import Refused
from inventory.forms.entry import FigureField
from inventory.forms.measures import UnitField
from inventory.models import Material
from inventory.services.materials import to_base

SHARE = re.compile(r"(\d{1,6})\s*/\s*(\d{1,6})|(\d{1,6}(?:[.,]\d{1,6})?|[.,]\d{1,6})")


class MaterialField(forms.ChoiceField):
    """One of the materials handed in: a set of rows reads the shelf once, not once a row. Cleans to the material, or None."""

    def __init__(self, materials: Sequence[Material] = (), **options: Any) -> None:
        self.known = {str(material.pk): material for material in materials}
        # The unit beside the name, so that a bare amount is not taken for another.
        named = [(pk, f"{row.name} ({units.label(row.unit)})") for pk, row in self.known.items()]
        super().__init__(choices=[("", "–"), *named], required=False, **options)

    def prepare_value(self, value: object) -> object:
        return str(value.pk) if isinstance(value, Material) else value

    def clean(self, value: object) -> Material | None:
        return self.known.get(super().clean(value))


class MeasureForm(forms.Form):
    """A row of a material and its amount. It may stay empty; begun, it must be whole, and the measure must fit."""

    material = MaterialField()
    amount = FigureField(required=False)
    unit = UnitField(own="as kept", required=False)
    needed: dict[str, str] = {
        "material": "Choose the material, or empty the row.",
        "amount": "Enter how much, or empty the row.",
    }

    def __init__(self, *args: Any, materials: Sequence[Material] = (), **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["material"] = MaterialField(materials)

    def clean(self) -> dict[str, Any]:
        found = super().clean() or self.cleaned_data
        if not self.has_changed():
            return found
        for name, ask in self.needed.items():
            if name not in self.errors and not found.get(name):
                self.add_error(name, ask)
        if not self.errors and self.by_measure(found):
            check_measure(self, found["material"], found["amount"], found["unit"])
        return found

    def by_measure(self, found: dict[str, Any]) -> bool:
        """Whether the amount is a measure of the material itself."""
        return True


class ShareField(forms.CharField):
    """A share of a skin's cost: 1/3, 0.5 or 1. Cleans to a fraction, or None when empty."""

    def __init__(self, **options: Any) -> None:
        super().__init__(max_length=16, **options)

    def clean(self, value: object) -> Any:
        text = super().clean(value)
        if not text:
            return None
        found = SHARE.fullmatch(text)
        if found is None or (found[2] and int(found[2]) == 0):
            raise forms.ValidationError(f"“{text}” is no share. Write it like 1/3, 0.5 or 1.")
        share = Fraction(int(found[1]), int(found[2])) if found[1] else Fraction(found[3].replace(",", "."))
        if not 0 < share <= 1:
            raise forms.ValidationError(f"A share lies above 0 and is 1 at most; {text} was given.")
        return share


def check_measure(form: forms.Form, material: Material, amount: Decimal, unit: str) -> None:
    """Try the measure on the material now, so that a refusal stands beside its own row."""
    try:
        amount_base = to_base(material, amount, unit or material.unit)
    except Refused as refusal:
        form.add_error("unit" if refusal.field == "unit" else "amount", str(refusal))
        return
    if amount_base <= 0:
        form.add_error(
            "amount", f"It must be more than nothing, and at least the least amount kept; {amount} was given."
        )
