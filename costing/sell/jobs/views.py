"""Pages of jobs: the list, taking one in one go, one as it stands, putting it right, telling that it is ready."""

from __future__ import annotations

from typing import Any

from django import forms
from django.db.models import Exists, OuterRef, QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils.functional import cached_property
from django.views.decorators.http import require_safe

from costing.make.readings import selectors as readings
from costing.sell.jobs import selectors as jobs_read
from costing.sell.jobs import selectors as jobs_selectors
from costing.sell.jobs import services as jobs
from costing.sell.jobs.forms import AgreedForm, JobFinder, ReadyForm
from costing.sell.jobs.models import Job
from costing.sell.jobs.quotes import rules as quotes
from costing.sell.jobs.quotes import selectors as quotes_read
from costing.sell.jobs.quotes.selectors import Asked
from costing.sell.jobs.tables import JobTable
from costing.sell.payments.models import Payment
from costing.sell.sales.terms import selectors as terms
from inventory.base import selectors as workshop
from inventory.models import Skin
from inventory.permits import Act, may
from inventory.web.lists import SortedListPage as ListPage
from inventory.web.views import EntryView

# What the services call a field, where the form calls it otherwise.
CALLED = {"name": "customer", "on": "taken_on", "date_in": "taken_on", "at": "taken_on"}


class JobList(ListPage):
    table_class = JobTable
    finder_class = JobFinder
    title = "Jobs"
    room = "Sales"
    lead = "Work on customers' own skins. A deposit is owed until the skin is handed over."
    links = (("Sales", "sales"), ("Customers", "customers"))
    new_name, new_label = "job_new", "Take a job"
    new_act = Act.PRICES
    empty_title = "No job yet"
    empty_text = "Take one at the door: customer, skin, what you saw on it, the work, the price, a deposit."

    def rows(self) -> QuerySet[Job]:
        return jobs_selectors.listed()

    def prepare(self, table: Any) -> None:
        table.standings = jobs_selectors.standings(table.shown(), workshop.today())


def _deposit(asked: Asked | None) -> Any:
    """What the terms would ask of the usual price."""
    if asked is None:
        return None
    return quotes.deposit(asked.quote.usual, terms.terms().deposit_percent, asked.cash, workshop.places())


def _payments(row: Job) -> QuerySet[Payment]:
    back = Payment.objects.filter(reverses=OuterRef("pk"))
    return row.payments.annotate(taken=Exists(back)).order_by("on", "pk")


@require_safe
def job(request: HttpRequest, number: str) -> HttpResponse:
    """One job: where the skin is, what it costs against the price, the money, the notice, the hand-over."""
    row = get_object_or_404(jobs_selectors.listed(), number=number)
    today = workshop.today()
    stands = jobs_selectors.standing(row, today)
    shut = stands.state in ("over", "lost", "given")
    return render(
        request,
        "costing/sell/jobs/job.html",
        {
            "title": row.number,
            "room": "Sales",
            "trail": [("Sales", reverse("sales")), ("Jobs", reverse("jobs"))],
            "job": row,
            "stands": stands,
            "shut": shut,
            "earning": jobs_selectors.earning(stands),
            "price_note": "at what was billed of it" if stands.state == "given" else "at the agreed price",
            "may_end": stands.state in ("raw", "work", "lost") and may(request.user, Act.PRICES),
            "payments": _payments(row),
            "readings": readings.of_skin(row.skin),
            "new_url": reverse("reading_new_skin", args=[row.skin.tag]),
            "notice": jobs_read.ready_words(stands, row.ready_on) if row.ready_on and not shut else "",
            "notice_caution": jobs_read.CAUTION,
            "may_price": may(request.user, Act.PRICES),
            "may_book": may(request.user, Act.BOOKS),
            "may_shed": may(request.user, Act.SHED),
        },
    )


class OfOneJob(EntryView):
    room = "Sales"

    @cached_property
    def job(self) -> Job:
        return get_object_or_404(jobs_selectors.listed(), number=self.kwargs["number"])

    def done_url(self) -> str:
        return reverse("job", args=[self.job.number])

    cancel_url = done_url

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        trail = [("Jobs", reverse("jobs")), (self.job.number, self.done_url())]
        return super().get_context_data(trail=trail, **more)


class JobEdit(OfOneJob):
    form_class = AgreedForm
    template_name = "inventory/web/entry.html"
    lead = "Customer and skin stay. What was paid stays too; it is paid back from the page of the job."

    @property
    def title(self) -> str:  # type: ignore[override]  # here it names the job
        return f"What was agreed: {self.job.number}"

    def get_initial(self) -> dict[str, Any]:
        names = ("work", "price", "deposit", "ready_by", "condition", "note")
        return {**super().get_initial(), **{name: getattr(self.job, name) for name in names}}

    def enter(self, form: forms.Form) -> Job:
        found = form.cleaned_data
        deposit = found["deposit"]
        if deposit is None:
            deposit = (
                quotes_read.deposit_for(found["price"], self.job.skin.species) if found["price"] > 0 else found["price"]
            )
        return jobs.change(
            job=self.job,
            work=found["work"],
            price=found["price"],
            deposit=deposit,
            condition=found["condition"],
            ready_by=found["ready_by"],
            note=found["note"],
            by=self.request.user,
        )

    done_message = "What was agreed is written anew."


class JobReady(OfOneJob):
    form_class = ReadyForm
    template_name = "costing/sell/jobs/ready.html"
    submit = "I have told them"

    @property
    def title(self) -> str:  # type: ignore[override]  # here it names the job
        return f"Tell that {self.job.number} is ready"

    @property
    def lead(self) -> str:  # type: ignore[override]  # here it says what was said before
        told = self.job.ready_on
        return f"Told before on {told.day} {told:%B %Y}; a new day counts from then on." if told else ""

    def get_initial(self) -> dict[str, Any]:
        return {**super().get_initial(), "on": workshop.today()}

    def enter(self, form: forms.Form) -> Job:
        return jobs.ready(job=self.job, on=form.cleaned_data["on"], by=self.request.user)

    def said(self) -> str:
        return f"{self.job.customer} is told that {self.job.number} is ready."

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        today = workshop.today()
        words = jobs_read.ready_words(jobs_selectors.standing(self.job, today), today)
        finished = self.job.skin.stage == Skin.Stage.FINISHED
        return super().get_context_data(
            job=self.job, notice=words, notice_caution=jobs_read.CAUTION, finished=finished, **more
        )
