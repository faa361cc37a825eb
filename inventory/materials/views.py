"""Pages of what a material is: a new one, its details, a weighed measure of it."""

from typing import Any

from django.db import transaction

from inventory import units
from inventory.materials import selectors as materials_read, services as materials
from inventory.materials.forms import MaterialForm, NewMaterialForm, WeighForm
from inventory.materials.models import Material
from inventory.permits import Person
from inventory.places.moves import views as moves
from inventory.substances import SUBSTANCES
from inventory.suppliers.services import named_supplier
from inventory.web.views import About, EntryView


class OfMaterial(About[Material]):
    """An entry about one material."""

    things = staticmethod(materials_read.shelf)


class MaterialNew(EntryView):
    title = "New material"
    trail = ("shelf",)
    form_class = NewMaterialForm
    submit = "Add material"
    cancel_page = "shelf"
    opens_made = True
    success_message = "{self.made.name} is on the list. Record a delivery, or what is there already."

    def enter(self, form: NewMaterialForm) -> Material:
        found = self.sent(form)
        with transaction.atomic():
            details = _details(found, by=self.request.user)
            return materials.create(
                code=found["code"], details=details, by=self.request.user, request_key=found["request_key"]
            )


class MaterialEdit(OfMaterial):
    template_name = "inventory/places/moves/described.html"
    form_class = MaterialForm
    title = "Edit {self.thing.name}"
    success_message = "{self.made.name} is changed."
    prefilled = ("name", "unit", "substance", "lead_days", "safety_days", "shelf_life_days", "hazard_note")

    def get_initial(self) -> dict[str, Any]:
        row = self.thing
        pack = None if row.pack_quantity is None else units.from_base(row.pack_quantity, row.unit)
        return {**super().get_initial(), "supplier": row.supplier.name if row.supplier else "", "pack_quantity": pack}

    def enter(self, form: MaterialForm) -> Material:
        with transaction.atomic():
            details = _details(form.cleaned_data, by=self.request.user, density=self.thing.density_g_per_ml)
            return materials.change(material=self.thing, details=details, by=self.request.user)

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        return super().get_context_data(**moves.whereabouts(self.thing, self.request.user), **more)


class Weigh(OfMaterial):
    form_class = WeighForm
    title = "Weigh a cup of {self.thing.name}"
    submit = "Save density"
    success_message = "{self.made.name} weighs {self.grams} g a millilitre."
    lead = (
        "Fill the measure loosely, strike it level, weigh what is in it. From then on cups and spoons of this material "
        "become grams by its own weight. A coarser or finer sack weighs differently: weigh it again."
    )

    @property
    def grams(self) -> str:
        return f"{self.made.density_g_per_ml.normalize():f}"

    def get_lead(self) -> str:
        if self.thing.base != "mL" or not self.thing.substance:
            return self.lead
        # A solution is weighed by what is dissolved in it.
        named = SUBSTANCES[self.thing.substance].name.lower()
        return f"{self.lead} Of a solution, enter the grams of {named} dissolved in so much of it, not what the liquid weighs."

    def enter(self, form: WeighForm) -> Material:
        return materials.weigh(material=self.thing, **self.given(form))


def _details(data: dict[str, Any], *, by: Person, density: Any = None) -> materials.Details:
    return materials.Details(
        name=data["name"],
        unit=data["unit"],
        substance=data["substance"],
        density_g_per_ml=density,
        pack_quantity=data["pack_quantity"],
        lead_days=data["lead_days"] or 0,
        safety_days=data["safety_days"] or 0,
        shelf_life_days=data["shelf_life_days"],
        hazard_note=data["hazard_note"],
        supplier=named_supplier(data["supplier"], by=by),
        place=data.get("place"),
    )
