"""The form of a whole stocktake: what was found of each material, blind; later a reason for each difference."""

from collections.abc import Sequence
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
from inventory.stocktake.services import Counted, entry
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
            self.fields[entry("count", material)] = FigureField(label=material.name, required=False)
            self.fields[entry("unit", material)] = UnitField(
                of=fitting(material), required=False, initial=material.unit
            )
            self.fields[entry("reason", material)] = NoteField(f"Why {material.name} differs", widget=Suggest(reasons))

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        self.counted: list[Counted] = []
        for material in self.materials:
            amount, unit = (data.get(entry(said, material)) for said in ("count", "unit"))
            if amount is None or unit is None:
                continue
            unit = unit or material.unit
            try:
                # The sign is judged before the conversion, so that the refusal names what was typed.
                checks.not_negative(amount, f"The count of {material.name}", field="count")
                found = to_base(material, amount, unit)
            except Refused as refusal:
                self.add_error(entry("unit" if refusal.field == "unit" else "count", material), str(refusal))
            else:
                reason = data.get(entry("reason", material), "")
                self.counted.append(Counted(material, found, typed(amount, unit), reason))
        return data

    def seen(self) -> dict[int, Decimal]:
        """The differences as the page before showed them."""
        found = {}
        for material in self.materials:
            if (text := self.data.get(entry("seen", material), "")) != "":
                try:
                    found[material.pk] = Decimal(text)
                except InvalidOperation:
                    found[material.pk] = Decimal("NaN")
                if not found[material.pk].is_finite():
                    raise Refused("The page came back changed. Look at the differences again.")
        return found

    def places(self) -> list[tuple[str, list[tuple[Material, forms.BoundField, forms.BoundField]]]]:
        """Bound fields by place, as the sheet is printed."""
        rows = [(row.place, (row, self[entry("count", row)], self[entry("unit", row)])) for row in self.materials]
        return [(place or NO_PLACE, found) for place, found in stocktake.grouped(rows)]
