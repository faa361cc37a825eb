"""Pages that issue materials straight to skins, and correct or reverse what was issued; the batch's own is at the tub."""

from collections.abc import Sequence
from typing import Any

from django import forms
from django.db.models import Model, QuerySet
from django.urls import reverse
from django.utils.functional import cached_property

from costing.make.batches.issues import selectors as issues_read, services as issues
from costing.make.batches.issues.forms import CorrectForm, CorrectRows, FreeRows, IssueForm
from costing.make.batches.issues.services import Amount
from costing.make.batches.models import Use
from costing.make.batches.stays import selectors as stays
from inventory.errors import Refused, ShortStock
from inventory.models import Material, Movement, Skin
from inventory.permits import Act, may
from inventory.web.reversals import ON, REASON, Reversal
from inventory.web.rows import RowsView
from inventory.web.trail import address
from inventory.web.views import About


class Issue(RowsView):
    """Materials leave the shelf: free rows, the day, the skins, and the ways out when the shelf is short."""

    form_class: type[forms.Form] = IssueForm
    rows_class = FreeRows
    rows_note = "gloves, tags, cord; empty rows are ignored"
    row_word = "Material"
    short: Sequence[Material] = ()

    @cached_property
    def materials(self) -> list[Material]:
        return list(Material.objects.order_by("name"))

    def row_options(self) -> dict[str, Any]:
        return {"materials": self.materials}

    def amounts(self) -> list[Amount]:
        """What the filled rows ask for; without a unit it is the material's own."""
        return [Amount(row["material"], row["amount"], row["unit"] or row["material"].unit) for row in self.filled()]

    def point(self, form: forms.Form, refusal: Refused) -> None:
        super().point(form, refusal)
        if isinstance(refusal, ShortStock):
            lines = {name: (wanted, there) for name, wanted, there in refusal.lines}
            self.short = [material for material in self.materials if material.name in lines]
            self.mark_short(lines)

    def mark_short(self, lines: dict[str, tuple[str, str]]) -> None:
        """Say what is missing beside each row that wants more than is there."""
        for row in self.rows.filled():
            if (name := row.cleaned_data["material"].name) in lines:
                row.add_error("amount", short_words(*lines[name]))

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        return super().get_context_data(short=self.short, may_receive=may(self.request.user, Act.GOODS), **more)


def short_words(wanted: str, there: str) -> str:
    return f"{wanted} wanted, {there} on the shelf."


class IssueToSkins(Issue, About[Skin]):
    model = Skin
    template_name = "costing/make/batches/issues/on_skins.html"
    title = "Materials on {self.thing.tag}"
    submit = "Add to skin"
    rows_title = "What goes on"
    rows_note = "salt, a tag; empty rows are ignored"
    lead = "Straight on the skin, outside a batch: salt on a raw hide, a tag. Ticked skins share it, in equal parts or by weight."
    success_message = "Recorded on {self.thing.tag}."

    def form_options(self) -> dict[str, Any]:
        others = [row for row in stays.unfinished() if row.pk != self.thing.pk]
        return {"skins": [self.thing, *others], "needed": True}

    def get_initial(self) -> dict[str, Any]:
        return {"skins": [self.thing.tag]}

    def enter(self, form: forms.Form) -> Use:
        found = self.sent(form)
        return issues.issue(batch=None, amounts=self.amounts(), tags=found.pop("skins"), **found)


class IssueCorrection(Issue, About[Use]):
    """What stands, and what is to stand instead, opened with the same: change what was wrong."""

    form_class = CorrectForm
    rows_class = CorrectRows
    template_name = "costing/make/batches/issues/correct.html"
    needs = Act.SHED
    title = "Correct this entry"
    lead = "Change what was wrong. The old entry is reversed and the new one written, both at once; both stay in the books."
    submit = "Correct it"
    rows_title = "What went in"
    rows_note = "as it was; empty a row that was not so"
    success_message = "Corrected: the old entry is reversed, and the new one stands."

    def things(self) -> QuerySet[Use]:
        return Use.objects.filter(frame__isnull=True).select_related("posting", "batch").prefetch_related("skins")

    def whose(self) -> Model:
        return self.thing.batch or self.thing.skins.all()[0]

    @cached_property
    def moved(self) -> list[Movement]:
        return issues_read.moved(self.thing)

    def form_options(self) -> dict[str, Any]:
        return {"skins": issues_read.skins_for(self.thing), "batches": issues_read.batches_for(self.thing)}

    def get_initial(self) -> dict[str, Any]:
        use = self.thing
        return {
            "batch": use.batch.number if use.batch else None,
            "on": use.posting.on,
            "reason": use.posting.reason,
            "share_by": use.share_by,
            "skins": [skin.tag for skin in use.skins.all()],
        }

    def first_rows(self) -> list[dict[str, Any]]:
        found = []
        for row in self.moved:
            amount, unit = issues_read.typed(row)
            found.append({"material": row.material_id, "amount": amount, "unit": unit})
        return found

    def amounts(self) -> list[Amount]:
        """A row in the place of an old one is put in for what the old one was put in for."""
        found = []
        for at, row in enumerate(self.rows.forms):
            if row.has_changed():
                entered = row.cleaned_data
                old = getattr(self.moved[at], "planned", None) if at < len(self.moved) else None
                unit = entered["unit"] or entered["material"].unit
                asked = (old.quantity, old.line) if old else (None, None)
                found.append(Amount(entered["material"], entered["amount"], unit, *asked))
        return found

    def enter(self, form: forms.Form) -> Use:
        found = self.sent(form)
        return issues.correct(use=self.thing, amounts=self.amounts(), tags=found.pop("skins", []), **found)

    def get_success_url(self) -> str:
        return address(self.made.batch or self.made.skins.all()[0])

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        return super().get_context_data(use=self.thing, moved=issues_read.told(self.moved), **more)


class IssueReversal(Reversal[Use]):
    asks: tuple[str, ...] = (ON, REASON)
    title = "Reverse this?"
    lead = (
        "The materials go back on the shelf at the value they left with, and the cost leaves the skins. "
        "Both entries stay in the books."
    )
    success_message = "Reversed. The materials are on the shelf again."

    def things(self) -> QuerySet[Use]:
        return Use.objects.select_related("posting", "batch", "frame").prefetch_related("skins")

    def whose(self) -> Model:
        return self.thing.frame or self.thing.batch or self.thing.skins.all()[0]

    def happened(self) -> Any:
        return self.thing.posting.on

    def enter(self, form: forms.Form) -> object:
        return issues.reverse(use=self.thing, **self.sent(form))


class IssueUndo(IssueReversal):
    """The same by one tap within ten seconds."""

    asks = ()
    title = "Undo this entry?"
    submit = "Undo"

    def enter(self, form: forms.Form) -> object:
        return issues.undo(use=self.thing, by=self.request.user)

    def get_success_url(self) -> str:
        return reverse("today")
