"""Pages of materials: the shelf, one material, its details, a weighed measure, and what may be entered about its stock."""

from decimal import Decimal
from typing import Any

from django.db import transaction
from django.http import HttpRequest, HttpResponse

from inventory import formats, units
from inventory.base import checks, measures, selectors as workshop
from inventory.errors import Refused
from inventory.ledger import selectors as ledger_read, services as ledger
from inventory.ledger.models import Posting
from inventory.materials import breaks, selectors as materials_read, services as materials
from inventory.materials.forms import (
    CountForm,
    MaterialForm,
    NewMaterialForm,
    OpeningForm,
    StockOutForm,
    WeighForm,
    typed,
)
from inventory.materials.models import Material
from inventory.permits import Person
from inventory.places.moves import views as moves
from inventory.substances import SUBSTANCES
from inventory.suppliers.services import named_supplier
from inventory.web.tables import coins
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

    def get_initial(self) -> dict[str, Any]:
        """An address may bring what a recipe asks for."""
        return {
            name: self.request.GET.get(name)
            for name in ("code", "name", "unit", "substance")
            if name in self.request.GET
        }

    def enter(self, form: NewMaterialForm) -> Material:
        found = self.sent(form)
        with transaction.atomic():
            code, key = found.pop("code"), found.pop("request_key")
            return materials.create(code=code, details=_details(**found), by=self.request.user, request_key=key)


class MaterialEdit(OfMaterial):
    template_name = "inventory/places/moves/described.html"
    form_class = MaterialForm
    title = "Edit {self.thing.name}"
    success_message = "{self.made.name} is changed."
    prefilled = (
        *("name", "unit", "substance", "lead_days", "safety_days", "shelf_life_days"),
        *("hazard_note", "sheet", "sheet_on", "breaks_on"),
    )

    def get_initial(self) -> dict[str, Any]:
        row = self.thing
        places = workshop.places()
        bought = {
            name: None if held is None else units.from_base(held, row.unit)
            for name, held in (("pack_quantity", row.pack_quantity), ("min_order", row.min_order))
        }
        said = {
            "supplier": row.supplier.name if row.supplier else "",
            "price_breaks": breaks.written(breaks.parse(row.price_breaks, places), places, formats.current()),
        }
        return {**super().get_initial(), **bought, **said}

    def enter(self, form: MaterialForm) -> Material:
        with transaction.atomic():
            weighed = {name: getattr(self.thing, name) for name in ("density_g_per_ml", "weighed_in")}
            details = _details(**self.given(form), **weighed)
            return materials.change(material=self.thing, details=details, by=self.request.user)

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        return super().get_context_data(**moves.whereabouts(self.thing, self.request.user), **more)


class Weigh(OfMaterial):
    form_class = WeighForm
    title = "Weigh a cup of {self.thing.name}"
    submit = "Save density"
    success_message = "{self.made.name} weighs {self.weighs}."
    lead = (
        "Fill the measure loosely, strike it level, weigh what is in it. From then on a cup or a spoon of this material "
        "counts with its own weight. A coarser or finer sack weighs differently: weigh it again."
    )

    def get_initial(self) -> dict[str, Any]:
        return {"scale": "g" if self.thing.base in units.METRIC else "oz"}

    @property
    def weighs(self) -> str:
        density = self.made.density_g_per_ml
        return "" if density is None else measures.density(density)

    def get_lead(self) -> str:
        if units.metric_of(self.thing.base) != "mL" or not self.thing.substance:
            return self.lead
        # A solution is weighed by what is dissolved in it.
        named = SUBSTANCES[self.thing.substance].name.lower()
        return f"{self.lead} Of a solution, enter the grams of {named} dissolved in so much of it, not what the liquid weighs."

    def enter(self, form: WeighForm) -> Material:
        found = self.given(form)
        found["grams"] = units.to_base(found["grams"], found.pop("scale") or "g", "g")
        return materials.weigh(material=self.thing, **found)


class _Measured(OfMaterial):
    """An entry of an amount of the material; its form offers the units it can be measured in."""

    def form_options(self) -> dict[str, Any]:
        return {"material": self.thing}

    def measured(self, form: Any, field: str) -> tuple[Decimal, str, dict[str, Any]]:
        """The amount in the base unit, the measure as it was typed, and all else that was sent.

        Its sign is judged before the conversion, so that the refusal names the right box.
        """
        found = self.sent(form)
        amount, unit = checks.not_negative(found.pop(field), "The amount", field=field), found.pop("unit")
        return materials.to_base(self.thing, amount, unit), typed(amount, unit), found

    def moved(self) -> tuple[str, str, Decimal]:
        """The one movement of what was made: its amount and its value in words, and how much it is (signed)."""
        line = ledger_read.movements(self.made).get()
        return units.show(abs(line.quantity), self.thing.unit), coins(abs(line.value)), line.quantity


class Opening(_Measured):
    form_class = OpeningForm
    title = "Opening stock of {self.thing.name}"
    submit = "Record opening stock"
    lead = "What was on the shelf when the books began, and what it had cost. For goods that came later, record a delivery."
    success_message = "{self.thing.name} is in the books from {self.made.on}."

    def enter(self, form: OpeningForm) -> Posting:
        return materials.open_stock(material=self.thing, **self.sent(form))


class Count(_Measured):
    form_class = CountForm
    title = "Stocktake of {self.thing.name}"
    submit = "Post the stocktake"
    opens_made = True
    lead = "Count or weigh what is really there and type it. The difference is posted and shown with its value."

    def enter(self, form: CountForm) -> Posting | None:
        counted, words, found = self.measured(form, "counted")
        return ledger.count(material=self.thing, counted=counted, typed=words, **found)

    def get_success_message(self) -> str:
        if self.made is None:
            return f"{self.thing.name}: the stocktake agrees with the books. Nothing had to be posted."
        amount, worth, quantity = self.moved()
        word = "more" if quantity > 0 else "less"
        return f"{self.thing.name}: {amount} {word} than in the books, worth {worth}. The difference is posted."


WORTH = "worth"


class StockOut(_Measured):
    """A second button says what it is worth before anything is posted."""

    form_class = StockOutForm
    template_name = "inventory/materials/out.html"
    title = "{self.thing.name}: take out"
    worth = ""
    submit = "Take it off the shelf"
    lead = "For what leaves the shelf and goes into no piece. What goes into a bath is added on the batch's own page."
    opens_made = True

    def post(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        form = self.get_form()
        if WORTH not in request.POST or not form.is_valid():
            return super().post(request, *args, **kwargs)
        try:
            quantity, _, found = self.measured(form, "quantity")
            checks.positive(quantity, "The amount", field="quantity")
        except Refused as refusal:
            self.point(form, refusal)
            return self.form_invalid(form)
        self.worth = materials_read.leaving(self.thing, quantity, found["on"])
        return self.render_to_response(self.get_context_data(form=form))

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        return super().get_context_data(worth=self.worth, **more)

    def enter(self, form: StockOutForm) -> Posting:
        quantity, words, found = self.measured(form, "quantity")
        return ledger.issue(draws=[ledger.Draw(self.thing, quantity, words)], **found)

    def get_success_message(self) -> str:
        amount, worth, _ = self.moved()
        return f"{amount} of {self.thing.name}, worth {worth}, left the shelf: {self.made.get_kind_display().lower()}."


def _details(*, by: Person, supplier: str, **said: Any) -> materials.Details:
    return materials.Details(**said, supplier=named_supplier(supplier, by=by))
