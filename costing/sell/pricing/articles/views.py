"""Pages of articles: the list, one with its cost and prices, the list price."""

from collections.abc import Iterable
from dataclasses import replace
from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.views.decorators.http import require_safe

from costing.make.readings.areas import selectors as areas
from costing.sell.pricing import selectors as pricing
from costing.sell.pricing.articles import selectors as articles_read
from costing.sell.pricing.articles.forms import AIMS, ArticleFinder, PriceForm, TargetForm
from costing.sell.pricing.articles.tables import ArticleTable
from costing.sell.pricing.defects import selectors as defects
from costing.sell.pricing.forms import fee_words
from costing.sell.pricing.selectors import Price
from costing.sell.sales import selectors as sales
from inventory import units
from inventory.articles import selectors as pieces, services as articles
from inventory.base import measures
from inventory.errors import Refused
from inventory.models import Article, Move
from inventory.money import ZERO
from inventory.permits import Act, may
from inventory.places.moves import views as moves
from inventory.web.lists import ListPage
from inventory.web.questions import Odd
from inventory.web.trail import above, page
from inventory.web.views import About


class ArticleList(ListPage):
    table_class = ArticleTable
    finder_class = ArticleFinder
    rows = staticmethod(articles_read.listed)
    title = "Articles"
    action = ("Finish a piece", "article_finish")
    labelled = "care"
    needs = Act.PRICES
    lead = "An hour earns what the list price contributes: {self.where}."
    empty_title = "No article yet"
    empty_text = "When a skin is done, finish it here: its cost is frozen, and the page says what to ask for the piece."

    def prepare(self, table: Any) -> None:
        where = pricing.channel()
        self.where = where.name
        footing = pricing.footing()
        table.prices = {row.pk: pricing.of_article(row, where, footing) for row in table.shown()}


@require_safe
def article(request: HttpRequest, number: str) -> HttpResponse:
    row = get_object_or_404(articles_read.detailed(), number=number)
    channels = pricing.channels() or [pricing.NO_CHANNEL]
    form = TargetForm(request.GET or None, channels=channels)
    chosen = form.cleaned_data.get("channel") if form.is_valid() else ""
    where = next((each for each in channels if each.name == chosen), channels[0])
    footing = pricing.footing()
    price = replace(pricing.of_article(row, where, footing), photo=areas.behind([row]).get(row.pk))
    return page(
        request,
        "costing/sell/pricing/articles/article.html",
        row.number,
        above(row),
        article=row,
        price=price,
        fee=fee_words(where),
        parts=articles_read.cost_parts(row, price),
        a_unit=[(units.label(unit), price.per(unit)) for unit in measures.first(measures.area_unit(), "sq_ft", "dm2")],
        between=price.full_between(measures.area_unit()),
        between_unit=units.label(measures.area_unit()),
        taken=defects.taken_off(row, price.photo),
        form=form,
        elsewhere=[pricing.of_article(row, each, footing) for each in channels if each != where],
        asked=_for_target(form, price),
        may_price=may(request.user, Act.PRICES),
        may_shed=may(request.user, Act.SHED),
        sold=sales.selling_line([row.pk]).get(row.pk),
        why_gone=Move.Why(row.gone_why).label if row.gone_why else "",
        **moves.whereabouts(row, request.user),
    )


def _for_target(form: TargetForm, price: Price) -> articles_read.Asked | None:
    """The price that reaches the target; a refusal comes back beside its field."""
    if not form.is_valid():
        return None
    given = next((name for name in AIMS if form.cleaned_data[name] is not None), None)
    if given is None:
        return None
    markup, margin, hourly = (form.cleaned_data[name] for name in ("markup", "margin", "hourly"))
    try:
        return articles_read.ask(price, markup_percent=markup, margin_percent=margin, hourly=hourly or ZERO)
    except Refused as refusal:
        form.add_error(given, str(refusal))
        return None


class ArticlePrice(About[Article]):
    things = staticmethod(articles_read.listed)
    form_class = PriceForm
    title = "List price of {self.thing.number}"
    prefilled = ("list_price",)
    success_message = "The list price is set."

    def odd(self, form: forms.Form) -> Iterable[Odd]:
        if "list_price" in form.changed_data:
            yield form["list_price"], pieces.odd_for(self.thing, form.cleaned_data["list_price"])

    def enter(self, form: forms.Form) -> Article:
        return articles.set_price(article=self.thing, **self.given(form))
