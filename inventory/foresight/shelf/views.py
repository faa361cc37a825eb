"""Pages of the shelf that say how long things last: the list, and one material."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.views.decorators.http import require_safe

from inventory import units
from inventory.base import selectors as workshop
from inventory.foresight import selectors as foresight, words
from inventory.foresight.advice import advices
from inventory.foresight.shelf import telling
from inventory.foresight.shelf.tables import ShelfTable
from inventory.foresight.snoozes import selectors as snoozes
from inventory.ledger import selectors as ledger_read
from inventory.materials import selectors as materials_read
from inventory.materials.forms import ShelfFinder
from inventory.materials.tables import HistoryTable
from inventory.places.moves import views as moves
from inventory.web.lists import ListPage, allowed, part
from inventory.web.tables import coins
from inventory.web.trail import above, page


class Shelf(ListPage):
    template_name = "inventory/materials/shelf.html"
    title = "On the shelf"
    section = "Shelf"
    table_class = ShelfTable
    finder_class = ShelfFinder
    rows = staticmethod(foresight.shelf)
    totals = "value"
    links = ("to_order", "orders", "deliveries", "suppliers", "places")
    money_links = ("what_if",)
    labelled = "jar"
    empty_title = "The shelf is empty"
    empty_text = "Enter the first material: its name, its exact substance, its unit. Then record what came or is there."
    action = ("Goods in", "delivery_new")

    def prepare(self, table: ShelfTable) -> None:
        table.said = {
            pk: words.listed(each) for pk, each in foresight.by_material(workshop.today(), table.shown()).items()
        }

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
    row = get_object_or_404(foresight.shelf(), code=code)
    history = HistoryTable(ledger_read.history(row), unit=row.unit).opened(request)
    (outlook,) = foresight.outlooks(workshop.today(), [row])
    return page(
        request,
        "inventory/materials/material.html",
        row.name,
        above(row),
        material=row,
        **words.told(outlook, advices([outlook])[row.pk], workshop.current().currency),
        snooze=snoozes.standing(workshop.today()).get(row.pk),
        under_name=telling.under_name(row),
        waiting=telling.waiting(outlook.forecast),
        goes_by=telling.goes_by(outlook),
        unit_cost=ledger_read.per_unit(row.value, row.on_hand, row.unit) if row.on_hand else "",
        facts=materials_read.facts(row),
        substance=materials_read.substance(row),
        noted=materials_read.noted(row),
        lots=part(request, ledger_read.lots_on_shelf(row), "lots"),
        table=history,
        moved=history.paginator.count,
        weighable=units.metric_of(row.base) in ("g", "mL"),
        may=allowed(request),
        **moves.whereabouts(row, request.user),
    )
