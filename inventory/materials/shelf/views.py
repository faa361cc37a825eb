"""Pages of stock on the shelf: the list, one material, and what may be entered about its stock."""

from decimal import Decimal
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.views.decorators.http import require_safe

from inventory import units
from inventory.base import checks, selectors as workshop
from inventory.errors import Refused
from inventory.ledger import selectors as ledger_read, services as ledger
from inventory.ledger.models import Kind, Posting
from inventory.materials import forms as materials_forms, selectors as materials_read, services as materials
from inventory.materials.shelf import selectors as shelf_read, services as shelf
from inventory.materials.shelf.forms import CountForm, OpeningForm, ShelfFinder, StockOutForm
from inventory.materials.shelf.tables import HistoryTable, ShelfTable
from inventory.materials.views import OfMaterial
from inventory.places.moves import views as moves
from inventory.restock import selectors as restock
from inventory.web.lists import ListPage, allowed
from inventory.web.tables import coins
from inventory.web.trail import above, address, page


class Shelf(ListPage):
    template_name = "inventory/materials/shelf/shelf.html"
    title = "On the shelf"
    section = "Shelf"
    table_class = ShelfTable
    finder_class = ShelfFinder
    rows = staticmethod(materials_read.shelf)
    totals = "value"
    links = ("deliveries", "suppliers", "places")
    empty_title = "The shelf is empty"
    empty_text = "Enter the first material: its name, its exact substance, its unit. Then record what came or is there."
    action = ("Goods in", "delivery_new")

    def prepare(self, table: ShelfTable) -> None:
        table.outlooks = restock.looks(table.shown(), workshop.today())

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        context = super().get_context_data(**more)
        table = context["table"]
        count = table.paginator.count
        context["lead"] = f"{count} material{'' if count == 1 else 's'} worth {coins(table.total)}." if count else ""
        if context["nothing_yet"] and context["may"]["goods"]:
            context["action"] = ("New material", reverse("material_new"))
        return context


@require_safe
def material(request: HttpRequest, code: str) -> HttpResponse:
    """One material: what is there, what it is, which lots are open, and everything that moved."""
    row = get_object_or_404(materials_read.shelf(), code=code)
    history = HistoryTable(ledger_read.history(row), unit=row.unit).opened(request)
    look = restock.looks([row], workshop.today())[row.pk]
    return page(
        request,
        "inventory/materials/shelf/material.html",
        row.name,
        above(row),
        material=row,
        look=look,
        level_said=look.words(row.unit),
        use_said=look.usual(row.unit),
        unit_cost=ledger_read.per_unit(row.value, row.on_hand, row.unit),
        facts=materials_read.facts(row),
        substance=materials_read.substance(row),
        lots=list(ledger_read.lots_on_shelf(row)),
        table=history,
        moved=history.paginator.count,
        weighable=row.base in ("g", "mL"),
        may=allowed(request),
        **moves.whereabouts(row, request.user),
    )


class _Measured(OfMaterial):
    """An entry of an amount of the material; its form offers the units it can be measured in."""

    def form_options(self) -> dict[str, Any]:
        return {"material": self.thing}

    def based(self, found: dict[str, Any], field: str) -> Decimal:
        """The typed measure in the base unit, its sign judged before the conversion so that the refusal names the right box."""
        amount = checks.not_negative(found[field], "The amount", field=field)
        return materials.to_base(self.thing, amount, found["unit"])

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
        return shelf.open_stock(material=self.thing, **self.sent(form))


class Count(_Measured):
    form_class = CountForm
    title = "Stocktake of {self.thing.name}"
    submit = "Post the stocktake"
    lead = "Count or weigh what is really there and type it. The difference is posted and shown with its value."

    def enter(self, form: CountForm) -> Posting | None:
        found = self.sent(form)
        typed = materials_forms.typed(found["counted"], found.pop("unit"))
        found["counted"] = self.based(form.cleaned_data, "counted")
        found["reason"] = checks.text(found["reason"], "The remark", field="reason", longest=200)
        return ledger.count(material=self.thing, typed=typed, **found)

    def get_success_url(self) -> str:
        return address(self.made) if self.made else self.get_cancel_url()

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
    template_name = "inventory/materials/shelf/out.html"
    title = "{self.thing.name}: take out"
    worth = ""
    submit = "Take it off the shelf"
    lead = "For what leaves the shelf and goes into no piece. What goes into a bath is added on the batch's own page."
    opens_made = True

    def post(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        form = self.get_form()
        if WORTH not in request.POST or not form.is_valid():
            return super().post(request, *args, **kwargs)
        found = form.cleaned_data
        try:
            quantity = checks.positive(self.based(found, "quantity"), "The amount", field="quantity")
        except Refused as refusal:
            self.point(form, refusal)
            return self.form_invalid(form)
        self.worth = shelf_read.leaving(self.thing, quantity, found["on"])
        return self.render_to_response(self.get_context_data(form=form))

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        return super().get_context_data(worth=self.worth, **more)

    def enter(self, form: StockOutForm) -> Posting:
        found = form.cleaned_data
        typed = materials_forms.typed(found["quantity"], found["unit"])
        return ledger.issue(
            kind=Kind(found["kind"]),
            on=found["on"],
            draws=[ledger.Draw(self.thing, self.based(found, "quantity"), typed)],
            reason=checks.text(found["reason"], "The remark", field="reason", longest=200),
            by=self.request.user,
            request_key=found["request_key"],
        )

    def get_success_message(self) -> str:
        amount, worth, _ = self.moved()
        return f"{amount} of {self.thing.name}, worth {worth}, left the shelf: {self.made.get_kind_display().lower()}."
