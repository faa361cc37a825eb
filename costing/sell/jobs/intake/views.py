"""The page that takes a job at the door, in one go."""

from collections.abc import Iterable
from decimal import Decimal
from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponse

from costing.sell.customers.models import Customer
from costing.sell.jobs import selectors as jobs
from costing.sell.jobs.intake import services as intake
from costing.sell.jobs.intake.forms import JobForm
from costing.sell.jobs.models import Job
from costing.sell.jobs.quotes import selectors as quotes
from costing.sell.sales.terms import selectors as terms
from inventory.base import measures
from inventory.models import Skin
from inventory.skins import forms as skin_forms, selectors as skins
from inventory.skins.services import Details
from inventory.web.lists import asked_number
from inventory.web.questions import Odd
from inventory.web.views import EntryView

CALCULATE = "calculate"  # the button that asks for a price alone


class JobNew(EntryView):
    form_class = JobForm
    template_name = "costing/sell/jobs/intake/new.html"
    title = "Take a job"
    trail = ("sales", "jobs")
    submit = "Take the job"
    cancel_page = "jobs"
    opens_made = True
    called = {"name": "customer", "on": "taken_on", "date_in": "taken_on", "at": "taken_on"}
    success_message = "{self.made.number} is taken for {self.made.customer}."

    def get_initial(self) -> dict[str, Any]:
        """`?customer=` (its key) or `?skin=` (a tag) open the page with what is known."""
        asked = self.request.GET
        initial: dict[str, Any] = {
            "number": jobs.next_number(),
            "tag": skins.next_tag(),
            "species": asked.get("species"),
        }
        row = jobs.waiting_skins().filter(tag=asked.get("skin", "")).first() if asked.get("skin") else None
        if row:
            initial |= {"skin": row.tag, "customer": row.customer, "tag": ""}
        if known := Customer.objects.filter(pk=asked_number(self.request, "customer") or 0).first():
            initial |= {"customer": known.name}
        return initial

    def post(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        """Asked only for a price, the page comes back as it was typed; nothing is judged and nothing written."""
        if CALCULATE not in request.POST:
            return super().post(request, *args, **kwargs)
        return self.render_to_response(self.get_context_data(form=self.form_as_typed(request.POST)))

    def odd(self, form: JobForm) -> Iterable[Odd]:
        found = form.cleaned_data
        species = found["skin"].species if found["skin"] else found["species"]
        if not found["skin"]:
            unit = found["weight_unit"] or measures.weight_unit()
            grams = skin_forms.grams(found["green_weight"], unit)
            yield form["green_weight"], skins.odd_weight(species, grams, unit)
        yield form["price"], jobs.odd_price(species, found["price"])

    def enter(self, form: JobForm) -> Job:
        found = self.sent(form)
        comes = {
            name: found.pop(name) for name in ("tag", "species", "sex_age", "green_weight", "weight_unit", "place")
        }
        species = found["skin"].species if found["skin"] else comes["species"]
        found["deposit"] = quotes.deposit_of(found["deposit"], found["price"], species)
        found["skin"] = found["skin"] or (comes["tag"], _brought(form.cleaned_data))
        return intake.take(**found)

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        context = super().get_context_data(**more)
        species = self._species(context["form"])
        asked = quotes.quote(species) if species else None
        return {
            **context,
            "species": species,
            "asked": asked,
            "share": Decimal(terms.terms().deposit_percent),
            "deposit": quotes.deposit_for(asked.usual.typed, asked) if asked else None,
        }

    def _species(self, form: forms.Form) -> str:
        """Of the skin that is chosen, else as it is typed."""
        tag = str(form["skin"].value() or "")
        row = Skin.objects.filter(tag=tag).first() if tag and "\x00" not in tag else None
        typed = str(form["species"].value() or "").strip()
        return row.species if row else "" if "\x00" in typed else typed


def _brought(found: dict[str, Any]) -> Details:
    """The skin that comes in with the job. Its owner is the customer, so it has no price."""
    return Details(
        species=found["species"],
        date_in=found["taken_on"],
        owner=Skin.Owner.CUSTOMER,
        customer=found["customer"],
        green_weight=skin_forms.grams(found["green_weight"], found["weight_unit"]),
        weight_unit=found["weight_unit"] or skin_forms.WEIGHTS[0],
        sex_age=found["sex_age"],
        place=found["place"],
    )
