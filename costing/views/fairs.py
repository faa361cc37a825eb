"""Pages of fairs and galleries: plan, pack, sell in three touches, count back, what the day left; what a gallery holds."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal
from typing import Any

from django import forms
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils.functional import cached_property
from django.views.decorators.http import require_safe

from costing.forms.fairs import CountBackForm, FairFinder, FairForm, FairSellForm, PackForm
from costing.forms.sales import taken_of
from costing.models import Channel, Fair, Payment, Sale
from costing.selectors import fairs as read
from costing.selectors import offers
from costing.services import fairs, selling
from costing.services.sellable import Item
from costing.services.selling import Cost, Paid
from costing.tables.fairs import FairTable
from costing.views.lists import ListPage, asked_for
from costing.views.sales import channel_of
from inventory.errors import Refused
from inventory.models import Article, Place
from inventory.selectors import workshop
from inventory.services.permits import Act, may
from inventory.templatetags import figures
from inventory.views.entry import EntryView

ROOM = "Sales"
MINUTES = 60
MONTHS = 12
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
        return read.listed()

    def prepare(self, table: Any) -> None:
        table.days = read.days(table.shown())
        table.today = workshop.today()


class _OfFair(EntryView):
    room = ROOM
    template_name = "inventory/entry.html"

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
    template_name = "inventory/entry.html"
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
    pieces = read.pieces(row)
    return render(
        request,
        "costing/fairs/fair.html",
        {
            "title": row.name,
            "room": ROOM,
            "trail": [("Sales", reverse("sales")), ("Fairs", reverse("fairs"))],
            "fair": row,
            "day": read.days([row])[row.pk],
            "pieces": pieces,
            "unsold": [piece for piece in pieces if piece.article.gone_on is None and not piece.back],
            "sales": read.sales(row),
            "costs": read.costs(row),
            "stall": Decimal(row.stall_minutes),
            "may_prices": may(request.user, Act.PRICES),
            "may_books": may(request.user, Act.BOOKS),
        },
    )


class FairPack(_OfFair):
    form_class = PackForm
    template_name = "costing/fairs/pack.html"
    submit = "Pack them"

    @property
    def title(self) -> str:  # type: ignore[override]  # here it names the fair
        return f"Pack for {self.fair.name}"

    @cached_property
    def offered(self) -> list[Article]:
        return list(read.packable(self.fair))

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
    template_name = "costing/fairs/sell.html"
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
            "pieces": list(read.there(self.fair)),
            "may_prices": may(self.request.user, Act.PRICES),
        }
        return render(self.request, "costing/fairs/choose.html", context)

    @property
    def piece(self) -> Article:
        if self.wanted is None:
            raise Refused("Choose the piece first.")
        return self.wanted

    def get_initial(self) -> dict[str, Any]:
        ways = {how.value: read.channel_for(how) for how in HOWS}
        given = {name: row.pk for name, row in ways.items() if row}
        return {**super().get_initial(), "price": self.piece.list_price, "on": self.fair.on, **given}

    def enter(self, form: forms.Form) -> Sale:
        found = form.cleaned_data
        how = self.request.POST.get("how", Payment.How.CASH)
        channel = found[Payment.How.CARD if how == Payment.How.CARD else Payment.How.CASH]
        asked = max(found["price"], self.piece.list_price or Decimal(0))
        sold = Item("article", asked, article=self.piece, discount=asked - found["price"])
        try:
            return selling.sell(
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
        return {**super().get_form_kwargs(), "pieces": list(read.there(self.fair))}

    def get_initial(self) -> dict[str, Any]:
        hours = Decimal(self.fair.stall_minutes) / MINUTES or None
        day = max(self.fair.on, min(workshop.today(), self.fair.on + timedelta(days=1)))
        return {**super().get_initial(), "on": day, "hours": hours}

    def enter(self, form: forms.Form) -> Fair:
        found = form.cleaned_data
        return fairs.close(
            fair=self.fair,
            on=found["on"],
            back=list(Article.objects.filter(number__in=found["back"])),
            to=found["to"],
            stall_minutes=found["hours"] * MINUTES,
            by=self.request.user,
            request_key=found["request_key"],
        )

    def said(self) -> str:
        return f"{self.fair.name} is counted back."


@require_safe
def gallery(request: HttpRequest, pk: int) -> HttpResponse:
    """What a place holds, and for a gallery what it sold in a month. `?month=2025-09`."""
    place = get_object_or_404(Place, pk=pk)
    channel = Channel.objects.filter(place=place).first()
    today = workshop.today()
    first, last = month_of(request.GET.get("month", ""), today)
    return render(
        request,
        "costing/gallery/gallery.html",
        {
            "title": place.name,
            "room": ROOM,
            "trail": [("Sales", reverse("sales")), ("Places", reverse("places"))],
            "place": place,
            "channel": channel,
            "held": read.held(place),
            "month": first,
            "before": first - timedelta(days=1),
            "after": last + timedelta(days=1) if last < today else None,
            "statement": read.statement(place, channel, first, last),
            "today": today,
            "may_prices": may(request.user, Act.PRICES),
            "may_shed": may(request.user, Act.SHED),
        },
    )


def month_of(text: str, today: date) -> tuple[date, date]:
    """The first and the last day of a month written 2025-09; of today's where nothing is asked for.

    >>> month_of("2025-09", date(2025, 12, 31))
    (datetime.date(2025, 9, 1), datetime.date(2025, 9, 30))
    """
    if not text:
        text = f"{today:%Y-%m}"
    try:
        first = date.fromisoformat(f"{text}-01")
        if not 1970 <= first.year <= 9000:
            raise ValueError(text)
    except ValueError:
        raise Refused(f"“{text[:20]}” is no month. Write year and month as 2025-01.") from None
    after = date(first.year + first.month // MONTHS, first.month % MONTHS + 1, 1)
    return first, after - timedelta(days=1)
