"""Pages of a job that ends undone, and of one that goes on after all."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import forms
from django.utils.functional import cached_property

from costing.sell.jobs.cancellations import services as cancellations
from costing.sell.jobs.cancellations.forms import GiveUpForm, GoesOnForm
from costing.sell.jobs.models import Job
from costing.sell.jobs.views import OfOneJob
from costing.sell.payments import selectors as payments
from costing.sell.payments.models import Payment
from costing.sell.payments.services import Paid
from costing.sell.sales.models import Sale
from inventory.base import selectors as workshop
from inventory.templatetags import figures


class GiveUp(OfOneJob):
    form_class = GiveUpForm
    template_name = "costing/sell/jobs/cancellations/cancel.html"
    submit = "It is given up"
    danger = True

    @property
    def title(self) -> str:  # type: ignore[override]  # here it names the job
        return f"Give {self.job.number} up?"

    @cached_property
    def held(self) -> Decimal:
        return payments.deposit(self.job)

    @property
    def lead(self) -> str:  # type: ignore[override]  # here it says what is held
        job = self.job
        skin = f"{job.skin.tag} goes home to {job.customer} undone"
        if job.skin.lost_on is not None:
            skin = f"{job.skin.tag} is lost; the job ends with it"
        held = f"You hold {figures.money(self.held)} of their money" if self.held else "You hold no money of theirs"
        return f"{skin}. {held}."

    def get_form_kwargs(self) -> dict[str, Any]:
        # What was sent is read whole: the first of two sendings may have paid back all that was held.
        return {**super().get_form_kwargs(), "asks": bool(self.held) or self.request.method == "POST"}

    def get_initial(self) -> dict[str, Any]:
        first = {"on": workshop.today(), "paper": Sale.Kind.INVOICE, "how": Payment.How.CASH}
        return {**super().get_initial(), **first, "reason": self.job.skin.lost_reason}

    def enter(self, form: forms.Form) -> Job:
        found = form.cleaned_data
        return cancellations.cancel(
            job=self.job,
            on=found["on"],
            reason=found["reason"],
            kept=found["kept"] or Decimal(0),
            paper=found["paper"] or Sale.Kind.INVOICE,
            refund=Paid(found["amount"], found["how"]) if found.get("how") else None,
            by=self.request.user,
            request_key=found["request_key"],
        )

    def said(self) -> str:
        return f"{self.job.number} is given up."


class GoesOn(OfOneJob):
    """The giving up never was."""

    form_class = GoesOnForm
    template_name = "inventory/web/entry.html"
    submit = "It goes on"

    @property
    def title(self) -> str:  # type: ignore[override]  # here it names the job
        return f"{self.job.number} goes on after all?"

    lead = (
        "The skin stands where it stood, in its batch, as if it had never gone. Money that was paid back stays paid back,"
        " and a bill for what was kept is credited first."
    )

    def enter(self, form: forms.Form) -> Job:
        return cancellations.reopen(job=self.job, by=self.request.user, request_key=form.cleaned_data["request_key"])

    def said(self) -> str:
        return f"{self.job.number} goes on."
