"""Pages of a job that is cancelled, and of one that is reopened."""

from collections.abc import Iterable
from decimal import Decimal
from typing import Any

from django import forms
from django.utils.functional import cached_property

from costing.sell.jobs.cancellations import services as cancellations
from costing.sell.jobs.cancellations.forms import CancelForm
from costing.sell.jobs.models import Job
from costing.sell.jobs.views import OfJob
from costing.sell.payments import selectors as payments
from costing.sell.payments.models import Payment
from costing.sell.payments.services import Paid
from costing.sell.sales.models import Sale
from costing.sell.sales.numbering import selectors as numbering
from costing.sell.sales.terms import selectors as terms
from inventory.templatetags import figures
from inventory.web.questions import Odd
from inventory.web.reversals import Reversal


class JobCancel(OfJob):
    form_class = CancelForm
    template_name = "costing/sell/jobs/cancellations/cancel.html"
    title = "Cancel job {self.thing.number}?"
    submit = "Cancel job"
    danger = True
    success_message = "{self.thing.number} is cancelled."

    @cached_property
    def held(self) -> Decimal:
        return payments.deposit(self.thing)

    def get_lead(self) -> str:
        job = self.thing
        skin = f"{job.skin.tag} goes home to {job.customer} undone"
        if job.skin.lost_on is not None:
            skin = f"{job.skin.tag} is lost; the job ends with it"
        held = f"You hold {figures.money(self.held)} of their money" if self.held else "You hold no money of theirs"
        return f"{skin}. {held}."

    def form_options(self) -> dict[str, Any]:
        # What was sent is read whole: the first of two sendings may have paid back all that was held.
        asks = bool(self.held) or self.request.method == "POST"
        return {"asks": asks, "taxed": terms.terms().taxed, "exempt": self.thing.customer.relief}

    def get_initial(self) -> dict[str, Any]:
        return {"paper": Sale.Kind.INVOICE, "how": Payment.How.CASH, "reason": self.thing.skin.lost_reason}

    def odd(self, form: forms.Form) -> Iterable[Odd]:
        found = form.cleaned_data
        if found["kept"]:
            yield form["on"], numbering.odd_day(found["paper"] or Sale.Kind.INVOICE, found["on"])

    def enter(self, form: forms.Form) -> Job:
        found = self.sent(form)
        how, amount = found.pop("how", ""), found.pop("amount", None)
        found |= {"kept": found["kept"] or Decimal(0), "paper": found["paper"] or Sale.Kind.INVOICE}
        return cancellations.cancel(job=self.thing, refund=Paid(amount, how) if how else None, **found)


class JobReopen(Reversal[Job], OfJob):
    """The cancelling never was."""

    asks = ()
    title = "Reopen job {self.thing.number}?"
    submit = "Reopen job"
    danger = False
    lead = (
        "The skin is where it was, in its batch, as if it had never gone. Money that was paid back stays paid back,"
        " and a bill for what was kept is credited first."
    )
    success_message = "{self.thing.number} is open again."

    def enter(self, form: forms.Form) -> Job:
        return cancellations.reopen(job=self.thing, **self.sent(form))
