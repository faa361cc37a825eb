"""Pages of opening balances and of money moved between accounts."""

from django import forms

from costing.sell.accounts import selectors as accounts_read, services as accounts
from costing.sell.accounts.forms import OpeningForm, TransferForm
from costing.sell.accounts.models import OpeningBalance, Transfer
from inventory.permits import Act
from inventory.templatetags import figures
from inventory.web.reversals import Reversal
from inventory.web.views import EntryView


class OpeningSet(EntryView):
    form_class = OpeningForm
    title = "Opening balance"
    lead = "What was in the account before the first entry of a day. Said again, it replaces what was said."
    trail = ("books",)
    needs = Act.BOOKS
    cancel_page = "cash_book_now"
    success_message = "The opening balance is set."

    def enter(self, form: forms.Form) -> OpeningBalance:
        return accounts.open_account(**self.sent(form))


class TransferNew(EntryView):
    form_class = TransferForm
    title = "Move money"
    lead = "Between accounts, or what you put in or take out for yourself. It is neither income nor cost."
    trail = ("books",)
    needs = Act.BOOKS
    submit = "Record transfer"
    cancel_page = "cash_book_now"
    made: Transfer

    def enter(self, form: forms.Form) -> Transfer:
        return accounts.move(**self.sent(form))

    def get_success_message(self) -> str:
        return f"{figures.money(self.made.amount)} moved is recorded."


class TransferReversal(Reversal[Transfer]):
    things = staticmethod(accounts_read.transfers)
    title = "Reverse this transfer?"
    trail = ("books",)
    cancel_page = "cash_book_now"

    def get_lead(self) -> str:
        row = self.thing
        return f"{figures.money(row.amount)} on {figures.day(row.on)}. For money that never moved."

    def enter(self, form: forms.Form) -> Transfer:
        return accounts.reverse(transfer=self.thing, **self.sent(form))
