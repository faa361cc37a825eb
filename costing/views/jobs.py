"""Pages of jobs: the list, taking one in one go, one as it stands, putting it right, telling that it is ready."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import forms
from django.db.models import Exists, OuterRef, QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils.functional import cached_property
from django.views.decorators.http import require_safe

from costing import quotes
from costing.forms.jobs import AgreedForm, JobFinder, JobForm, ReadyForm
from costing.models import Customer, Job, Payment
from costing.selectors import asking, notices, papers, readings
from costing.selectors import jobs as read
from costing.selectors.asking import Asked
from costing.services import intake, jobs
from costing.services.intake import Agreed, Brought, Who
from costing.services.selling import Paid
from costing.tables.jobs import JobTable
from costing.views.lists import ListPage
from costing.views.rows import as_typed
from inventory.errors import NotAllowed, Refused
from inventory.models import Skin
from inventory.selectors import skins, workshop
from inventory.services.permits import Act, may
from inventory.services.skins import Details
from inventory.views.entry import EntryView

RECKON = "reckon"
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
        return read.listed()

    def prepare(self, table: Any) -> None:
        table.standings = read.standings(table.shown(), workshop.today())


class JobNew(EntryView):
    form_class = JobForm
    template_name = "costing/jobs/new.html"
    title = "Take a job"
    room = "Sales"
    submit = "Take the job"
    cancel_name = "jobs"
    made: Job

    def get_initial(self) -> dict[str, Any]:
        """`?customer=` (its key) or `?skin=` (a tag) open the page with what is known."""
        asked = self.request.GET
        initial: dict[str, Any] = {
            "number": read.next_number(),
            "tag": skins.next_tag(),
            "species": asked.get("species"),
        }
        pk = asked.get("customer", "")
        known = Customer.objects.filter(pk=pk).first() if pk.isascii() and pk.isdigit() and len(pk) < 10 else None
        row = read.waiting_skins().filter(tag=asked.get("skin", "")).first() if asked.get("skin") else None
        if row:
            initial |= {"skin": row.tag, "customer": row.customer, "tag": ""}
        if known:
            initial |= {"customer": known.name}
        return {**super().get_initial(), **initial}

    def post(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        """Asked only for a price, the page comes back as it was typed; nothing is judged and nothing written."""
        if RECKON not in request.POST:
            return super().post(request, *args, **kwargs)
        shown = JobForm(initial={**self.get_initial(), **as_typed(JobForm(), request)})
        return self.render_to_response(self.get_context_data(form=shown))

    def enter(self, form: JobForm) -> Job:
        found = form.cleaned_data
        species = found["skin"].species if found["skin"] else found["species"]
        try:
            deposit = found["deposit"]
            if deposit is None:
                deposit = asking.deposit_for(found["price"], species) if found["price"] > 0 else found["price"]
            return intake.take(
                number=found["number"],
                who=Who(found["customer"], found["postal_address"], found["electronic_address"]),
                skin=found["skin"] or _brought(form),
                agreed=Agreed(
                    work=found["work"],
                    price=found["price"],
                    deposit=deposit,
                    condition=found["condition"],
                    photo=found["photo"],
                    ready_by=found["ready_by"],
                    note=found["note"],
                ),
                on=found["taken_on"],
                received=Paid(found["amount"], found["how"] or "cash") if found["amount"] else None,
                by=self.request.user,
                request_key=found["request_key"],
            )
        except NotAllowed:
            raise
        except Refused as refusal:
            raise Refused(str(refusal), field=CALLED.get(refusal.field or "", refusal.field)) from None

    def done_url(self) -> str:
        return reverse("job", args=[self.made.number])

    def said(self) -> str:
        return f"{self.made.number} is taken for {self.made.customer}."

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        context = super().get_context_data(**more)
        species = self._species(context["form"])
        asked = asking.quote(species) if species else None
        share = Decimal(papers.terms().deposit_percent)
        return {
            **context,
            "trail": [("Sales", reverse("sales")), ("Jobs", reverse("jobs"))],
            "species": species,
            "asked": asked,
            "share": share,
            "deposit": _deposit(asked),
        }

    def _species(self, form: forms.Form) -> str:
        """Of the skin that is chosen, else as it is typed."""
        tag = str(form["skin"].value() or "")
        row = Skin.objects.filter(tag=tag).first() if tag and "\x00" not in tag else None
        typed = str(form["species"].value() or "").strip()
        return row.species if row else "" if "\x00" in typed else typed


def _brought(form: JobForm) -> Brought:
    found = form.cleaned_data
    details = Details(
        species=found["species"],
        date_in=found["taken_on"],
        owner=Skin.Owner.CUSTOMER,
        customer=found["customer"],
        green_weight=form.grams(),
        sex_age=found["sex_age"],
        place=found["place"],
    )
    return Brought(found["tag"], details)


def _deposit(asked: Asked | None) -> Any:
    """What the terms would ask of the usual price."""
    if asked is None:
        return None
    return quotes.deposit(asked.quote.usual, papers.terms().deposit_percent, asked.cash, workshop.places())


def _payments(row: Job) -> QuerySet[Payment]:
    back = Payment.objects.filter(reverses=OuterRef("pk"))
    return row.payments.annotate(taken=Exists(back)).order_by("on", "pk")


@require_safe
def job(request: HttpRequest, number: str) -> HttpResponse:
    """One job: where the skin is, what it costs against the price, the money, the notice, the hand-over."""
    row = get_object_or_404(read.listed(), number=number)
    today = workshop.today()
    stands = read.standing(row, today)
    shut = stands.state in ("over", "lost", "given")
    return render(
        request,
        "costing/jobs/job.html",
        {
            "title": row.number,
            "room": "Sales",
            "trail": [("Sales", reverse("sales")), ("Jobs", reverse("jobs"))],
            "job": row,
            "stands": stands,
            "shut": shut,
            "earning": read.earning(stands),
            "price_note": "at what was billed of it" if stands.state == "given" else "at the agreed price",
            "may_end": stands.state in ("raw", "work", "lost") and may(request.user, Act.PRICES),
            "payments": _payments(row),
            "readings": readings.of_skin(row.skin),
            "new_url": reverse("reading_new_skin", args=[row.skin.tag]),
            "notice": notices.ready_words(stands, row.ready_on) if row.ready_on and not shut else "",
            "notice_caution": notices.CAUTION,
            "may_price": may(request.user, Act.PRICES),
            "may_book": may(request.user, Act.BOOKS),
            "may_shed": may(request.user, Act.SHED),
        },
    )


class OfOneJob(EntryView):
    room = "Sales"

    @cached_property
    def job(self) -> Job:
        return get_object_or_404(read.listed(), number=self.kwargs["number"])

    def done_url(self) -> str:
        return reverse("job", args=[self.job.number])

    cancel_url = done_url

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        trail = [("Jobs", reverse("jobs")), (self.job.number, self.done_url())]
        return super().get_context_data(trail=trail, **more)


class JobEdit(OfOneJob):
    form_class = AgreedForm
    template_name = "inventory/entry.html"
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
                asking.deposit_for(found["price"], self.job.skin.species) if found["price"] > 0 else found["price"]
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
    template_name = "costing/jobs/ready.html"
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
        words = notices.ready_words(read.standing(self.job, today), today)
        finished = self.job.skin.stage == Skin.Stage.FINISHED
        return super().get_context_data(
            job=self.job, notice=words, notice_caution=notices.CAUTION, finished=finished, **more
        )
