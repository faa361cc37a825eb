"""Pages of the kinds of cost and of the headings they come under. They are the owner's."""

from typing import Any

from django import forms
from django.db import transaction
from django.http import Http404, HttpRequest, HttpResponse
from django.utils.functional import cached_property
from django.views.decorators.http import require_safe

from costing.sell.headings import selectors as read, services as headings
from costing.sell.headings.forms import HeadingDropForm, HeadingForm, KindForm, TaxFormForm
from costing.sell.headings.models import CostHeading, CostKind
from inventory.permits import Act, may
from inventory.web.trail import page
from inventory.web.views import About, EntryView


@require_safe
def cost_kinds(request: HttpRequest) -> HttpResponse:
    """The headings with the kinds under each; kinds without one come last."""
    rows, kinds = read.headings(), list(read.kinds().values())
    form = read.form_of(rows)
    under = [(row, [kind for kind in kinds if kind.heading and kind.heading.words == row.words]) for row in rows]
    return page(
        request,
        "costing/sell/headings/kinds.html",
        "Kinds of cost",
        ("setup",),
        form_name=rows[0].form if rows else "",
        form_note=form.note if form else "",
        under=under,
        loose=[kind for kind in kinds if kind.heading is None],
        may_setup=may(request.user, Act.SETUP),
    )


class _Set(EntryView):
    trail = ("setup", "cost_kinds")
    cancel_page = "cost_kinds"
    needs = Act.SETUP


class FormChoose(_Set):
    form_class = TaxFormForm
    title = "Headings of a tax form"
    lead = "The headings of the form take the place of those there are. Kinds of your own then have no heading until you say one."
    submit = "Take these headings"
    success_message = "The headings are set. Check with your accountant."

    def get_initial(self) -> dict[str, Any]:
        rows = read.headings()
        return {"form": rows[0].form} if rows else {}

    def enter(self, form: forms.Form) -> object:
        return headings.choose_form(**self.given(form))


class HeadingNew(_Set):
    form_class = HeadingForm
    title = "A heading"
    success_message = "{self.made} is saved."

    def enter(self, form: forms.Form) -> CostHeading:
        with transaction.atomic():
            headings.begin(by=self.request.user)
            return headings.save_heading(**self.sent(form))


class _OfHeading(About[CostHeading]):
    """Named by its place in the list, for the shipped ones are not rows before the first change."""

    @cached_property
    def thing(self) -> CostHeading:
        rows = read.headings()
        at = int(self.kwargs["position"])
        found = next((row for row in rows if row.position == at), None)
        if found is None:
            raise Http404
        return found

    def saved(self) -> CostHeading:
        """The heading as a row of its own."""
        position = self.thing.position
        headings.begin(by=self.request.user)
        return next(row for row in read.headings() if row.position == position)


class HeadingEdit(_OfHeading, HeadingNew):
    prefilled = ("words", "line", "stock")

    def enter(self, form: forms.Form) -> CostHeading:
        with transaction.atomic():
            return headings.save_heading(heading=self.saved(), **self.sent(form))


class HeadingDrop(_OfHeading, _Set):
    form_class = HeadingDropForm
    title = "Delete the heading {self.thing}?"
    lead = "Kinds under it have no heading until you say one; the results name them."
    submit = "Delete heading"
    danger = True
    success_message = "The heading is deleted."

    def enter(self, form: forms.Form) -> object:
        with transaction.atomic():
            return headings.drop_heading(heading=self.saved(), by=self.request.user)


class KindNew(_Set):
    form_class = KindForm
    title = "A kind of cost"
    success_message = "{self.made} is saved."
    kind: CostKind | None = None

    def form_options(self) -> dict[str, Any]:
        return {"kind": self.kind}

    def enter(self, form: forms.Form) -> CostKind:
        said = self.sent(form)
        fixed = {} if self.kind is None else {name: getattr(self.kind, name) for name in _KEPT}
        with transaction.atomic():
            headings.begin(by=self.request.user)
            words = said.pop("heading")
            under = next((row for row in read.headings() if row.words == words), None)
            return headings.save_kind(**{**fixed, **said, "heading": under})


_KEPT = ("code", "name", "place", "asks", "unit", "rate", "closed")


class KindEdit(KindNew):
    title = "{self.kind.name}"

    @cached_property
    def kind(self) -> CostKind:  # type: ignore[override]
        found = read.kind(self.kwargs["code"])
        if found is None:
            raise Http404
        return found

    def get_initial(self) -> dict[str, Any]:
        return {
            **{name: getattr(self.kind, name) for name in _KEPT},
            "heading": self.kind.heading and self.kind.heading.words,
        }
