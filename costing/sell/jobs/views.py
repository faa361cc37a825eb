"""Pages of jobs: the list, one as it is, what was agreed, telling that it is ready."""

from collections.abc import Iterable
from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.views.decorators.http import require_safe

from costing.make.readings import selectors as readings
from costing.sell.jobs import selectors as jobs_read, services as jobs
from costing.sell.jobs.forms import AgreedForm, JobFinder, ReadyForm
from costing.sell.jobs.models import Job
from costing.sell.jobs.quotes import selectors as quotes
from costing.sell.jobs.tables import JobTable
from costing.sell.payments import selectors as payments
from costing.sell.pricing.rules import Meaning
from inventory import formats
from inventory.base import selectors as workshop
from inventory.models import Skin
from inventory.permits import Act, may
from inventory.templatetags import figures
from inventory.web.lists import ListPage
from inventory.web.questions import Odd
from inventory.web.trail import above, page
from inventory.web.views import About


class JobList(ListPage):
    table_class = JobTable
    finder_class = JobFinder
    rows = staticmethod(jobs_read.listed)
    title = "Jobs"
    trail = ("sales",)
    lead = "Work on customers' own skins. A deposit is owed until the skin is handed over."
    links = ("customers",)
    action = ("Take a job", "job_new")
    needs = Act.PRICES
    empty_title = "No job yet"
    empty_text = "Take one at the door: customer, skin, what you saw on it, the work, the price, a deposit."

    def prepare(self, table: Any) -> None:
        table.standings = jobs_read.standings(table.shown(), workshop.today())


@require_safe
def job(request: HttpRequest, number: str) -> HttpResponse:
    """One job: where the skin is, what it costs against the price, the money, the notice, the hand-over."""
    row = get_object_or_404(jobs_read.listed(), number=number)
    stands = jobs_read.standing(row, workshop.today())
    shut = stands.state in jobs_read.ENDED
    return page(
        request,
        "costing/sell/jobs/job.html",
        row.number,
        above(row),
        job=row,
        stands=stands,
        shut=shut,
        earning=jobs_read.earning(stands),
        agreed_note=_taxed(stands.sums),
        price_note="at what was billed of it" if stands.state == "given" else "at the agreed price",
        may_end=stands.state in ("raw", "work", "lost") and may(request.user, Act.PRICES),
        payments=payments.of_job(row),
        readings=readings.listed(skin=row.skin),
        new_url=reverse("reading_new_skin", args=[row.skin.tag]),
        notice=jobs_read.ready_words(stands, row.ready_on) if row.ready_on and not shut else "",
        notice_caution=jobs_read.CAUTION,
        may_price=may(request.user, Act.PRICES),
        may_book=may(request.user, Act.BOOKS),
        may_shed=may(request.user, Act.SHED),
    )


def _taxed(sums: Meaning) -> str:
    """What the customer pays and the maker keeps, where that is not the price as agreed."""
    pays = f"{figures.money(sums.pays)} with tax" if sums.pays != sums.typed else ""
    return pays or (f"{figures.money(sums.net)} yours, {figures.money(sums.tax)} tax" if sums.tax else "")


class OfJob(About[Job]):
    things = staticmethod(jobs_read.listed)


class JobEdit(OfJob):
    form_class = AgreedForm
    title = "What was agreed: {self.thing.number}"
    lead = "Customer and skin stay. What was paid stays too; it is paid back from the page of the job."
    prefilled = ("work", "price", "deposit", "ready_by", "condition", "note")
    success_message = "What was agreed is changed."

    def odd(self, form: forms.Form) -> Iterable[Odd]:
        if "price" in form.changed_data:
            species, price = self.thing.skin.species, form.cleaned_data["price"]
            yield form["price"], jobs_read.odd_price(species, price, self.thing)

    def get_form(self, form_class: Any = None) -> Any:
        form = super().get_form(form_class)
        form.fields["price"].relief = self.thing.customer.relief  # type: ignore[attr-defined]
        return form

    def enter(self, form: forms.Form) -> Job:
        found = self.given(form)
        found["deposit"] = quotes.deposit_of(found["deposit"], found["price"], self.thing.skin.species)
        return jobs.change(job=self.thing, **found)


class JobReady(OfJob):
    form_class = ReadyForm
    template_name = "costing/sell/jobs/ready.html"
    title = "Tell that {self.thing.number} is ready"
    submit = "I have told them"
    success_message = "{self.thing.customer} is told that {self.thing.number} is ready."

    def get_lead(self) -> str:
        before = self.thing.ready_on
        return f"Told before on {formats.day(before, full=True)}; a new day counts from then on." if before else ""

    def enter(self, form: forms.Form) -> Job:
        return jobs.ready(job=self.thing, **self.given(form))

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        today = workshop.today()
        notice = jobs_read.ready_words(jobs_read.standing(self.thing, today), today)
        finished = self.thing.skin.stage == Skin.Stage.FINISHED
        return super().get_context_data(
            job=self.thing, notice=notice, notice_caution=jobs_read.CAUTION, finished=finished, **more
        )
