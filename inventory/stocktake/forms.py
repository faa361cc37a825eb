"""The form of a whole stocktake: what was found of each material, blind; later a reason for each difference."""

from collections.abc import Iterator, Sequence
from decimal import Decimal, InvalidOperation
from functools import cache
from typing import Any

from django import forms

from inventory.base import checks
from inventory.errors import Refused
from inventory.materials.forms import fitting, typed
from inventory.materials.models import Material
from inventory.materials.services import to_base
from inventory.stocktake import selectors as stocktake
from inventory.stocktake.services import Counted, count_field, reason_field
from inventory.web.fields import Suggest, UnitField
from inventory.web.forms import DayField, EntryForm, FigureField, NoteField

NO_PLACE = "No place written"


class CountSheetForm(EntryForm):
    """For each material an amount and its unit. An empty amount was not counted; nothing there is 0."""

    on = DayField(label="Day", help_text="The stocktake is compared with the books at the end of it.")

    def __init__(self, *args: Any, materials: Sequence[Material], **options: Any) -> None:
        super().__init__(*args, **options)
        self.materials = materials
        reasons = cache(stocktake.reasons)
        for material in materials:
            self.fields[count_field(material)] = FigureField(label=material.name, required=False)
            self.fields[unit_field(material)] = UnitField(of=fitting(material), required=False, initial=material.unit)
            self.fields[reason_field(material)] = NoteField(f"Why {material.name} differs", widget=Suggest(reasons))

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        for material in self.materials:
            amount = data.get(count_field(material))
            if amount is None or unit_field(material) not in data:
                continue
            try:
                data[base_field(material)] = self._based(material, amount, data[unit_field(material)] or material.unit)
            except Refused as refusal:
                where = unit_field(material) if refusal.field == "unit" else count_field(material)
                self.add_error(where, str(refusal))
        return data

    def counted(self) -> list[Counted]:
        """What was entered, once the form is valid."""
        data = self.cleaned_data
        return [
            Counted(
                material,
                data[base_field(material)],
                typed(data[count_field(material)], data[unit_field(material)] or material.unit),
                data.get(reason_field(material), ""),
            )
            for material in self.materials
            if base_field(material) in data
        ]

    def seen(self) -> dict[int, Decimal]:
        """The differences as the page before showed them."""
        found = {}
        for material in self.materials:
            if (text := self.data.get(seen_field(material), "")) != "":
                try:
                    found[material.pk] = Decimal(text)
                except InvalidOperation:
                    raise Refused("The page came back changed. Look at the differences again.") from None
        return found

    def places(self) -> Iterator[tuple[str, list[tuple[Material, forms.BoundField, forms.BoundField]]]]:
        """Bound fields by place, as the sheet is printed."""
        groups: dict[str, list[tuple[Material, forms.BoundField, forms.BoundField]]] = {}
        for material in self.materials:
            place = material.place.name if material.place else ""
            row = (material, self[count_field(material)], self[unit_field(material)])
            groups.setdefault(place, []).append(row)
        for place in sorted(groups, key=lambda name: (not name, name.casefold())):
            yield place or NO_PLACE, groups[place]

    @staticmethod
    def _based(material: Material, amount: Decimal, unit: str) -> Decimal:
        """The sign is judged before the conversion, so that the refusal names what was typed."""
        checks.not_negative(amount, f"The count of {material.name}", field="count")
        return to_base(material, amount, unit)


def unit_field(material: Material) -> str:
    return f"unit_{material.pk}"


def base_field(material: Material) -> str:
    return f"base_{material.pk}"


def seen_field(material: Material) -> str:
    return f"seen_{material.pk}"
