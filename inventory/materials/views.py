"""Pages of the shelf: the list, one material, and what may be entered about it."""

from __future__ import annotations

from typing import Any

from django.db import transaction
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils.functional import cached_property

from inventory.base import checks
from inventory.materials import selectors as materials_read
from inventory.materials import services as materials
from inventory.materials.forms import MaterialForm, NewMaterialForm, WeighForm
from inventory.materials.models import Material
from inventory.permits import Person
from inventory.places.moves import views as moves
from inventory.substances import SUBSTANCES
from inventory.suppliers.services import named_supplier
from inventory.web.views import About, EntryView


class _About(About):
    """An entry about one material."""

    @cached_property
    def thing(self) -> Material:
        return get_object_or_404(materials_read.shelf(), code=self.kwargs["code"])

    @property
    def material(self) -> Material:
        return self.thing

    @property
    def title(self) -> str:  # type: ignore[override]  # here it names the material
        return self.heading()

    def heading(self) -> str:
        return self.material.name

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        return super().get_context_data(material=self.material, **more)


class _Measured(_About):
    """An entry whose form offers the units of the material."""

    def get_form_kwargs(self) -> dict[str, Any]:
        return {**super().get_form_kwargs(), "material": self.material}


class MaterialNew(EntryView):
    title = "New material"
    room = "Shelf"
    template_name = "inventory/web/entry.html"
    form_class = NewMaterialForm
    submit = "Put it on the list"
    cancel_name = "shelf"

    def enter(self, form: NewMaterialForm) -> Material:
        data = form.cleaned_data
        with transaction.atomic():
            return materials.create(
                code=data["code"],
                details=_details(data, by=self.request.user),
                by=self.request.user,
                request_key=data["request_key"],
            )

    def done_url(self) -> str:
        return reverse("material", args=[self.made.code])

    def said(self) -> str:
        return f"{self.made.name} is on the list. Record a delivery, or what is there already."

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        return super().get_context_data(trail=[("Shelf", reverse("shelf"))], **more)


class MaterialEdit(_About):
    template_name = "inventory/places/moves/described.html"
    form_class = MaterialForm
    submit = "Save"

    def heading(self) -> str:
        return f"Describe {self.material.name}"

    def get_initial(self) -> dict[str, Any]:
        return MaterialForm.told(self.material)

    def enter(self, form: MaterialForm) -> Material:
        with transaction.atomic():
            details = _details(form.cleaned_data, by=self.request.user, density=self.material.density_g_per_ml)
            return materials.change(material=self.material, details=details, by=self.request.user)

    def said(self) -> str:
        return f"{self.made.name} is described anew."

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        return super().get_context_data(**moves.whereabouts(self.material, self.request.user), **more)


class Weigh(_About):
    form_class = WeighForm
    submit = "Keep the density"

    def heading(self) -> str:
        return f"Weigh a cup of {self.material.name}"

    @property
    def lead(self) -> str:  # type: ignore[override]  # a solution is weighed by what is dissolved in it
        dry = (
            "Fill the measure loosely, strike it level, weigh what is in it. From then on cups and spoons of this material "
            "become grams by its own weight. A coarser or finer sack weighs differently: weigh it again."
        )
        if self.material.base != "mL" or not self.material.substance:
            return dry
        named = SUBSTANCES[self.material.substance].name.lower()
        return (
            f"{dry} Of a solution, enter the grams of {named} dissolved in so much of it, not what the liquid weighs."
        )

    def enter(self, form: WeighForm) -> Material:
        data = form.cleaned_data
        return materials.weigh(
            material=self.material,
            measure=data["measure"],
            unit=data["unit"],
            grams=data["grams"],
            by=self.request.user,
        )

    def said(self) -> str:
        return f"{self.made.name} weighs {self.made.density_g_per_ml.normalize():f} g a millilitre."


def _based(material: Material, amount: Any, unit: str, *, field: str) -> Any:
    """The typed measure in the base unit, its sign judged before the conversion so that the refusal names the right box."""
    return materials.to_base(material, checks.not_negative(amount, "The amount", field=field), unit)


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
