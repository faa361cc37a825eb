"""Pages that put materials in work, for a batch or straight on skins, and take them back."""

from __future__ import annotations

import copy
from collections.abc import Sequence
from decimal import Decimal
from typing import Any
from urllib.parse import urlencode

from django import forms
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.utils.functional import cached_property

from costing.forms.batches import FreeRows, TakeBackForm, WorkForm
from costing.forms.work import MoreWorkForm, PourForm, PourLineForm
from costing.models import Batch, Use
from costing.selectors import batches as read
from costing.selectors import baths, skins
from costing.services import batches, rework
from costing.services.batches import Amount
from costing.views import pouring
from costing.views.rows import PREFIX, RowsView
from inventory.errors import Refused, ShortStock
from inventory.forms.entry import FigureField
from inventory.forms.rows import MOST as MOST_ROWS
from inventory.models import Article, Material, Skin
from inventory.selectors import workshop
from inventory.services.permits import Act, may
from inventory.templatetags import figures
from inventory.views.entry import EntryView

# The button of a way out: what it does, and to which line, bath or material.
WAY = "way"


class _Work(RowsView):
    """Materials leave the shelf: free rows, the day, the skins, and the ways out when the shelf is short."""

    form_class = WorkForm
    rows_class = FreeRows
    rows_note = "gloves, tags, cord; empty rows are passed over"
    row_word = "Material"
    submit = "Put in work"
    short: Sequence[Material] = ()

    @cached_property
    def materials(self) -> list[Material]:
        return list(Material.objects.order_by("name"))

    def row_options(self) -> dict[str, Any]:
        return {"materials": self.materials}

    def get_initial(self) -> dict[str, Any]:
        return {**super().get_initial(), "on": workshop.today()}

    def free_amounts(self, rows: Sequence[dict[str, Any]]) -> list[Amount]:
        return [Amount(row["material"], row["amount"], row["unit"] or row["material"].unit) for row in rows]

    def point(self, refusal: Refused) -> None:
        if not isinstance(refusal, ShortStock):
            return super().point(refusal)
        lines = {name: (wanted, there) for name, wanted, there in refusal.lines}
        self.short = [material for material in self.materials if material.name in lines]
        for row in self.rows.filled():
            self.mark_short(row, row.cleaned_data["material"], lines)
        return None

    def mark_short(self, row: forms.Form, material: Material, lines: dict[str, tuple[str, str]]) -> None:
        if material.name in lines:
            wanted, there = lines[material.name]
            row.add_error("amount", f"{wanted} wanted, {there} on the shelf.")

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        return super().get_context_data(short=self.short, may_receive=may(self.request.user, Act.GOODS), **more)


class PutInWork(_Work):
    """The scaled list at the tub. A tap on a way out (`way`) writes nothing: it leads to the same page with the list changed,
    everything typed in its address, so that it outlives a delivery recorded in between."""

    template_name = "costing/batches/put_in_work.html"
    form_class = PourForm
    room = "Batches"
    rows_title = "Besides the recipe"
    keeps = True

    @cached_property
    def batch(self) -> Batch:
        return get_object_or_404(read.detailed(), number=self.kwargs["number"])

    @property
    def title(self) -> str:  # type: ignore[override]  # here it names the batch
        return f"Put in work for {self.batch.number}"

    @cached_property
    def typed(self) -> QueryDict:
        return self.request.POST if self.request.method == "POST" else self.request.GET

    @cached_property
    def planned_litres(self) -> Decimal | None:
        return self.batch.litres / read.ML_PER_LITRE if self.batch.litres else None

    @cached_property
    def litres(self) -> Decimal | None:
        """The bath decided on here, else the planned one."""
        return _figure(self.typed.get("litres")) or self.planned_litres

    @cached_property
    def amounts(self) -> list[read.Amount]:
        sized = copy.copy(self.batch)
        sized.litres = self.litres * read.ML_PER_LITRE if self.litres else None
        return read.amounts(sized)

    @cached_property
    def now(self) -> int | None:
        asked = self.typed.get("day", "")
        known = {str(each.line.day): each.line.day for each in self.amounts}
        return known[asked] if asked in known else pouring.now_day(self.amounts, self.batch.state)

    @cached_property
    def line_forms(self) -> list[PourLineForm]:
        return [form for form, _, _ in self.lines]

    @cached_property
    def lines(self) -> list[tuple[PourLineForm, str, bool]]:
        return [self.line(each) for each in self.amounts]

    def line(self, each: read.Amount) -> tuple[PourLineForm, str, bool]:
        """A line's form with what to mind of a swap, and whether it goes in now."""
        prefix = f"line-{each.line.pk}"
        others = pouring.offered(each.line, self.materials)
        asked = self.typed.get(f"{prefix}-instead")
        instead = next((row for row in others if str(row.pk) == asked), None)
        material, planned, caution = pouring.goes_in(each.line, each.left, instead)
        now = self.now is None or each.line.day == self.now
        form = PourLineForm(
            self.request.POST if self.request.method == "POST" else None,
            prefix=prefix,
            wanted=each,
            goes_in=material,
            planned=planned,
            offered=others,
            typed=pouring.typed(each.line, self.typed),
            now=now,
        )
        return form, caution, now

    def get_form_kwargs(self) -> dict[str, Any]:
        there = [stay.skin for stay in self.batch.stays.all()]
        return {**super().get_form_kwargs(), "skins": there}

    def get_initial(self) -> dict[str, Any]:
        asked = self.request.GET
        head = {name: asked[name] for name in ("on", "reason", "litres", "day") if name in asked}
        return {**super().get_initial(), **head, "skins": asked.getlist("skins")}

    def first_rows(self) -> list[dict[str, Any]]:
        """Rows besides the recipe that were typed before a way out was taken."""
        asked, found = self.request.GET, []
        for number in range(MOST_ROWS):
            row = {name: asked.get(f"{PREFIX}-{number}-{name}", "") for name in ("material", "amount", "unit")}
            if any(row.values()):
                found.append(row)
        return found

    def post(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        if WAY in request.POST:
            return self.go(request.POST[WAY])
        return super().post(request, *args, **kwargs)

    def go(self, way: str) -> HttpResponse:
        """To the page as a way out changes it, or to the delivery that brings what is short. Nothing is judged or written."""
        kept = self.request.POST.copy()
        for name in ("csrfmiddlewaretoken", "request_key", WAY):
            kept.pop(name, None)
        what, _, which = way.partition(":")
        line, _, material = which.partition("-")
        if what in ("use", "own"):
            _forget(kept, line)
            kept[f"line-{line}-instead"] = material
        elif what == "leave":
            kept[f"line-{line}-amount"] = ""
        elif what == "litres":
            kept["litres"] = which
            for each in self.amounts:
                if each.line.basis == "per_litre":
                    _forget(kept, str(each.line.pk))
        here = f"{reverse('put_in_work', args=[self.batch.number])}?{kept.urlencode()}"
        if what == "deliver":
            return redirect(f"{reverse('delivery_new')}?{urlencode({'material': which, 'next': here})}")
        return redirect(here)

    def others_are_valid(self) -> bool:
        judged = [line.is_valid() for line in self.line_forms]
        return all(judged)

    def complaints(self) -> list[str]:
        told = [
            f"{line.goes_in.name}: {error}"
            for line in self.line_forms
            for errors in line.errors.values()
            for error in errors
        ]
        return told + super().complaints()

    def enter_rows(self, form: forms.Form, rows: list[dict[str, Any]]) -> Use:
        found = form.cleaned_data
        return batches.put_in_work(
            batch=self.batch,
            on=found["on"],
            amounts=[*self.line_amounts(), *self.free_amounts(rows)],
            tags=found.get("skins", []),
            reason=found["reason"],
            litres=found["litres"],
            by=self.request.user,
            request_key=found["request_key"],
        )

    def line_amounts(self) -> list[Amount]:
        return [
            Amount(line.goes_in, line.cleaned_data["amount"], line.cleaned_data["unit"], line.planned or None)
            for line in self.line_forms
            if line.cleaned_data["amount"]
        ]

    def mark_short_lines(self, refusal: ShortStock) -> None:
        lines = {name: (wanted, there) for name, wanted, there in refusal.lines}
        for line in self.line_forms:
            if line.cleaned_data.get("amount"):
                self.mark_short(line, line.goes_in, lines)

    def point(self, refusal: Refused) -> None:
        super().point(refusal)
        if isinstance(refusal, ShortStock):
            self.mark_short_lines(refusal)

    def done_url(self) -> str:
        return reverse("batch", args=[self.batch.number])

    cancel_url = done_url

    def said(self) -> str:
        return f"Written on {self.batch.number}."

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        made = pouring.cards(self.lines, self.materials)
        poured = {line.goes_in.pk for line in self.line_forms}
        refusal = (
            baths.misfit(self.batch.version, self.litres, self.batch.place, skins=self.heads()) if self.litres else None
        )
        return {
            **super().get_context_data(**more),
            "batch": self.batch,
            "line_forms": self.line_forms,
            "cards": [card for card in made if card.now],
            "later": [card for card in made if not card.now],
            "later_days": list(dict.fromkeys(card.wanted.line.day for card in made if not card.now)),
            "rows_open": any(self.rows.filled()) if self.rows.is_bound else len(self.rows) > self.rows_class.extra,
            "litres": self.litres,
            "resized": self.litres != self.planned_litres,
            "planned_litres": self.planned_litres,
            "smaller": pouring.smaller(self.batch.version, made, self.litres),
            "misfit": refusal,
            "short": [row for row in self.short if row.pk not in poured],
        }

    def heads(self) -> int:
        return max(self.batch.planned_skins, len(self.batch.stays.all()))


def _figure(text: str | None) -> Decimal | None:
    """A figure above nought out of an address; anything else is none."""
    try:
        value = FigureField(required=False).clean(text)
    except forms.ValidationError:
        return None
    return value if value is not None and value > 0 else None


def _forget(kept: QueryDict, line: str) -> None:
    """What was typed for a line is no answer any more once something else, or another bath, is asked of it."""
    for name in ("amount", "unit"):
        kept.pop(f"line-{line}-{name}", None)


class UseOnSkins(_Work):
    template_name = "costing/skins/use.html"
    room = "Skins"
    rows_title = "What goes on"
    rows_note = "salt, a tag; empty rows are passed over"

    @cached_property
    def skin(self) -> Skin:
        return get_object_or_404(Skin, tag=self.kwargs["tag"])

    @property
    def title(self) -> str:  # type: ignore[override]
        return f"Materials on {self.skin.tag}"

    lead = "Straight on the skin, outside a batch: salt on a raw hide, a tag. Ticked skins share it in equal parts."

    def get_form_kwargs(self) -> dict[str, Any]:
        others = [row for row in skins.unfinished() if row.pk != self.skin.pk]
        return {**super().get_form_kwargs(), "skins": [self.skin, *others], "needed": True}

    def get_initial(self) -> dict[str, Any]:
        return {**super().get_initial(), "skins": [self.skin.tag]}

    def enter_rows(self, form: forms.Form, rows: list[dict[str, Any]]) -> Use:
        found = form.cleaned_data
        return batches.put_in_work(
            batch=None,
            on=found["on"],
            amounts=self.free_amounts(rows),
            tags=found["skins"],
            reason=found["reason"],
            by=self.request.user,
            request_key=found["request_key"],
        )

    def done_url(self) -> str:
        return reverse("skin", args=[self.skin.tag])

    cancel_url = done_url

    def said(self) -> str:
        return f"Written on {self.skin.tag}."


class UseTakeBack(EntryView):
    form_class = TakeBackForm
    title = "Take this back?"
    room = "Batches"
    lead = (
        "The materials go back on the shelf at the value they left with, and the cost leaves the skins. "
        "Both entries stay in the books."
    )
    submit = "Take it back"
    danger = True

    @cached_property
    def use(self) -> Use:
        found = Use.objects.select_related("posting", "batch").prefetch_related("skins")
        return get_object_or_404(found, pk=self.kwargs["pk"])

    def get_initial(self) -> dict[str, Any]:
        closed = workshop.current().closed_to
        on = self.use.posting.on
        return {**super().get_initial(), "on": workshop.today() if closed and on <= closed else on}

    def enter(self, form: forms.Form) -> object:
        found = form.cleaned_data
        return batches.take_back(
            use=self.use,
            reason=found["reason"],
            on=found["on"],
            by=self.request.user,
            request_key=found["request_key"],
        )

    def done_url(self) -> str:
        if self.use.batch:
            return reverse("batch", args=[self.use.batch.number])
        return reverse("skin", args=[self.use.skins.all()[0].tag])

    cancel_url = done_url
    done_message = "Taken back. The materials are on the shelf again."


class MoreWork(_Work):
    """Materials and minutes on a finished piece; they are late cost of its skins."""

    template_name = "costing/skins/use.html"
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
