"""Pages of the shelf: the list, one material, and what may be entered about it."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Any

from django.db import transaction
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils.functional import cached_property
from django.views.decorators.http import require_safe

from inventory import units
from inventory.errors import Refused
from inventory.forms import measures
from inventory.forms.filters import ShelfFinder
from inventory.forms.materials import (
    CountForm,
    MaterialForm,
    NewMaterialForm,
    OpeningForm,
    StockOutForm,
    WeighForm,
)
from inventory.models import Kind, Material, Posting, Supplier
from inventory.selectors import leaving, stock, workshop
from inventory.selectors import ledger as ledger_reads
from inventory.selectors import materials as facts
from inventory.services import checks, ledger, materials, suppliers
from inventory.services.permits import Person
from inventory.substances import SUBSTANCES
from inventory.tables.ledger import Ledger
from inventory.tables.stock import HistoryTable, ShelfTable, coins, per_unit
from inventory.views import moves
from inventory.views.about import About
from inventory.views.entry import EntryView
from inventory.views.lists import ListPage, allowed


class Shelf(ListPage):
    template_name = "inventory/materials/shelf.html"
    title = "On the shelf"
    find_label = "Find a material"
    table_class = ShelfTable
    finder_class = ShelfFinder
    empty_title = "The shelf is empty"
    empty_text = "Enter the first material: its name, its exact substance, its unit. Then record what came or is there."
    action = ("Goods in", "delivery_new")

    def rows(self) -> QuerySet[Material]:
        return stock.shelf()

    def table(self, rows: QuerySet[Material]) -> Ledger:
        return ShelfTable(rows, total=stock.total_value(rows))

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        context = super().get_context_data(**more)
        table = context["table"]
        table.looks = stock.looks(table.shown(), workshop.today())
        count = table.paginator.count
        context["lead"] = f"{count} material{'' if count == 1 else 's'} worth {coins(table.total)}." if count else ""
        if context["nothing_yet"] and context["may"]["goods"]:
            context["action"] = ("New material", reverse("material_new"))
        return context


@require_safe
def material(request: HttpRequest, code: str) -> HttpResponse:
    """One material: what is there, what it is, which lots are open, and everything that moved."""
    row = get_object_or_404(stock.shelf(), code=code)
    history = HistoryTable(ledger_reads.history(row), unit=row.unit).opened(request)
    look = stock.looks([row], workshop.today())[row.pk]
    return render(
        request,
        "inventory/materials/material.html",
        {
            "title": row.name,
            "room": "Shelf",
            "trail": [("Shelf", reverse("shelf"))],
            "material": row,
            "look": look,
            "level_said": look.words(row.unit),
            "use_said": look.usual(row.unit),
            "unit_cost": per_unit(row.value, row.on_hand, row.unit),
            "facts": facts.facts(row),
            "substance": facts.substance(row),
            "lots": list(stock.open_lots(row)),
            "table": history,
            "moved": history.paginator.count,
            "weighable": row.base in ("g", "mL"),
            "may": allowed(request),
            **moves.whereabouts(row, request.user),
        },
    )


class _About(About):
    """An entry about one material."""

    @cached_property
    def thing(self) -> Material:
        return get_object_or_404(stock.shelf(), code=self.kwargs["code"])

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
    template_name = "inventory/entry.html"
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
    template_name = "inventory/moves/described.html"
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


class Opening(_Measured):
    form_class = OpeningForm
    submit = "Put it in the books"
    lead = "What stood on the shelf when the books began, and what it had cost. For goods that came later, record a delivery."

    def heading(self) -> str:
        return f"{self.material.name} at the start"

    def enter(self, form: OpeningForm) -> Posting:
        data = form.cleaned_data
        return materials.open_stock(
            material=self.material,
            on=data["on"],
            quantity=data["quantity"],
            unit=data["unit"],
            value=data["value"],
            by=self.request.user,
            request_key=data["request_key"],
        )

    def said(self) -> str:
        return f"{self.material.name} stands in the books from {self.made.on}."


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


class Count(_Measured):
    form_class = CountForm
    submit = "Post the count"
    lead = "Count or weigh what is really there and type it. The difference is posted and shown with its value."

    def heading(self) -> str:
        return f"Count {self.material.name}"

    def enter(self, form: CountForm) -> Posting | None:
        data = form.cleaned_data
        return ledger.count(
            on=data["on"],
            material=self.material,
            counted=_based(self.material, data["counted"], data["unit"], field="counted"),
            reason=checks.text(data["reason"], "The remark", field="reason", longest=200),
            by=self.request.user,
            request_key=data["request_key"],
            typed=measures.typed(data["counted"], data["unit"]),
        )

    def done_url(self) -> str:
        return reverse("posting", args=[self.made.pk]) if self.made else self.cancel_url()

    def said(self) -> str:
        if self.made is None:
            return f"{self.material.name}: the count agrees with the books. Nothing had to be posted."
        moved = stock.movements(self.made).get()
        word = "more" if moved.quantity > 0 else "less"
        amount = units.show(abs(moved.quantity), self.material.unit)
        worth = coins(abs(moved.value))
        return f"{self.material.name}: {amount} {word} than in the books, worth {worth}. The difference is posted."


WORTH = "worth"


class StockOut(_Measured):
    """A second button says what it is worth before anything is posted."""

    form_class = StockOutForm
    template_name = "inventory/materials/out.html"
    worth = ""
    submit = "Take it off the shelf"
    lead = "For what leaves the shelf and goes into no piece. What goes into a bath is put in work on the batch's own page."

    def heading(self) -> str:
        return f"{self.material.name}: take out"

    def post(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        form = self.get_form()
        if WORTH not in request.POST or not form.is_valid():
            return super().post(request, *args, **kwargs)
        data = form.cleaned_data
        try:
            quantity = checks.positive(
                _based(self.material, data["quantity"], data["unit"], field="quantity"), "The amount", field="quantity"
            )
        except Refused as refusal:
            form.add_error(refusal.field, str(refusal))
            return self.form_invalid(form)
        self.worth = self._worth(quantity, data["on"])
        return self.render_to_response(self.get_context_data(form=form))

    def _worth(self, quantity: Decimal, on: date) -> str:
        """What would leave, and what stays; posts nothing."""
        amount, there = units.show(quantity, self.material.unit), ledger_reads.available(self.material, on)
        value = leaving.worth([(self.material, quantity)], on)[0]
        if value is None or quantity > there:
            held = units.show(max(there, Decimal(0)), self.material.unit)
            return f"{amount} are more than the {held} on the shelf that day."
        left = units.show(there - quantity, self.material.unit)
        return f"{amount} would leave the shelf with {coins(value)}; {left} would stay. Nothing is posted yet."

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        return super().get_context_data(worth=self.worth, **more)

    def enter(self, form: StockOutForm) -> Posting:
        data = form.cleaned_data
        quantity = _based(self.material, data["quantity"], data["unit"], field="quantity")
        draw = ledger.Draw(self.material, quantity, measures.typed(data["quantity"], data["unit"]))
        return ledger.issue(
            kind=Kind(data["kind"]),
            on=data["on"],
            draws=[draw],
            reason=checks.text(data["reason"], "The remark", field="reason", longest=200),
            by=self.request.user,
            request_key=data["request_key"],
        )

    def done_url(self) -> str:
        return reverse("posting", args=[self.made.pk])

    def said(self) -> str:
        moved = stock.movements(self.made).get()
        amount = units.show(-moved.quantity, self.material.unit)
        why = self.made.get_kind_display().lower()
        return f"{amount} of {self.material.name}, worth {coins(-moved.value)}, left the shelf: {why}."


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


def named_supplier(name: str, *, by: Person) -> Supplier | None:
    return suppliers.named(name=name, by=by) if name.strip() else None
