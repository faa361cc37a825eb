"""Pages of articles: the list, one with its cost and prices, finishing skins, the list price."""

from __future__ import annotations

from typing import Any

from django import forms
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils.functional import cached_property
from django.views.decorators.http import require_safe

from costing.make.cost.rates import selectors as rates
from costing.sell.pricing import selectors as pricing
from costing.sell.pricing.articles import selectors as articles
from costing.sell.pricing.articles.forms import AimForm, ArticleFinder, PriceForm
from costing.sell.pricing.articles.tables import ArticleTable
from costing.sell.pricing.channels import selectors as channels_read
from costing.sell.pricing.selectors import Price
from costing.sell.sales import selectors as sales
from inventory.articles import services as articles_services
from inventory.errors import Refused
from inventory.models import Article, Move
from inventory.money import ZERO
from inventory.permits import Act, Person, may
from inventory.places.moves import views as moves
from inventory.web.lists import SortedListPage as ListPage
from inventory.web.views import EntryView


class ArticleList(ListPage):
    table_class = ArticleTable
    finder_class = ArticleFinder
    title = room = "Articles"
    new_name, new_label = "article_finish", "Finish a piece"
    new_act = Act.PRICES
    empty_title = "No article yet"
    empty_text = "When a skin is done, finish it here: its cost is frozen, and the page says what to ask for the piece."

    def rows(self) -> QuerySet[Article]:
        return articles.listed()

    def prepare(self, table: Any) -> None:
        where = channels_read.channel()
        self.where = where.name
        shown = table.shown()
        vat = rates.current().vat_percent
        table.prices = {row.pk: pricing.of_article(row, row.cost, where, vat) for row in shown}
        table.earned = {pk: price.earned_per_hour for pk, price in table.prices.items()}

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        context = super().get_context_data(**more)
        return {**context, "lead": f"An hour earns what the list price leaves: {self.where}."}


@require_safe
def article(request: HttpRequest, number: str) -> HttpResponse:
    row = get_object_or_404(articles.detailed(), number=number)
    channels = channels_read.channels() or [channels_read.NO_CHANNEL]
    form = AimForm(request.GET or None, channels=channels)
    chosen = form.cleaned_data.get("channel") if form.is_valid() else ""
    where = next((each for each in channels if each.name == chosen), channels[0])
    vat = rates.current().vat_percent
    price = pricing.of_article(row, row.cost, where, vat)
    return render(
        request,
        "costing/sell/pricing/articles/article.html",
        {
            "title": row.number,
            "room": "Articles",
            "trail": [("Articles", reverse("articles"))],
            "article": row,
            "price": price,
            "parts": articles.cost_parts(row, price),
            "book_feet": price.per_sq_ft(price.book),
            "full_feet": price.per_sq_ft(price.full),
            "book_dm2": price.per_dm2(price.book),
            "full_dm2": price.per_dm2(price.full),
            "form": form,
            "where": where,
            "floors": price.floors,
            "elsewhere": articles.floors(row, [each for each in channels if each != where], vat),
            "earned": price.earned_per_hour,
            "asked": _asked(form, price),
            "vat": vat,
            "may_price": may(request.user, Act.PRICES),
            "may_shed": may(request.user, Act.SHED),
            **_whereabouts(row, request.user),
        },
    )


def _whereabouts(row: Article, user: Person) -> dict[str, Any]:
    """Where it was and is, the paper that sold it, the gallery that has it."""
    return {
        **moves.whereabouts(row, user),
        "sold": sales.selling_line([row.pk]).get(row.pk),
        "why_gone": Move.Why(row.gone_why).label if row.gone_why else "",
    }


def _asked(form: AimForm, price: Price) -> articles.Asked | None:
    """The price that reaches the aim; a refusal comes back beside its field."""
    if not form.is_valid():
        return None
    margin, hourly = form.cleaned_data["margin"], form.cleaned_data["hourly"]
    if margin is None and hourly is None:
        return None
    try:
        return articles.ask(price, margin_percent=margin, hourly=hourly or ZERO)
    except Refused as refusal:
        form.add_error("margin" if margin is not None else "hourly", str(refusal))
        return None


class ArticlePrice(EntryView):
    form_class = PriceForm
    room = "Articles"

    @cached_property
    def article(self) -> Article:
        return get_object_or_404(articles.listed(), number=self.kwargs["number"])

    @property
    def title(self) -> str:  # type: ignore[override]  # here it names the article
        return f"List price of {self.article.number}"

    def get_initial(self) -> dict[str, Any]:
        return {**super().get_initial(), "list_price": self.article.list_price}

    def enter(self, form: forms.Form) -> Article:
        return articles_services.set_price(
            article=self.article, list_price=form.cleaned_data["list_price"], by=self.request.user
        )

    def done_url(self) -> str:
        return reverse("article", args=[self.article.number])

    cancel_url = done_url
    done_message = "The list price is set."
