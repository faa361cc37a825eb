"""Pages of articles: the list, one with its cost and prices, finishing skins, the list price."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from fractions import Fraction
from typing import Any

from django import forms
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils.functional import cached_property
from django.views.decorators.http import require_safe

from costing.forms.articles import (
    AREAS,
    AimForm,
    ChooseForm,
    FinishForm,
    PieceRows,
    PriceForm,
    area_in_base,
    by_area,
    shares,
)
from costing.forms.finders import ArticleFinder
from costing.selectors import articles as read
from costing.selectors import costs, prices, rates, sales, skins
from costing.selectors.prices import Price
from costing.services import articles, owners
from costing.tables.articles import ArticleTable
from costing.views.lists import ListPage
from costing.views.rows import PREFIX, RowsView
from inventory import units
from inventory.errors import Refused
from inventory.models import Article, Move, Skin
from inventory.selectors import workshop
from inventory.services import articles as things
from inventory.services.articles import Piece
from inventory.services.permits import Act, Person, may
from inventory.views import moves
from inventory.views.entry import EntryView

SHARES = "shares"
OFFCUTS = "offcuts"


class ArticleList(ListPage):
    table_class = ArticleTable
    finder_class = ArticleFinder
    title = room = "Articles"
    new_name, new_label = "article_finish", "Finish a piece"
    new_act = Act.PRICES
    empty_title = "No article yet"
    empty_text = "When a skin is done, finish it here: its cost is frozen, and the page says what to ask for the piece."

    def rows(self) -> QuerySet[Article]:
        return read.listed()

    def prepare(self, table: Any) -> None:
        where = prices.channel()
        self.where = where.name
        shown = table.shown()
        vat = rates.current().vat_percent
        table.prices = {row.pk: prices.of_article(row, row.cost, where, vat) for row in shown}
        table.earned = {pk: price.earned_per_hour for pk, price in table.prices.items()}

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        context = super().get_context_data(**more)
        return {**context, "lead": f"An hour earns what the list price leaves: {self.where}."}


@require_safe
def article(request: HttpRequest, number: str) -> HttpResponse:
    row = get_object_or_404(read.detailed(), number=number)
    channels = prices.channels() or [prices.NO_CHANNEL]
    form = AimForm(request.GET or None, channels=channels)
    chosen = form.cleaned_data.get("channel") if form.is_valid() else ""
    where = next((each for each in channels if each.name == chosen), channels[0])
    vat = rates.current().vat_percent
    price = prices.of_article(row, row.cost, where, vat)
    return render(
        request,
        "costing/articles/article.html",
        {
            "title": row.number,
            "room": "Articles",
            "trail": [("Articles", reverse("articles"))],
            "article": row,
            "price": price,
            "parts": read.cost_parts(row, price),
            "book_feet": price.per_sq_ft(price.book),
            "full_feet": price.per_sq_ft(price.full),
            "book_dm2": price.per_dm2(price.book),
            "full_dm2": price.per_dm2(price.full),
            "form": form,
            "where": where,
            "floors": price.floors,
            "elsewhere": read.floors(row, [each for each in channels if each != where], vat),
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


def _asked(form: AimForm, price: Price) -> read.Asked | None:
    """The price that reaches the aim; a refusal comes back beside its field."""
    if not form.is_valid():
        return None
    margin, hourly = form.cleaned_data["margin"], form.cleaned_data["hourly"]
    if margin is None and hourly is None:
        return None
    try:
        return read.ask(price, margin_percent=margin, hourly=hourly)
    except Refused as refusal:
        form.add_error("margin" if margin is not None else "hourly", str(refusal))
        return None


class ArticleFinish(RowsView):
    """`?skin=` names the skins, once for each; without it they are chosen first (`?batch=` offers one batch's)."""

    form_class = FinishForm
    rows_class = PieceRows
    rows_title = "Pieces"
    rows_note = "a row a piece; share: 1/3 of the skins' cost, empty for equal parts"
    template_name = "costing/articles/finish.html"
    row_word = "Piece"
    title = "Finish a piece"
    room = "Articles"
    submit = "Finish"
    cancel_name = "articles"
    made: list[Article]

    def get(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        if not self.skins:
            return self.choose()
        try:
            owners.refuse_two(self.skins, field="skin")
        except Refused as refusal:
            return self.choose(refusal)
        return super().get(request, *args, **kwargs)

    def post(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        if not self.skins:
            return self.choose()
        return self.with_shares(request) if SHARES in request.POST else super().post(request, *args, **kwargs)

    def with_shares(self, request: HttpRequest) -> HttpResponse:
        """The same page with the shares worked out from the areas, to be looked at and changed. Nothing is written."""
        self.rows = self.rows_class(request.POST, prefix=PREFIX, form_kwargs=self.row_options())
        form = self.get_form()
        if not all([form.is_valid(), self.rows.is_valid()]):
            for complaint in self.complaints():
                form.add_error(None, complaint)
            return self.form_invalid(form)
        data = request.POST.copy()
        filled = [(at, row.cleaned_data) for at, row in enumerate(self.rows.forms) if row.has_changed()]
        worth = form.cleaned_data["offcuts"] or Decimal(0)
        # Offcuts that were put into a row before are reckoned anew.
        pieces = [(at, row) for at, row in filled if row["kind"] != OFFCUTS]
        try:
            found = by_area([row for _, row in pieces], self.skins, free=self.free, book=self.book, offcuts=worth)
        except Refused as refusal:
            form.add_error(None, str(refusal))
            self.point(refusal)
            return self.form_invalid(form)
        for (at, _), share in zip(pieces, found.pieces, strict=True):
            data[f"{PREFIX}-{at}-share"] = str(share)
        self._offcuts(data, [at for at, row in filled if row["kind"] == OFFCUTS], found.offcuts)
        request.POST = data  # type: ignore[assignment]  # the copy may be written to
        return self.with_more(request)

    def _offcuts(self, data: QueryDict, rows: list[int], share: Fraction) -> None:
        """Offcuts that keep a value stand in a row of their own; without one the row is emptied."""
        if not share:
            for at in rows:
                for name, field in self.rows_class.form.base_fields.items():
                    data[f"{PREFIX}-{at}-{name}"] = field.initial or ""
            return
        free = (at for at, row in enumerate(self.rows.forms) if not row.has_changed())
        at = rows[0] if rows else next(free, self.rows.total_form_count())
        number = data.get(f"{PREFIX}-{at}-number") or f"{self.skins[0].tag}-offcuts"[:20]
        unit = data.get(f"{PREFIX}-{at}-area_unit") or AREAS[0][0]
        for name, value in (("kind", OFFCUTS), ("number", number), ("area_unit", unit), ("share", str(share))):
            data[f"{PREFIX}-{at}-{name}"] = value
        data[f"{PREFIX}-TOTAL_FORMS"] = str(max(at + 1, self.rows.total_form_count()))

    @property
    def free(self) -> Fraction:
        """The part of the skins' cost that no piece bears yet."""
        return min((1 - articles.used_share(skin) for skin in self.skins), default=Fraction(1))

    @property
    def book(self) -> Fraction:
        """What the skins have cost so far, in all."""
        return sum((share.book() for share in costs.skin_shares(self.skins).values()), Fraction(0))

    def choose(self, refusal: Refused | None = None) -> HttpResponse:
        offered = skins.unfinished()
        if number := self.request.GET.get("batch"):
            offered = offered.filter(stays__batch__number=number, stays__left_on__isnull=True)
        rows = list(offered)
        form = ChooseForm(self.request.GET if refusal else None, skins=rows)
        if refusal is not None:
            form.add_error(refusal.field, str(refusal))
        context = {
            "title": self.title,
            "room": self.room,
            "form": form,
            "skins": rows,
            "cancel": self.cancel_url(),
        }
        return render(self.request, "costing/articles/choose.html", context)

    @cached_property
    def skins(self) -> list[Skin]:
        tags = list(dict.fromkeys(self.request.GET.getlist("skin")))
        found = {row.tag: row for row in skins.detailed().filter(tag__in=tags)}
        return [get_object_or_404(Skin, tag=tag) if tag not in found else found[tag] for tag in tags]

    @property
    def lead(self) -> str:  # type: ignore[override]  # here it names the skins
        tags = ", ".join(skin.tag for skin in self.skins)
        joined = "" if len(self.skins) == 1 else " joined: each piece bears its share of all of them"
        return f"Of {tags}{joined}. The cost is frozen on the day; what is written later shows as late."

    def get_initial(self) -> dict[str, Any]:
        stays = [stay for skin in self.skins for stay in skin.stays.all()]
        method = stays[-1].batch.version.recipe.method if stays else None
        return {**super().get_initial(), "on": workshop.today(), "method": method}

    def first_rows(self) -> Sequence[dict[str, Any]]:
        area = self.skins[0].dry_area if len(self.skins) == 1 else None
        joined = "-".join(skin.tag for skin in self.skins)
        return [
            {
                "number": joined if len(joined) <= 20 else self.skins[0].tag,
                "area": None if area is None else units.from_base(area, "dm2"),
            }
        ]

    def enter_rows(self, form: forms.Form, rows: list[dict[str, Any]]) -> list[Article]:
        found = form.cleaned_data
        borne = shares([row["share"] for row in rows], self.free)
        return articles.finish(
            on=found["on"],
            tags=[skin.tag for skin in self.skins],
            pieces=[
                Piece(
                    number=row["number"],
                    kind=row["kind"],
                    method=found["method"],
                    area=area_in_base(row),
                    grade=row["grade"],
                    list_price=row["list_price"],
                    share=share,
                    place=found["place"],
                )
                for row, share in zip(rows, borne, strict=True)
            ],
            by=self.request.user,
            request_key=found["request_key"],
        )

    def done_url(self) -> str:
        return reverse("article", args=[self.made[0].number])

    def said(self) -> str:
        numbers = ", ".join(piece.number for piece in self.made)
        return f"{numbers} {'is' if len(self.made) == 1 else 'are'} finished; the cost is frozen."


class ArticlePrice(EntryView):
    form_class = PriceForm
    room = "Articles"

    @cached_property
    def article(self) -> Article:
        return get_object_or_404(read.listed(), number=self.kwargs["number"])

    @property
    def title(self) -> str:  # type: ignore[override]  # here it names the article
        return f"List price of {self.article.number}"

    def get_initial(self) -> dict[str, Any]:
        return {**super().get_initial(), "list_price": self.article.list_price}

    def enter(self, form: forms.Form) -> Article:
        return things.set_price(article=self.article, list_price=form.cleaned_data["list_price"], by=self.request.user)

    def done_url(self) -> str:
        return reverse("article", args=[self.article.number])

    cancel_url = done_url
    done_message = "The list price is set."
