"""The form of a barter: what came in for a sale, at which value."""

from typing import Any

from django import forms

from costing.sell.expenses.forms import BESIDE_THE_YEAR, kinds_of
from costing.sell.headings import selectors as headings
from costing.sell.headings.models import CostKind
from costing.sell.payments.barter.services import SKINS, Goods
from inventory.base import selectors as workshop
from inventory.materials.forms import MaterialField
from inventory.models import Material
from inventory.web.fields import MoneyBox, UnitField
from inventory.web.forms import DayField, EntryForm, FigureField

GOODS = "goods"


def kinds() -> list[tuple[str, str]]:
    """What may come in for a sale: goods, skins, or a cost of a kind that is entered by its amount alone."""
    known = headings.kinds()
    costs = [(code, name) for code, name in kinds_of(BESIDE_THE_YEAR, CostKind.Place.YEAR) if not known[code].asks]
    return [
        (GOODS, "A material for the shelf"),
        (SKINS, "Skins, which I add myself"),
        *((code, f"{name}, as a cost") for code, name in costs),
    ]


class BarterForm(EntryForm):
    amount = MoneyBox(
        label="Agreed value", help_text="What it would cost to buy. It is both what you earn and what you pay."
    )
    on = DayField(label="Day")
    words = forms.CharField(max_length=120, label="What you got")
    kind = forms.ChoiceField(choices=kinds, label="It is", widget=forms.RadioSelect)
    material = MaterialField(empty="No material")
    quantity = FigureField(required=False)
    unit = UnitField(own="own unit", required=False)
    tax_percent = FigureField(
        label="Tax in it", unit="%", required=False, help_text="On their bill. It is deducted; empty for none."
    )

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        if not workshop.current().deducts_tax:
            del self.fields["tax_percent"]
        self.fields["material"] = MaterialField(list(Material.objects.order_by("name")), empty="No material")

    def clean(self) -> dict[str, Any]:
        found = super().clean() or self.cleaned_data
        if found.get("kind") == GOODS:
            for name, missing in (("material", "Choose the material."), ("quantity", "Enter how much came in.")):
                if not found.get(name) and name not in self.errors:
                    self.add_error(name, missing)
        return found

    def traded(self) -> dict[str, Any]:
        """What came in, as the service takes it."""
        found = self.cleaned_data
        tax = {"tax_percent": found.get("tax_percent")}
        if found["kind"] != GOODS:
            return {"kind": found["kind"], **tax}
        return {**tax, "goods": Goods(found["material"], found["quantity"], found["unit"] or found["material"].unit)}
