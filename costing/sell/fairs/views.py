"""Pages of fairs: plan, pack, sell in three touches, close, what the day contributed."""

from collections.abc import Iterable
from datetime import timedelta
from decimal import Decimal
from typing import Any

from django import forms
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils.functional import cached_property
from django.views.decorators.http import require_safe

from costing.sell.expenses.services import Cost
from costing.sell.fairs import selectors as fairs_read, services as fairs
from costing.sell.fairs.forms import CloseForm, FairFinder, FairForm, FairSellForm, PackForm
from costing.sell.fairs.models import Fair
from costing.sell.fairs.tables import FairTable
from costing.sell.payments.models import Payment
from costing.sell.payments.services import Paid
from costing.sell.sales import services as sales
from costing.sell.sales.models import Sale
from costing.sell.sales.offers import selectors as offers
from costing.sell.sales.offers.forms import taken_of
from costing.sell.sales.offers.services import Item
from inventory.articles import selectors as pieces
from inventory.base import selectors as workshop
from inventory.models import Article
from inventory.permits import Act, may
from inventory.templatetags import figures
from inventory.units import MINUTES_PER_HOUR
from inventory.web.lists import ListPage, asked_for
from inventory.web.questions import Odd
from inventory.web.trail import above, page, to
from inventory.web.views import About, EntryView


class FairList(ListPage):
    table_class = FairTable
    finder_class = FairFinder
    rows = staticmethod(fairs_read.listed)
    title = "Fairs"
    trail = ("sales",)
    lead = "What a fair contributes is what your hours there and at the bench are paid from."
    action = ("Plan a fair", "fair_new")
    needs = Act.PRICES
    empty_title = "No fair yet"
    empty_text = "Plan the next one: pack for it, sell there in three touches, close it, and see the profit per hour at the stall."

    def prepare(self, table: Any) -> None:
        table.days = fairs_read.days(Fair.objects.filter(pk__in=[row.pk for row in table.shown()]))
        table.today = workshop.today()


class FairNew(EntryView):
    form_class = FairForm
    title = "Plan a fair"
    trail = ("sales", "fairs")
    submit = "Plan it"
    cancel_page = "fairs"
    opens_made = True
    success_message = "{self.made.name} is planned. Pack for it next."

    def enter(self, form: forms.Form) -> Fair:
        return fairs.plan(**self.sent(form))


@require_safe
def fair(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(Fair.objects.select_related("place"), pk=pk)
    pieces = fairs_read.pieces(row)
    return page(
        request,
        "costing/sell/fairs/fair.html",
        row.name,
        above(row),
        fair=row,
        day=fairs_read.days(Fair.objects.filter(pk=pk))[row],
        pieces=pieces,
        unsold=[piece for piece in pieces if piece.article.gone_on is None and not piece.back],
        sales=fairs_read.sales(row),
        costs=fairs_read.costs(row),
        may_prices=may(request.user, Act.PRICES),
        may_books=may(request.user, Act.BOOKS),
    )


class _OfFair(About[Fair]):
    def things(self) -> QuerySet[Fair]:
        return Fair.objects.select_related("place")

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        return super().get_context_data(fair=self.thing, **more)


class FairPack(_OfFair):
    form_class = PackForm
    template_name = "costing/sell/fairs/pack.html"
    title = "Pack for {self.thing.name}"
    submit = "Pack them"
    success_message = "Packed for {self.thing.name}."

    @cached_property
    def offered(self) -> list[Article]:
        return list(fairs_read.packable(self.thing))

    def form_options(self) -> dict[str, Any]:
        return {"pieces": self.offered}

    def get_initial(self) -> dict[str, Any]:
        return {"on": min(workshop.today(), self.thing.on)}

    def enter(self, form: forms.Form) -> Fair:
        found = self.sent(form)
        found["articles"] = list(Article.objects.filter(number__in=found["articles"]))
        return fairs.pack(fair=self.thing, **found)

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        return super().get_context_data(nothing=not self.offered, **more)


class FairSell(_OfFair):
    """Three touches: the piece, the price, sold. `?piece=` names the piece; without it the packed ones are offered."""

    form_class = FairSellForm
    template_name = "costing/sell/fairs/sell.html"
    title = "Sell at {self.thing.name}"
    called = dict.fromkeys(("article", "asked", "discount", "kind"), "price")
    buttons = ("how",)
    made: Sale

    def dispatch(self, request: HttpRequest, *args: Any, **options: Any) -> HttpResponseBase:
        return super().dispatch(request, *args, **options) if asked_for(request, "piece") else self.choose()

    @cached_property
    def piece(self) -> Article:
        rows = Article.objects.select_related("cost", "place")
        return get_object_or_404(rows, number=asked_for(self.request, "piece"))

    def choose(self) -> HttpResponse:
        return page(
            self.request,
            "costing/sell/fairs/choose.html",
            self.get_title(),
            to(self.thing),
            fair=self.thing,
            pieces=list(fairs_read.there(self.thing)),
            may_prices=may(self.request.user, Act.PRICES),
        )

    def get_initial(self) -> dict[str, Any]:
        ways = {how.value: fairs_read.channel_for(how) for how in (Payment.How.CASH, Payment.How.CARD)}
        given = {name: row.pk for name, row in ways.items() if row}
        return {"price": self.piece.list_price, "on": self.thing.on, **given}

    def odd(self, form: forms.Form) -> Iterable[Odd]:
        yield form["price"], pieces.odd_sale(self.piece, form.cleaned_data["price"])

    def enter(self, form: forms.Form) -> Sale:
        found = form.cleaned_data
        how = self.request.POST.get("how", Payment.How.CASH)
        channel = found[Payment.How.CARD if how == Payment.How.CARD else Payment.How.CASH]
        asked = max(found["price"], self.piece.list_price or Decimal(0))
        return sales.sell(
            on=found["on"],
            items=[Item("article", asked, article=self.piece, discount=asked - found["price"])],
            channel=channel,
            fair=self.thing,
            paid=[Paid(how=how)],
            spent=[Cost("fee")] if channel is not None else [],
            by=self.request.user,
            request_key=found["request_key"],
        )

    def get_cancel_url(self) -> str:
        return reverse("fair_sell", args=[self.thing.pk])

    def get_success_message(self) -> str:
        return f"{self.piece.number} is sold for {figures.money(self.made.gross)}: {self.made.number}."

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        context = super().get_context_data(**more)
        form = context["form"]
        price = taken_of({"asked": str(form["price"].value() or "")})
        haggling, in_cash = (
            offers.haggling(self.piece, offers.terms(form[way].value()), price) for way in ("card", "cash")
        )
        return {
            **context,
            "piece": self.piece,
            "haggling": haggling,
            "in_cash": None if in_cash.sums == haggling.sums else in_cash,
            "may_prices": may(self.request.user, Act.PRICES),
        }


class FairClose(_OfFair):
    form_class = CloseForm
    title = "Close {self.thing.name}"
    submit = "Close fair"
    lead = (
        "Every packed piece was sold or is back. What is neither is named, and nothing is recorded until it is found."
    )
    success_message = "{self.thing.name} is closed."

    def form_options(self) -> dict[str, Any]:
        return {"pieces": list(fairs_read.there(self.thing))}

    def get_initial(self) -> dict[str, Any]:
        hours = Decimal(self.thing.stall_minutes) / MINUTES_PER_HOUR or None
        day = max(self.thing.on, min(workshop.today(), self.thing.on + timedelta(days=1)))
        return {"on": day, "hours": hours}

    def enter(self, form: forms.Form) -> Fair:
        found = self.sent(form)
        found["back"] = list(Article.objects.filter(number__in=found["back"]))
        return fairs.close(fair=self.thing, stall_minutes=found.pop("hours") * MINUTES_PER_HOUR, **found)
