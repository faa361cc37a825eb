"""Pages of finishing: choosing skins, the pieces they become, and more work on a piece."""

from collections.abc import Iterable, Sequence
from decimal import Decimal
from fractions import Fraction
from typing import Any

from django import forms
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import get_object_or_404
from django.utils.functional import cached_property

from costing.make.batches.issues.views import Issue
from costing.make.batches.stays import selectors as stays_read
from costing.make.finishing import selectors as finishing_read, services as finishing
from costing.make.finishing.forms import (
    ChooseForm,
    FinishForm,
    MoreWorkForm,
    PieceRows,
    area_in_base,
    by_area,
    refuse_unused,
    shares,
)
from inventory import units
from inventory.articles import selectors as pieces
from inventory.articles.services import Naming, Piece
from inventory.base import measures
from inventory.errors import Refused
from inventory.models import Article, Skin
from inventory.templatetags import figures
from inventory.web.questions import Odd
from inventory.web.rows import PREFIX, RowsView
from inventory.web.trail import address, page
from inventory.web.views import About, back_to

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
    trail = ("articles",)
    submit = "Finish"
    cancel_page = "articles"
    made: list[Article]

    def get(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        if not self.skins:
            return self.choose()
        try:
            finishing.refuse_two(self.skins, field="skin")
        except Refused as refusal:
            return self.choose(refusal)
        return super().get(request, *args, **kwargs)

    def post(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        if not self.skins:
            return self.choose()
        return self.with_shares(request) if SHARES in request.POST else super().post(request, *args, **kwargs)

    def with_shares(self, request: HttpRequest) -> HttpResponse:
        """The same page with the shares worked out from the areas, to be looked at and changed. Nothing is written."""
        self.rows = self.rows_of(request.POST)
        form = self.get_form()
        if not self.all_valid(form):
            return self.form_invalid(form)
        data = request.POST.copy()
        filled = [(at, row.cleaned_data) for at, row in enumerate(self.rows.forms) if row.has_changed()]
        worth = form.cleaned_data["offcuts"] or Decimal(0)
        # Offcuts that were put into a row before are calculated anew.
        pieces = [(at, row) for at, row in filled if row["kind"] != OFFCUTS]
        try:
            rows, book = [row for _, row in pieces], finishing_read.book_of(self.skins)
            found = by_area(rows, self.skins, free=self.free, book=book, offcuts=worth)
        except Refused as refusal:
            if refusal.row is not None:
                refusal.row = filled.index(pieces[refusal.row])
            self.point(form, refusal)
            return self.form_invalid(form)
        for (at, _), share in zip(pieces, found.pieces, strict=True):
            data[f"{PREFIX}-{at}-share"] = str(share)
        self._offcuts(data, [at for at, row in filled if row["kind"] == OFFCUTS], found.offcuts)
        return self.again(data)

    def _offcuts(self, data: QueryDict, rows: list[int], share: Fraction) -> None:
        """Offcuts that keep a value stand in a row of their own; without one the row is emptied."""
        if not share:
            for at in rows:
                for name, field in self.rows_class.form.base_fields.items():
                    usual = field.initial() if callable(field.initial) else field.initial
                    data[f"{PREFIX}-{at}-{name}"] = usual or ""
            return
        free = (at for at, row in enumerate(self.rows.forms) if not row.has_changed())
        at = rows[0] if rows else next(free, self.rows.total_form_count())
        number = data.get(f"{PREFIX}-{at}-number") or f"{self.skins[0].tag}-offcuts"[:20]
        unit = data.get(f"{PREFIX}-{at}-area_unit") or measures.area_unit()
        for name, value in (("kind", OFFCUTS), ("number", number), ("area_unit", unit), ("share", str(share))):
            data[f"{PREFIX}-{at}-{name}"] = value
        data[f"{PREFIX}-TOTAL_FORMS"] = str(max(at + 1, self.rows.total_form_count()))

    @property
    def free(self) -> Fraction:
        """The part of the skins' cost that is allocated to no piece yet."""
        return finishing.free_share(self.skins)

    def choose(self, refusal: Refused | None = None) -> HttpResponse:
        offered = stays_read.unfinished()
        if number := self.request.GET.get("batch"):
            offered = offered.filter(stays__batch__number=number, stays__left_on__isnull=True)
        rows = list(offered)
        form = ChooseForm(self.request.GET if refusal else None, skins=rows)
        if refusal is not None:
            form.add_error(refusal.field, str(refusal))
        return page(
            self.request,
            "costing/make/finishing/choose.html",
            self.title,
            self.trail,
            form=form,
            skins=rows,
            cancel=self.get_cancel_url(),
        )

    @cached_property
    def skins(self) -> list[Skin]:
        tags = list(dict.fromkeys(self.request.GET.getlist("skin")))
        found = {row.tag: row for row in stays_read.skin_detailed().filter(tag__in=tags)}
        return [get_object_or_404(Skin, tag=tag) if tag not in found else found[tag] for tag in tags]

    def get_lead(self) -> str:
        tags = ", ".join(skin.tag for skin in self.skins)
        joined = "" if len(self.skins) == 1 else " joined: each piece is allocated its share of all of them"
        return f"Of {tags}{joined}. The cost is frozen on the day; what is written later shows as late."

    def get_initial(self) -> dict[str, Any]:
        stays = [stay for skin in self.skins for stay in skin.stays.all()]
        method = stays[-1].batch.version.recipe.method if stays else None
        return {"method": method}

    def first_rows(self) -> Sequence[dict[str, Any]]:
        area = self.skins[0].dry_area if len(self.skins) == 1 else None
        joined = "-".join(skin.tag for skin in self.skins)
        return [
            {
                "number": joined if len(joined) <= 20 else self.skins[0].tag,
                "area": None if area is None else units.from_base(area, measures.area_unit()),
            }
        ]

    def odd(self, form: forms.Form) -> Iterable[Odd]:
        species = {skin.species for skin in self.skins}
        for row in self.rows.filled():
            piece = row.cleaned_data
            price = pieces.odd_price(piece["number"], piece["list_price"], kind=piece["kind"], species=species)
            yield row["list_price"], price

    def enter(self, form: forms.Form) -> list[Article]:
        found, rows = form.cleaned_data, self.filled()
        book = finishing_read.book_of(self.skins) if found["offcuts"] is not None else None
        refuse_unused(rows, found["offcuts"], book, kind=OFFCUTS)
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
                    naming=Naming(hair=found["hair"], use=found["use"]),
                )
                for row, share in zip(rows, borne, strict=True)
            ],
            by=self.request.user,
            request_key=found["request_key"],
        )

    def get_success_url(self) -> str:
        return back_to(self.request, address(self.made[0]))

    def get_success_message(self) -> str:
        numbers = ", ".join(piece.number for piece in self.made)
        return f"{numbers} {'is' if len(self.made) == 1 else 'are'} finished; the cost is frozen."


class MoreWork(Issue, About[Article]):
    """Materials and minutes on a finished piece; they are late cost of its skins."""

    template_name = "costing/make/batches/issues/on_skins.html"
    form_class = MoreWorkForm
    title = "More work on {self.thing.number}"
    rows_title = "Materials"
    rows_note = "thread, lining, oil; empty rows are ignored"
    submit = "Record work"

    def things(self) -> QuerySet[Article]:
        return Article.objects.prefetch_related("parts__skin__parts__article")

    def get_lead(self) -> str:
        others = finishing_read.of_the_same_skins(self.thing)
        shared = f" A share of it is allocated to {', '.join(others)} of the same skin." if others else ""
        return f"It is shown as late cost: what was frozen stays.{shared}"

    def enter(self, form: forms.Form) -> Article:
        return finishing.more(article=self.thing, amounts=self.amounts(), **self.sent(form))

    def get_success_message(self) -> str:
        late = figures.money(self.made.cost.late_book)
        return f"Recorded on {self.made.number}: {late} book came late so far."
