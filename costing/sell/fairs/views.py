"""Pages of fairs and galleries: plan, pack, sell in three touches, count back, what the day left; what a gallery holds."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal
from typing import Any

from django import forms
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils.functional import cached_property
from django.views.decorators.http import require_safe

from costing.sell.expenses.services import Cost
from costing.sell.fairs import selectors as fairs_read
from costing.sell.fairs import services as fairs
from costing.sell.fairs.forms import CountBackForm, FairFinder, FairForm, FairSellForm, PackForm
from costing.sell.fairs.models import Fair
from costing.sell.fairs.tables import FairTable
from costing.sell.payments.models import Payment
from costing.sell.payments.services import Paid
from costing.sell.sales import services as sales
from costing.sell.sales.models import Sale
from costing.sell.sales.offers import selectors as offers
from costing.sell.sales.offers.forms import taken_of
from costing.sell.sales.offers.services import Item
from costing.sell.sales.offers.views import channel_of
from inventory.base import selectors as workshop
from inventory.errors import Refused
from inventory.models import Article
from inventory.permits import Act, may
from inventory.templatetags import figures
from inventory.units import MINUTES_PER_HOUR
from inventory.web.lists import SortedListPage as ListPage
from inventory.web.lists import asked_for
from inventory.web.views import EntryView

ROOM = "Sales"
HOWS = (Payment.How.CASH, Payment.How.CARD)


class FairList(ListPage):
    table_class = FairTable
    finder_class = FairFinder
    title = "Fairs"
    room = ROOM
    lead = "What a fair leaves is what your hours there and at the bench are paid from."
    links = (("Sales", "sales"),)
    new_name, new_label = "fair_new", "Plan a fair"
    new_act = Act.PRICES
    empty_title = "No fair yet"
    empty_text = "Plan the next one: pack for it, sell there in three touches, count back, and see what an hour at the stall left."

    def rows(self) -> QuerySet[Fair]:
        return fairs_read.listed()

    def prepare(self, table: Any) -> None:
        table.days = fairs_read.days(table.shown())
        table.today = workshop.today()


class _OfFair(EntryView):
    room = ROOM
    template_name = "inventory/web/entry.html"

    @cached_property
    def fair(self) -> Fair:
        return get_object_or_404(Fair.objects.select_related("place"), pk=self.kwargs["pk"])

    def done_url(self) -> str:
        return reverse("fair", args=[self.fair.pk])

    cancel_url = done_url

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        trail = [("Sales", reverse("sales")), ("Fairs", reverse("fairs")), (self.fair.name, self.done_url())]
        return super().get_context_data(trail=trail, fair=self.fair, **more)


class FairNew(EntryView):
    form_class = FairForm
    template_name = "inventory/web/entry.html"
    title = "Plan a fair"
    room = ROOM
    submit = "Plan it"
    cancel_name = "fairs"
    made: Fair

    def get_initial(self) -> dict[str, Any]:
        return {**super().get_initial(), "on": workshop.today()}

    def enter(self, form: forms.Form) -> Fair:
        found = form.cleaned_data
        return fairs.plan(
            name=found["name"],
            on=found["on"],
            place=found["place"],
            note=found["note"],
            by=self.request.user,
            request_key=found["request_key"],
        )

    def done_url(self) -> str:
        return reverse("fair", args=[self.made.pk])

    def said(self) -> str:
        return f"{self.made.name} is planned. Pack for it next."

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        trail = [("Sales", reverse("sales")), ("Fairs", reverse("fairs"))]
        return super().get_context_data(trail=trail, **more)


@require_safe
def fair(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(Fair.objects.select_related("place"), pk=pk)
    pieces = fairs_read.pieces(row)
    return render(
        request,
        "costing/sell/fairs/fair.html",
        {
            "title": row.name,
            "room": ROOM,
            "trail": [("Sales", reverse("sales")), ("Fairs", reverse("fairs"))],
            "fair": row,
            "day": fairs_read.days([row])[row.pk],
            "pieces": pieces,
            "unsold": [piece for piece in pieces if piece.article.gone_on is None and not piece.back],
            "sales": fairs_read.sales(row),
            "costs": fairs_read.costs(row),
            "stall": Decimal(row.stall_minutes),
            "may_prices": may(request.user, Act.PRICES),
            "may_books": may(request.user, Act.BOOKS),
        },
    )


class FairPack(_OfFair):
    form_class = PackForm
    template_name = "costing/sell/fairs/pack.html"
    submit = "Pack them"

    @property
    def title(self) -> str:  # type: ignore[override]  # here it names the fair
        return f"Pack for {self.fair.name}"

    @cached_property
    def offered(self) -> list[Article]:
        return list(fairs_read.packable(self.fair))

    def get_form_kwargs(self) -> dict[str, Any]:
        return {**super().get_form_kwargs(), "pieces": self.offered}

    def get_initial(self) -> dict[str, Any]:
        return {**super().get_initial(), "on": min(workshop.today(), self.fair.on)}

    def enter(self, form: forms.Form) -> Fair:
        found = form.cleaned_data
        return fairs.pack(
            fair=self.fair,
            articles=list(Article.objects.filter(number__in=found["articles"])),
            on=found["on"],
            by=self.request.user,
            request_key=found["request_key"],
        )

    def said(self) -> str:
        return f"Packed for {self.fair.name}."

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        return super().get_context_data(nothing=not self.offered, **more)


class FairSell(_OfFair):
    """Three touches: the piece, the price, sold. `?piece=` names the piece; without it the packed ones are offered."""

    form_class = FairSellForm
    template_name = "costing/sell/fairs/sell.html"
    made: Sale

    def get(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        return super().get(request, *args, **kwargs) if self.wanted else self.choose()

    def post(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        return super().post(request, *args, **kwargs) if self.wanted else self.choose()

    @property
    def title(self) -> str:  # type: ignore[override]  # here it names the fair
        return f"Sell at {self.fair.name}"

    @cached_property
    def wanted(self) -> Article | None:
        number = asked_for(self.request, "piece")
        if not number:
            return None
        rows = Article.objects.select_related("cost", "place")
        return get_object_or_404(rows, number=number)

    def choose(self) -> HttpResponse:
        context = {
            "title": self.title,
            "room": self.room,
            "trail": [("Sales", reverse("sales")), ("Fairs", reverse("fairs")), (self.fair.name, self.done_url())],
            "fair": self.fair,
            "pieces": list(fairs_read.there(self.fair)),
            "may_prices": may(self.request.user, Act.PRICES),
        }
        return render(self.request, "costing/sell/fairs/choose.html", context)

    @property
    def piece(self) -> Article:
        if self.wanted is None:
            raise Refused("Choose the piece first.")
        return self.wanted

    def get_initial(self) -> dict[str, Any]:
        ways = {how.value: fairs_read.channel_for(how) for how in HOWS}
        given = {name: row.pk for name, row in ways.items() if row}
        return {**super().get_initial(), "price": self.piece.list_price, "on": self.fair.on, **given}

    def enter(self, form: forms.Form) -> Sale:
        found = form.cleaned_data
        how = self.request.POST.get("how", Payment.How.CASH)
        channel = found[Payment.How.CARD if how == Payment.How.CARD else Payment.How.CASH]
        asked = max(found["price"], self.piece.list_price or Decimal(0))
        sold = Item("article", asked, article=self.piece, discount=asked - found["price"])
        try:
            return sales.sell(
                on=found["on"],
                items=[sold],
                channel=channel,
                fair=self.fair,
                paid=[Paid(how=how)],
                spent=[Cost("fee")] if channel is not None else [],
                by=self.request.user,
                request_key=found["request_key"],
            )
        except Refused as refusal:
            if refusal.field in ("article", "asked", "discount", "kind"):
                refusal.field = "price"
            raise

    def done_url(self) -> str:
        return reverse("fair_sell", args=[self.fair.pk])

    def cancel_url(self) -> str:
        return reverse("fair_sell", args=[self.fair.pk])

    def said(self) -> str:
        return f"{self.piece.number} is sold for {figures.money(self.made.gross)}: {self.made.number}."

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        context = super().get_context_data(**more)
        form = context["form"]
        taken = taken_of({"asked": str(form["price"].value() or "")})
        trail = [("Sales", reverse("sales")), ("Fairs", reverse("fairs"))]
        trail.append((self.fair.name, reverse("fair", args=[self.fair.pk])))
        return {
            **context,
            "trail": trail,
            "piece": self.piece,
            "haggling": offers.haggling(self.piece, channel_of(form["card"].value()), taken),
            "may_prices": may(self.request.user, Act.PRICES),
        }


class FairClose(_OfFair):
    form_class = CountBackForm
    submit = "Count back and close"

    @property
    def title(self) -> str:  # type: ignore[override]  # here it names the fair
        return f"Count back from {self.fair.name}"

    lead = "Every packed piece was sold or is back. What is neither is named, and nothing is written until it is found."

    def get_form_kwargs(self) -> dict[str, Any]:
        return {**super().get_form_kwargs(), "pieces": list(fairs_read.there(self.fair))}

    def get_initial(self) -> dict[str, Any]:
        hours = Decimal(self.fair.stall_minutes) / MINUTES_PER_HOUR or None
        day = max(self.fair.on, min(workshop.today(), self.fair.on + timedelta(days=1)))
        return {**super().get_initial(), "on": day, "hours": hours}

    def enter(self, form: forms.Form) -> Fair:
        found = form.cleaned_data
        return fairs.close(
            fair=self.fair,
            on=found["on"],
            back=list(Article.objects.filter(number__in=found["back"])),
            to=found["to"],
            stall_minutes=found["hours"] * MINUTES_PER_HOUR,
            by=self.request.user,
            request_key=found["request_key"],
        )

    def said(self) -> str:
        return f"{self.fair.name} is counted back."
