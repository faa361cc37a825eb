"""The page at the tub: materials added to a batch, with ways out when the shelf or the tub is too small."""

import copy
from decimal import Decimal
from typing import Any
from urllib.parse import urlencode

from django import forms
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect
from django.urls import reverse
from django.utils.functional import cached_property

from costing.make.additions.views import OfLine
from costing.make.batches.issues import services as issues
from costing.make.batches.issues.services import Amount
from costing.make.batches.issues.views import Issue, short_words
from costing.make.batches.models import Use
from costing.make.batches.requirements import selectors as requirements
from costing.make.batches.stays.views import OfBatch
from costing.make.baths import selectors as baths
from costing.make.baths.pours import forms as pours_forms, services as pours
from costing.make.baths.pours.forms import AddForm, PourForm, PourLineForm
from costing.make.errors import VesselTooSmall
from costing.make.recipes.rules import BY_BATH
from inventory.base import selectors as workshop
from inventory.base.measures import LITRE_PLACES
from inventory.errors import Refused
from inventory.web.forms import MOST as MOST_ROWS, FigureField
from inventory.web.rows import PREFIX

# The button of a way out: what it does, and to which line, bath or material.
WAY = "way"


class AddToBatch(Issue, OfBatch):
    """The scaled list at the tub. A tap on a way out (`way`) writes nothing: it leads to the same page with the list changed,
    everything typed in its address, so that it outlives a delivery recorded in between."""

    template_name = "costing/make/baths/pours/pour.html"
    form_class = PourForm
    title = "Add to {self.thing.number}"
    submit = "Add to batch"
    rows_title = "Besides the recipe"
    success_message = "Recorded on {self.thing.number}."
    keeps = True

    @cached_property
    def typed(self) -> QueryDict:
        return self.request.POST if self.request.method == "POST" else self.request.GET

    @cached_property
    def planned_litres(self) -> Decimal | None:
        return self.thing.litres / requirements.ML_PER_LITRE if self.thing.litres else None

    @cached_property
    def litres(self) -> Decimal | None:
        """The bath decided on here, else the planned one."""
        return _figure(self.typed.get("litres")) or self.planned_litres

    @cached_property
    def wanted(self) -> list[requirements.Amount]:
        sized = copy.copy(self.thing)
        sized.litres = self.litres * requirements.ML_PER_LITRE if self.litres else None
        return requirements.amounts(sized)

    @cached_property
    def now(self) -> int | None:
        asked = self.typed.get("day", "")
        known = {str(each.line.day): each.line.day for each in self.wanted}
        return known[asked] if asked in known else pours_forms.now_day(self.wanted, self.thing.state, workshop.today())

    @cached_property
    def line_forms(self) -> list[PourLineForm]:
        sent = self.request.POST if self.request.method == "POST" else None
        return [
            PourLineForm(
                sent,
                wanted=each,
                shelf=self.materials,
                typed=self.typed,
                now=self.now is None or each.line.day == self.now,
            )
            for each in self.wanted
        ]

    def form_options(self) -> dict[str, Any]:
        return {"skins": [stay.skin for stay in self.thing.stays.all()]}

    def get_initial(self) -> dict[str, Any]:
        asked = self.request.GET
        head = {name: asked[name] for name in ("on", "reason", "litres", "day") if name in asked}
        return {**head, "skins": asked.getlist("skins")}

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
            for each in self.wanted:
                if each.line.basis in BY_BATH:
                    _forget(kept, str(each.line.pk))
        here = f"{reverse('put_in_work', args=[self.thing.number])}?{kept.urlencode()}"
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

    def enter(self, form: forms.Form) -> Use:
        found = self.sent(form)
        del found["day"]
        amounts = [*self.line_amounts(), *self.amounts()]
        return issues.issue(batch=self.thing, amounts=amounts, tags=found.pop("skins", []), **found)

    def line_amounts(self) -> list[Amount]:
        return [
            Amount(
                line.goes_in,
                line.cleaned_data["amount"],
                line.cleaned_data["unit"],
                line.planned or None,
                line.wanted.line,
            )
            for line in self.line_forms
            if line.cleaned_data["amount"]
        ]

    def mark_short(self, lines: dict[str, tuple[str, str]]) -> None:
        super().mark_short(lines)
        for line in self.line_forms:
            if line.cleaned_data.get("amount") and (name := line.goes_in.name) in lines:
                line.add_error("amount", short_words(*lines[name]))

    def point(self, form: forms.Form, refusal: Refused) -> None:
        if refusal.row is not None:
            # The free rows follow those of the recipe, of which the empty ones are left out.
            refusal.row -= len(self.line_amounts())
        super().point(form, refusal)

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        made = pours_forms.cards(self.line_forms, self.materials)
        later = [card for card in made if not card.form.now]
        poured = {line.goes_in.pk for line in self.line_forms}
        return {
            **super().get_context_data(**more),
            "batch": self.thing,
            "line_forms": self.line_forms,
            "cards": [card for card in made if card.form.now],
            "later": later,
            "next": min(
                (card.form.wanted.due for card in later if card.form.wanted.waits(self.thing.state)), default=None
            ),
            "later_days": list(dict.fromkeys(card.form.wanted.line.day for card in later)),
            "rows_open": any(self.rows.filled()) if self.rows.is_bound else len(self.rows) > self.rows_class.extra,
            "litres": self.litres,
            "resized": self.litres != self.planned_litres,
            "planned_litres": self.planned_litres,
            "smaller": pours_forms.smaller(self.thing.version, self.line_forms, self.litres),
            "misfit": self.misfit(),
            "short": [row for row in self.short if row.pk not in poured],
        }

    def misfit(self) -> VesselTooSmall | None:
        """Why the tub does not hold the bath, where any of the bath is to be poured now."""
        if not self.litres or not any(line.fills for line in self.line_forms):
            return None
        heads = max(self.thing.planned_skins, len(self.thing.stays.all()))
        return baths.misfit(self.thing.version, self.litres, self.thing.place, skins=heads)


class AdditionAdd(OfLine):
    """One tap on Today posts here too."""

    form_class = AddForm
    title = "Add {self.line.material.name} to {self.thing.number}"
    submit = "Add it"

    def form_options(self) -> dict[str, Any]:
        return {"line": self.line, "asks_again": bool(self.addition.amount.used)}

    def get_initial(self) -> dict[str, Any]:
        asked = self.addition
        known = {"amount": asked.quantity if asked.amount.left else None, "unit": asked.unit}
        return {**super().get_initial(), **(known if asked.quantity is not None else {})}

    def enter(self, form: forms.Form) -> Use:
        return pours.add(batch=self.thing, line=self.line, **self.sent(form))

    def get_success_message(self) -> str:
        return f"{self.line.material.name}, {self.thing.number}: added."

    def undo_url(self) -> str:
        return reverse("use_undo", args=[self.made.pk])


def _figure(text: str | None) -> Decimal | None:
    """A figure above zero out of an address; anything else is none."""
    try:
        value = FigureField(places=LITRE_PLACES, required=False).clean(text)
    except forms.ValidationError:
        return None
    return value if value is not None and value > 0 else None


def _forget(kept: QueryDict, line: str) -> None:
    """What was typed for a line is no answer any more once something else, or another bath, is asked of it."""
    for name in ("amount", "unit"):
        kept.pop(f"line-{line}-{name}", None)
