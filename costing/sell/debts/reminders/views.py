"""Pages that remind of an overdue sale and take a reminder back."""

from typing import Any

from django import forms
from django.db.models import Model, QuerySet

from costing.sell.debts.reminders import selectors as reminders_read, services as reminders
from costing.sell.debts.reminders.forms import ReminderForm
from costing.sell.debts.reminders.models import Reminder
from costing.sell.payments import selectors as payments
from costing.sell.sales.models import Sale
from inventory.base import selectors as workshop
from inventory.permits import Act
from inventory.templatetags import figures
from inventory.web.reversals import Reversal
from inventory.web.views import About


class SaleRemind(About[Sale]):
    things = staticmethod(payments.settled)
    form_class = ReminderForm
    template_name = "costing/sell/debts/remind.html"
    title = "Remind of {self.thing}"
    submit = "Record letter"
    needs = Act.BOOKS
    success_message = "The {self.made} is recorded. Print it from here."

    def get_lead(self) -> str:
        draft = reminders_read.draft(self.thing, workshop.today())
        owed = figures.money(draft.balance.left)
        if not draft.balance.days_late:
            return f"The balance due is {owed}, and nothing of it is overdue."
        days = f"{draft.balance.days_late} day{'' if draft.balance.days_late == 1 else 's'}"
        interest = f" The letter asks {figures.money(draft.interest)} interest besides." if draft.interest else ""
        return f"{owed} is overdue by {days}.{interest}"

    def get_initial(self) -> dict[str, Any]:
        return {"tone": reminders_read.next_tone(self.thing).value}

    def enter(self, form: forms.Form) -> Reminder:
        return reminders.remind(sale=self.thing, **self.sent(form))

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        return super().get_context_data(sent=list(reminders_read.standing(self.thing)), **more)


class ReminderReversal(Reversal[Reminder]):
    asks = ()
    title = "Reverse this reminder?"
    lead = "For a letter that was not sent after all. The next tone is proposed without it."
    needs = Act.BOOKS
    success_message = "The reminder is reversed."

    def things(self) -> QuerySet[Reminder]:
        return Reminder.objects.select_related("sale")

    def whose(self) -> Model:
        return self.thing.sale

    def enter(self, form: forms.Form) -> Reminder:
        return reminders.reverse(reminder=self.thing, **self.sent(form))
