"""Forms of setup: the workshop itself, closing the books, people."""

from django import forms

from costing.sell.sales.terms.models import LAWS
from inventory import money
from inventory.base import checks, locales
from inventory.base.languages import NAMES
from inventory.base.models import BathUnit, Degrees, Measures, Sheet
from inventory.models import CostFlow
from inventory.permits import ROLES
from inventory.web.fields import Suggest, halved
from inventory.web.forms import DayField, EntryForm, GroupedForm, NoteField


class WorkshopForm(EntryForm):
    more = ("stand_in", "on")
    name = forms.CharField(label="Name of the workshop", max_length=80)
    maker = NoteField("Maker", longest=80, help_text="Printed on labels.")
    postal_address = NoteField("Postal address", help_text="On one line. Labels must carry it.")
    electronic_address = NoteField(
        "Electronic address", longest=120, help_text="E-mail or web address. Labels must carry it."
    )
    stand_in = NoteField(
        "Whom to call when you are ill",
        longest=120,
        help_text="Name and telephone of somebody who knows the tubs. Printed on the stand-in sheet.",
    )
    currency = forms.ChoiceField(
        choices=lambda: [(code, code) for code in money.currencies()], help_text="Fixed by the first entry of money."
    )
    cost_flow = forms.ChoiceField(
        label="Stock valuation method",
        choices=CostFlow.choices,
        help_text="Weighted average mixes prices; first in, first out takes the oldest lot's. Another one holds from today on; "
        "past costs stay. Keep one for whole years.",
    )
    on = DayField(
        label="Fixed date (demonstration only)", required=False, initial=None, help_text="Empty: the real day."
    )


class WhereForm(GroupedForm):
    legends = {
        "Figures and days": ("locale", "country"),
        "Measures and paper": ("units", "paper", "paper_language", "bath_unit", "degrees"),
        "Time and tax": ("time_zone", "tax_name", "law"),
    }
    locale = NoteField(
        "Language and country",
        longest=16,
        widget=Suggest(lambda: [name for name, _ in locales.locales()]),
        help_text="Such as en-US or de-DE: marks of figures and the order of a date; the words stay English. Empty: not chosen.",
    )
    country = NoteField(
        longest=2,
        widget=Suggest(lambda: [code for code, _ in locales.countries()]),
        help_text="Where you work, in two letters such as FI or US. An e-invoice must say it.",
    )
    units = halved(forms.ChoiceField(label="Units", choices=Measures.choices))
    paper = halved(forms.ChoiceField(label="Paper", choices=Sheet.choices))
    paper_language = forms.ChoiceField(
        label="Language of papers",
        choices=list(NAMES.items()),
        help_text="Of a customer who has no other. What papers say is under Setup, Words on papers.",
    )
    bath_unit = halved(forms.ChoiceField(label="Baths in", choices=BathUnit.choices))
    degrees = halved(forms.ChoiceField(label="Temperatures in", choices=Degrees.choices))
    time_zone = NoteField(
        "Time zone",
        longest=64,
        widget=Suggest(lambda: sorted(checks.zones())),
        help_text="Where the workshop stands, such as Europe/Helsinki. It decides when a day begins. Empty: the server's own.",
    )
    tax_name = NoteField("What the tax is called", longest=20, help_text="VAT, sales tax, GST. Empty: tax.")
    law = forms.ChoiceField(
        choices=LAWS,
        label="Whose list of invoice fields",
        help_text="What an invoice must say. Ask your tax office when you are under none of them.",
    )


class CloseForm(EntryForm):
    to = DayField(
        label="Closed to and with",
        required=False,
        initial=None,
        help_text="Nothing can be written on or before this day. Empty opens the books.",
    )
    reason = NoteField(
        "Reason", help_text="Needed where closed days are opened again. It is kept with the day and your name."
    )


class PersonForm(EntryForm):
    name = forms.CharField(label="Sign-in name", max_length=30)
    role = forms.ChoiceField(
        choices=[(role, role.capitalize()) for role in ROLES],
        help_text="Owner: everything. Helper: shed and goods. Bookkeeper: goods, counts and closing.",
    )


class OwnNameForm(EntryForm):
    name = forms.CharField(
        label="Sign-in name",
        max_length=30,
        help_text="Letters a to z, figures, . _ / and -. Your entries show it; what you wrote before shows the new one too.",
        widget=forms.TextInput(attrs={"autocomplete": "username"}),
    )


class OwnPasswordForm(EntryForm):
    old = forms.CharField(
        label="Your password now",
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "current-password"}),
        help_text="Forgotten? Sign in by a link from another owner, or by the one that manage.py open prints: for an hour after "
        "that it is not asked.",
    )
    password = forms.CharField(
        label="New password",
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
        help_text="At least ten characters. Several plain words are easier to remember than one odd one.",
    )


class CalendarForm(EntryForm):
    name = forms.CharField(
        label="Where it will be read", max_length=40, help_text="The phone in the shed, the kitchen tablet."
    )
