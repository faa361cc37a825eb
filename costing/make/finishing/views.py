"""Pages of articles: the list, one with its cost and prices, finishing skins, the list price."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from fractions import Fraction
from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils.functional import cached_property

from costing.make.batches.issues.views import Work
from costing.make.batches.stays import selectors as stays_read
from costing.make.cost import selectors as cost
from costing.make.finishing import services as finishing
from costing.make.finishing import services as finishing_services
from costing.make.finishing import services as rework
from costing.make.finishing.forms import (
    AREAS,
    ChooseForm,
    FinishForm,
    MoreWorkForm,
    PieceRows,
    area_in_base,
    by_area,
    shares,
)
from costing.make.recipes.models import TaskKind
from inventory import units
from inventory.articles.services import Piece
from inventory.base import selectors as workshop
from inventory.errors import Refused
from inventory.models import Article, Skin
from inventory.templatetags import figures
from inventory.web.rows import PREFIX_TYPED as PREFIX
from inventory.web.rows import TypedRowsView as RowsView

SHARES = "shares"
OFFCUTS = "offcuts"


class ArticleFinish(RowsView):
    """`?skin=` names the skins, once for each; without it they are chosen first (`?batch=` offers one batch's)."""

    form_class = FinishForm
    rows_class = PieceRows
    rows_title = "Pieces"
    rows_note = "a row a piece; share: 1/3 of the skins' cost, empty for equal parts"
    template_name = "costing/make/finishing/finish.html"
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
            finishing_services.refuse_two(self.skins, field="skin")
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
        return min((1 - finishing.used_share(skin) for skin in self.skins), default=Fraction(1))

    @property
    def book(self) -> Fraction:
        """What the skins have cost so far, in all."""
        return sum((share.book() for share in cost.skin_shares(self.skins).values()), Fraction(0))

    def choose(self, refusal: Refused | None = None) -> HttpResponse:
        offered = stays_read.unfinished()
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
        return render(self.request, "costing/make/finishing/choose.html", context)

    @cached_property
    def skins(self) -> list[Skin]:
        tags = list(dict.fromkeys(self.request.GET.getlist("skin")))
        found = {row.tag: row for row in stays_read.skin_detailed().filter(tag__in=tags)}
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
        return finishing.finish(
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


class MoreWork(Work):
    """Materials and minutes on a finished piece; they are late cost of its skins."""

    template_name = "costing/make/batches/issues/on_skins.html"
    form_class = MoreWorkForm  # type: ignore[assignment]  # its head has a task and minutes instead of skins
    room = "Articles"
    rows_title = "Materials"
    rows_note = "thread, lining, oil; empty rows are passed over"
    submit = "Write it on the piece"
    cancel_name = "articles"

    @cached_property
    def article(self) -> Article:
        rows = Article.objects.prefetch_related("parts__skin__parts__article")
        return get_object_or_404(rows, number=self.kwargs["number"])

    @property
    def title(self) -> str:  # type: ignore[override]  # here it names the piece
        return f"More work on {self.article.number}"

    @property
    def lead(self) -> str:  # type: ignore[override]  # here it names those that share it
        skins_of = [part.skin for part in self.article.parts.all()]
        others = {part.article.number for skin in skins_of for part in skin.parts.all()} - {self.article.number}
        shared = f" {', '.join(sorted(others))} of the same skin bear their share of it." if others else ""
        return f"It is shown as late cost: what was frozen stays.{shared}"

    def enter_rows(self, form: forms.Form, rows: list[dict[str, Any]]) -> Article:
        found = form.cleaned_data
        return rework.more(
            article=self.article,
            on=found["on"],
            kind=found["kind"] or TaskKind.FINISH,
            task=found["task"],
            minutes=found["minutes"],
            amounts=self.free_amounts(rows),
            by=self.request.user,
            request_key=found["request_key"],
        )

    def done_url(self) -> str:
        return reverse("article", args=[self.article.number])

    cancel_url = done_url

    def said(self) -> str:
        late = self.made.cost
        return f"Written on {self.made.number}: {figures.money(late.late_book)} book came late so far."
