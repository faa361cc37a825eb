"""The form of the paper around the lines of a sale, and what the list of sales can be narrowed by."""

from typing import Any

from django import forms
from django.db.models import F, Q, QuerySet

from costing.sell.customers import selectors as customers
from costing.sell.customers.models import Customer
from costing.sell.expenses.services import Cost
from costing.sell.fairs.models import Fair
from costing.sell.pricing.channels.models import Channel
from costing.sell.sales import selectors as sales
from costing.sell.sales.models import Sale, SaleLine
from costing.sell.sales.offers.forms import HOW, ChannelField, UntaxedField
from inventory import formats
from inventory.models import Material
from inventory.web.fields import Judged, MoneyBox, RecentField
from inventory.web.filters import Finder, one_of, recent_of, record_of, search, year_of
from inventory.web.forms import DayField, EntryForm, FigureField, NoteField

NOW, BEFORE = "now", "before"
BUYERS = (F("bought").desc(nulls_last=True), "name")  # who bought last comes first

# The parts of the page, some of them folded, and the fields that are filled in without anybody saying so.
PARTS = {
    "selling": ("how", "channel", "keeps"),
    "more": ("fee", "withheld", "amount"),
    "parcel": ("postage", "postage_relief", "posted", "box", "boxes"),
    "paper": ("kind", "customer", "on", "fair"),
    "rest": ("other", "other_price", "other_relief", "note", "tip", "tip_taxed"),
}
FILLED = ("boxes", *PARTS["paper"])


class BoxField(Judged, forms.ChoiceField):
    """A material on the shelf (`now:BOX`) or a posting that took one (`before:12`)."""


class SaleForm(EntryForm):
    """The paper around the lines."""

    channel = ChannelField()
    how = forms.ChoiceField(choices=HOW, required=False, label="Paid")
    on = DayField(label="Day")
    fair = RecentField(Fair.objects.all(), required=False, empty_label="No fair", last=("-on", "-pk"))
    kind = forms.ChoiceField(
        choices=[(Sale.Kind.SALE, "Receipt over the counter"), (Sale.Kind.INVOICE, "Invoice")],
        initial=Sale.Kind.SALE,
        label="Paper",
    )
    customer = RecentField(
        customers.buyers(),
        required=False,
        empty_label="Nobody by name",
        last=BUYERS,
        help_text="An invoice needs one. Who is not listed is sold to from their own page, under Customers.",
    )
    amount = MoneyBox(required=False, label="How much was paid", help_text="Empty: all of it.")
    keeps = forms.BooleanField(
        required=False, label="Record its fee as a cost", help_text="Whole: the percent and the fixed part."
    )
    fee = MoneyBox(required=False, label="Or this much")
    withheld = forms.BooleanField(
        required=False,
        label="Fee deducted before payout",
        help_text="As a gallery does. Else it is paid apart, as to a card reader.",
    )
    postage = MoneyBox(required=False, label="Postage charged", help_text="A line of the paper.")
    postage_relief = UntaxedField("Postage without tax, because")
    posted = MoneyBox(required=False, label="Postage paid", help_text="What the post took.")
    box = BoxField(required=False, label="Box", help_text="It leaves the shelf with the sale.")
    boxes = FigureField(required=False, label="Quantity", initial=1)
    other = NoteField("Something else sold")
    other_price = MoneyBox(required=False, label="Its price")
    other_relief = UntaxedField("It is without tax, because")
    tip = MoneyBox(required=False, help_text="In no price, and not taxed.")
    tip_taxed = forms.BooleanField(required=False, label="Tax is due on the tip")
    note = NoteField(help_text="For yourself; not on the paper.")

    def __init__(self, *args: Any, taxed: bool = False, **options: Any) -> None:
        super().__init__(*args, **options)
        pieces = Material.objects.filter(base="piece", on_hand__gt=0)
        shelf = [(f"{NOW}:{row.code}", row.name) for row in pieces]
        loose = [(f"{BEFORE}:{row.pk}", f"{words} taken {formats.day(row.on)}") for row, words in sales.loose_boxes()]
        groups = [(label, rows) for label, rows in (("From the shelf now", shelf), ("Taken before", loose)) if rows]
        self.fields["box"].choices = [("", "No box of mine"), *groups]  # type: ignore[attr-defined]
        self.fields["fair"].label_from_instance = lambda fair: formats.dated(str(fair))  # type: ignore[attr-defined]
        if not Fair.objects.exists():
            del self.fields["fair"]
        if not taxed:
            del self.fields["postage_relief"], self.fields["other_relief"], self.fields["tip_taxed"]

    def clean(self) -> dict[str, Any]:
        found = super().clean() or self.cleaned_data
        if found.get("fee") is not None or not found.get("channel"):
            found["keeps"] = False
        if found.get("amount") is not None and not found.get("how"):
            self.add_error("how", "Say how it was paid, or clear how much.")
        if found.get("other") and found.get("other_price") is None:
            self.add_error("other_price", "Say what it was sold for, or clear its name.")
        if found.get("other_price") is not None and not found.get("other"):
            self.add_error("other", "Say what was sold, or clear its price.")
        if found.get("box", "").startswith(NOW) and (found.get("boxes") or 0) <= 0:
            self.add_error("boxes", "At least one, or choose no box.")
        return found

    @property
    def parts(self) -> dict[str, list[forms.BoundField]]:
        return {part: [self[name] for name in names if name in self.fields] for part, names in PARTS.items()}

    @property
    def unfolded(self) -> set[str]:
        """The parts to be shown unfolded: something stands in them, or is wrong. A receipt of today needs no word on its paper."""
        found = {
            part
            for part, fields in self.parts.items()
            if any(field.errors or (field.name not in FILLED and field.value()) for field in fields)
        }
        return found | {"paper"} if self["kind"].value() == Sale.Kind.INVOICE else found

    def spent(self) -> list[Cost]:
        """The fee as it was typed or as the channel keeps it, and what the post took."""
        found = self.cleaned_data
        fee = [Cost("fee", found["fee"] or None, withheld=found["withheld"])] if found["keeps"] or found["fee"] else []
        return [*fee, Cost("postage", found["posted"])] if found["posted"] else fee


class SaleFinder(Finder):
    looks_in = ("number", "customer__name", "fair__name", "note")
    words = search("Number, buyer, fair or what was sold")
    kind = one_of(Sale.Kind.choices, "Paper", empty_label="Any paper")
    channel = record_of(Channel, "Through")
    fair = recent_of(Fair, None, "-on", "-pk")
    customer = recent_of(Customer, None, *BUYERS, queryset=customers.buyers(), empty_label="Anybody")
    year = year_of(Sale)

    def by_words(self, rows: QuerySet[Any], name: str, value: str) -> QuerySet[Any]:
        # Lines by a subquery: a join would show a paper of two lines twice.
        naming = SaleLine.objects.all()
        for word in value.split():
            naming = naming.filter(Q(words__icontains=word) | Q(skin__tag__iexact=word) | Q(job__number__iexact=word))
        return super().by_words(rows, name, value) | rows.filter(pk__in=naming.values("sale"))
