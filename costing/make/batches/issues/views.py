"""Pages that put materials in work straight on skins and take back what was put in; `costing.views.pour` is the batch's."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django import forms
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils.functional import cached_property

from costing.make.batches.issues import services as issues
from costing.make.batches.issues.forms import FreeRows, WorkForm
from costing.make.batches.issues.services import Amount
from costing.make.batches.models import Use
from costing.make.batches.stays import selectors as stays
from inventory.base import selectors as workshop
from inventory.errors import Refused, ShortStock
from inventory.models import Material, Skin
from inventory.permits import Act, may
from inventory.web.forms import ReverseUseForm as TakeBackForm
from inventory.web.rows import TypedRowsView as RowsView
from inventory.web.views import EntryView


class Work(RowsView):
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


class UseOnSkins(Work):
    template_name = "costing/make/batches/issues/on_skins.html"
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
        others = [row for row in stays.unfinished() if row.pk != self.skin.pk]
        return {**super().get_form_kwargs(), "skins": [self.skin, *others], "needed": True}

    def get_initial(self) -> dict[str, Any]:
        return {**super().get_initial(), "skins": [self.skin.tag]}

    def enter_rows(self, form: forms.Form, rows: list[dict[str, Any]]) -> Use:
        found = form.cleaned_data
        return issues.put_in_work(
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
        return issues.take_back(
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
