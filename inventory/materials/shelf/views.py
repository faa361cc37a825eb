"""Pages of the shelf: the list, one material, and what may be entered about it."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Any

from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_safe

from inventory import units
from inventory.base import checks
from inventory.base import selectors as workshop
from inventory.errors import Refused
from inventory.ledger import selectors as ledger_read
from inventory.ledger import selectors as ledger_selectors
from inventory.ledger import services as ledger
from inventory.ledger.models import Kind, Posting
from inventory.ledger.tables import per_unit
from inventory.materials import forms as materials_forms
from inventory.materials import selectors as materials
from inventory.materials import selectors as materials_read
from inventory.materials.models import Material
from inventory.materials.shelf import selectors as shelf_read
from inventory.materials.shelf import services as shelf
from inventory.materials.shelf.forms import CountForm, OpeningForm, ShelfFinder, StockOutForm
from inventory.materials.shelf.tables import HistoryTable, ShelfTable
from inventory.materials.views import _based, _Measured
from inventory.places.moves import views as moves
from inventory.restock import selectors as restock
from inventory.web.lists import ListPage, allowed
from inventory.web.tables import Ledger, coins


class Shelf(ListPage):
    template_name = "inventory/materials/shelf/shelf.html"
    title = "On the shelf"
    find_label = "Find a material"
    table_class = ShelfTable
    finder_class = ShelfFinder
    empty_title = "The shelf is empty"
    empty_text = "Enter the first material: its name, its exact substance, its unit. Then record what came or is there."
    action = ("Goods in", "delivery_new")

    def rows(self) -> QuerySet[Material]:
        return materials_read.shelf()

    def table(self, rows: QuerySet[Material]) -> Ledger:
        return ShelfTable(rows, total=shelf_read.total_value(rows))

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        context = super().get_context_data(**more)
        table = context["table"]
        table.looks = restock.looks(table.shown(), workshop.today())
        count = table.paginator.count
        context["lead"] = f"{count} material{'' if count == 1 else 's'} worth {coins(table.total)}." if count else ""
        if context["nothing_yet"] and context["may"]["goods"]:
            context["action"] = ("New material", reverse("material_new"))
        return context


@require_safe
def material(request: HttpRequest, code: str) -> HttpResponse:
    """One material: what is there, what it is, which lots are open, and everything that moved."""
    row = get_object_or_404(materials_read.shelf(), code=code)
    history = HistoryTable(ledger_selectors.history(row), unit=row.unit).opened(request)
    look = restock.looks([row], workshop.today())[row.pk]
    return render(
        request,
        "inventory/materials/shelf/material.html",
        {
            "title": row.name,
            "room": "Shelf",
            "trail": [("Shelf", reverse("shelf"))],
            "material": row,
            "look": look,
            "level_said": look.words(row.unit),
            "use_said": look.usual(row.unit),
            "unit_cost": per_unit(row.value, row.on_hand, row.unit),
            "facts": materials.facts(row),
            "substance": materials.substance(row),
            "lots": list(ledger_selectors.lots_on_shelf(row)),
            "table": history,
            "moved": history.paginator.count,
            "weighable": row.base in ("g", "mL"),
            "may": allowed(request),
            **moves.whereabouts(row, request.user),
        },
    )


class Opening(_Measured):
    form_class = OpeningForm
    submit = "Put it in the books"
    lead = "What stood on the shelf when the books began, and what it had cost. For goods that came later, record a delivery."

    def heading(self) -> str:
        return f"{self.material.name} at the start"

    def enter(self, form: OpeningForm) -> Posting:
        data = form.cleaned_data
        return shelf.open_stock(
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
            typed=materials_forms.typed(data["counted"], data["unit"]),
        )

    def done_url(self) -> str:
        return reverse("posting", args=[self.made.pk]) if self.made else self.cancel_url()

    def said(self) -> str:
        if self.made is None:
            return f"{self.material.name}: the count agrees with the books. Nothing had to be posted."
        moved = ledger_selectors.movements(self.made).get()
        word = "more" if moved.quantity > 0 else "less"
        amount = units.show(abs(moved.quantity), self.material.unit)
        worth = coins(abs(moved.value))
        return f"{self.material.name}: {amount} {word} than in the books, worth {worth}. The difference is posted."


WORTH = "worth"


class StockOut(_Measured):
    """A second button says what it is worth before anything is posted."""

    form_class = StockOutForm
    template_name = "inventory/materials/shelf/out.html"
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
        amount, there = units.show(quantity, self.material.unit), ledger_selectors.available(self.material, on)
        value = ledger_read.worth([(self.material, quantity)], on)[0]
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
        draw = ledger.Draw(self.material, quantity, materials_forms.typed(data["quantity"], data["unit"]))
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
        moved = ledger_selectors.movements(self.made).get()
        amount = units.show(-moved.quantity, self.material.unit)
        why = self.made.get_kind_display().lower()
        return f"{amount} of {self.material.name}, worth {coins(-moved.value)}, left the shelf: {why}."
