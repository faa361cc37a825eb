"""Forms of selling: what to sell, a line a thing, the paper around the lines, a credit, and the list's finder."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import Decimal
from typing import Any

import django_filters
from django import forms
from django.db.models import Q, QuerySet

from costing.models import Channel, Customer, Fair, Payment, Sale, SaleLine
from costing.quotes import Storage
from costing.selectors import offers, sales
from costing.selectors.offers import Thing
from inventory.errors import Refused
from inventory.forms.entry import DayField, EntryForm, FigureField
from inventory.forms.filters import Finder, words
from inventory.forms.measures import MoneyBox
from inventory.models import Article, Material
from inventory.services.materials import coins
from inventory.templatetags import figures

HIDDEN = forms.HiddenInput(attrs={"autocomplete": "off"})
NOT_YET = ""
HOW = [(NOT_YET, "Not yet"), *Payment.How.choices]
NOW, BEFORE = "now", "before"
MOST = Decimal(10) ** 9


def channel_words(row: Channel) -> str:
    """The channel with what it keeps: "Online, keeps 6.5 %"."""
    return f"{row.name}, keeps {row.fee_percent.normalize():f} %" if row.fee_percent else row.name


class ChannelField(forms.ModelChoiceField):  # type: ignore[type-arg]  # takes it in the stubs only
    def __init__(self, **options: Any) -> None:
        options = {"label": "Sold through", "required": False, "empty_label": "Nobody between", **options}
        super().__init__(Channel.objects.order_by("-usual", "name"), **options)

    def label_from_instance(self, obj: Any) -> str:
        return channel_words(obj)


class PickField(forms.MultipleChoiceField):
    """Things to tick, by their keys. What may be sold is the service's to judge."""

    def __init__(self, choices: Sequence[tuple[str, str]] = (), **options: Any) -> None:
        super().__init__(choices=[*choices], required=False, widget=forms.CheckboxSelectMultiple, **options)

    def valid_value(self, value: str) -> bool:
        return "\x00" not in value


class PickForm(forms.Form):
    """Which things; asked by address, so that the next page can be reached again."""

    find = forms.CharField(
        max_length=20,
        required=False,
        label="Number or tag",
        help_text="As it stands on the ticket or the tag; a reader of barcodes types it here.",
        widget=forms.TextInput(attrs={"autocomplete": "off", "autocapitalize": "characters"}),
    )

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        offered = {
            "piece": ("Pieces here", [(row.number, piece_words(row)) for row in offers.here()]),
            "job": (
                "Work that is done",
                [(row.number, f"{row.number} {row.customer}: {row.work}") for row in offers.jobs()],
            ),
            "skin": ("Spoiled skins", [(row.tag, f"{row.tag} {row.species}") for row in offers.spoiled()]),
        }
        for name, (label, choices) in offered.items():
            if choices:
                self.fields[name] = PickField(choices, label=label)


def piece_words(row: Article) -> str:
    price = "" if row.list_price is None else f", {figures.money(row.list_price)}"
    at = f", at {row.place}" if row.place else ""
    return f"{row.number} {row.kind}{price}{at}"


class LineForm(forms.Form):
    """One thing with its price: asked, and either what came off it or what was taken in the end."""

    thing = forms.CharField(widget=HIDDEN, max_length=60)
    asked = MoneyBox(label="Asked")
    taken = MoneyBox(label="Taken", required=False)
    discount = MoneyBox(label="Or off", required=False)
    out = forms.BooleanField(required=False, label="Leave it out")
    tax_percent = FigureField(label="Tax", unit="%", required=False)
    relief = forms.CharField(max_length=120, required=False, label="Why 0 %")
    store = forms.BooleanField(required=False, label="Charge the storage")
    storage = MoneyBox(required=False, label="Storage")

    def __init__(self, *args: Any, about: Thing, taxed: bool, only: bool, **options: Any) -> None:
        self.about = about
        super().__init__(*args, **options)
        if not taxed:
            del self.fields["tax_percent"], self.fields["relief"]
        if only:
            del self.fields["out"]
        if about.storage is None:
            del self.fields["store"], self.fields["storage"]
        else:
            self.fields["store"].help_text = storage_words(about.storage)
            self.fields["storage"].initial = about.storage.charge
        if about.job is not None:
            self.fields["asked"].label = "Kept" if about.job.given_up_on else "Agreed"

    @property
    def left_out(self) -> bool:
        return bool(self.cleaned_data.get("out"))

    def clean(self) -> dict[str, Any]:
        found = super().clean() or self.cleaned_data
        for name in ("asked", "taken", "discount", "storage"):
            if (value := found.get(name)) is not None:
                self._judge(name, value)
        if found.get("store") and not found.get("storage") and "storage" not in self.errors:
            self.add_error("storage", "Say what the storage comes to, or take the tick out.")
        asked, taken, off = (found.get(name) for name in ("asked", "taken", "discount"))
        if self.errors or asked is None:
            return found
        if taken is not None and off is not None and asked - off != taken:
            self.add_error("discount", f"{asked} less {off} is not {taken}. Clear one of the two.")
        elif taken is not None and taken > asked:
            self.add_error("taken", f"{taken} is more than was asked. Set what was asked to it.")
        elif off is not None and off > asked:
            self.add_error("discount", f"{off} off {asked} leaves nothing. Take off less.")
        return found

    def _judge(self, name: str, value: Decimal) -> None:
        try:
            coins(value, "The price", field=name)
        except Refused as refusal:
            self.add_error(name, str(refusal))

    def stored(self) -> Decimal | None:
        """What is charged for waiting; None where that was not ticked."""
        found = self.cleaned_data
        return found.get("storage") if found.get("store") and not self.left_out else None

    def off(self) -> Decimal:
        """Money off the asked price."""
        found = self.cleaned_data
        if found["taken"] is not None:
            return Decimal(found["asked"] - found["taken"])
        return Decimal(found["discount"] or 0)


def storage_words(found: Storage) -> str:
    """How a charge was reckoned, for whoever decides whether to ask it."""
    days = f"{found.charged_days} day{'' if found.charged_days == 1 else 's'}"
    until = f"{found.free_until.day} {found.free_until:%b %Y}"
    return f"{days} after {until}, by your terms, come to {figures.money(found.charge)}. A line of its own on the bill."


def taken_of(values: Mapping[str, Any], initial: Decimal | None = None) -> Decimal | None:
    """The price in a line's boxes as they stand, for the haggling line; None where they cannot be read."""

    def read(name: str) -> Decimal | None:
        try:
            found = MoneyBox(required=False).to_python(values.get(name))
        except forms.ValidationError:
            return None
        return found if found is not None and found.is_finite() and abs(found) < MOST else None

    asked, taken, off = read("asked"), read("taken"), read("discount")
    if taken is not None:
        return taken if taken > 0 else None
    asked = initial if asked is None and "asked" not in values else asked
    left = None if asked is None else asked - (off or 0)
    return left if left is not None and left > 0 else None


class SaleForm(EntryForm):
    """The paper around the lines."""

    channel = ChannelField()
    how = forms.ChoiceField(choices=HOW, required=False, label="Paid")
    on = DayField(label="Day")
    fair = forms.ModelChoiceField(Fair.objects.all(), required=False, empty_label="No fair")
    kind = forms.ChoiceField(
        choices=[(Sale.Kind.SALE, "Receipt over the counter"), (Sale.Kind.INVOICE, "Invoice")],
        initial=Sale.Kind.SALE,
        label="Paper",
    )
    customer = forms.ModelChoiceField(
        Customer.objects.all(), required=False, empty_label="Nobody by name", help_text="An invoice needs one."
    )
    amount = MoneyBox(required=False, label="How much was paid", help_text="Empty: all of it.")
    keeps = forms.BooleanField(
        required=False, label="Write what it keeps as a cost", help_text="The percent of what it is sold through."
    )
    fee = MoneyBox(required=False, label="Or this much")
    withheld = forms.BooleanField(
        required=False,
        label="It keeps that back and pays me the rest",
        help_text="As a gallery does. Else it is paid apart, as to a card reader.",
    )
    postage = MoneyBox(required=False, label="Postage charged", help_text="A line of the paper.")
    posted = MoneyBox(required=False, label="Postage paid", help_text="What the post took.")
    box = forms.ChoiceField(required=False, label="Box", help_text="It leaves the shelf with the sale.")
    boxes = FigureField(required=False, label="How many", initial=1)
    other = forms.CharField(max_length=200, required=False, label="Something else sold")
    other_price = MoneyBox(required=False, label="Its price")
    note = forms.CharField(max_length=200, required=False, help_text="For yourself; not on the paper.")

    SELLING = ("how", "channel", "keeps")
    MORE = ("fee", "withheld", "amount")
    PARCEL = ("postage", "posted", "box", "boxes")
    PAPER = ("kind", "customer", "on", "fair")
    REST = ("other", "other_price", "note")

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        pieces = Material.objects.filter(base="piece", on_hand__gt=0)
        shelf = [(f"{NOW}:{row.code}", row.name) for row in pieces]
        loose = [(f"{BEFORE}:{row.pk}", f"{words} taken {row.on}") for row, words in sales.loose_boxes()]
        groups = [(label, rows) for label, rows in (("From the shelf now", shelf), ("Taken before", loose)) if rows]
        self.fields["box"] = BoxField(groups, help_text="It leaves the shelf with the sale.")
        if not Fair.objects.exists():
            del self.fields["fair"]

    def clean(self) -> dict[str, Any]:
        found = super().clean() or self.cleaned_data
        if found.get("fee") is not None and found.get("keeps"):
            found["keeps"] = False
        if found.get("keeps") and not found.get("channel"):
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
    def selling(self) -> list[forms.BoundField]:
        return self._bound(self.SELLING)

    @property
    def more(self) -> list[forms.BoundField]:
        return self._bound(self.MORE)

    @property
    def parcel(self) -> list[forms.BoundField]:
        return self._bound(self.PARCEL)

    @property
    def paper(self) -> list[forms.BoundField]:
        return self._bound(self.PAPER)

    @property
    def rest(self) -> list[forms.BoundField]:
        return self._bound(self.REST)

    @property
    def more_open(self) -> bool:
        return any(field.errors or field.value() for field in self.more)

    @property
    def parcel_open(self) -> bool:
        return any(field.errors or (field.name != "boxes" and field.value()) for field in self.parcel)

    @property
    def paper_open(self) -> bool:
        """An invoice shows to whom; a receipt of today needs nothing."""
        return self["kind"].value() == Sale.Kind.INVOICE or any(field.errors for field in self.paper)

    @property
    def rest_open(self) -> bool:
        return any(field.errors or field.value() for field in self.rest)

    def _bound(self, names: Sequence[str]) -> list[forms.BoundField]:
        return [self[name] for name in names if name in self.fields]


class BoxField(forms.ChoiceField):
    """A material on the shelf (`now:BOX`) or a posting that took one (`before:12`); which of them is there the service judges."""

    def __init__(self, groups: Sequence[tuple[str, list[tuple[str, str]]]], **options: Any) -> None:
        super().__init__(choices=[("", "No box of mine"), *groups], required=False, label="Box", **options)

    def valid_value(self, value: str) -> bool:
        return "\x00" not in value


class CreditForm(EntryForm):
    """A credit of whole lines, or of amounts off them."""

    on = DayField(label="Day")
    reason = forms.CharField(max_length=200, help_text="It stands on the credit note.")
    back_to = forms.ModelChoiceField(
        offers.places_held(), required=False, empty_label="Not said", label="Pieces come back to"
    )
    how = forms.ChoiceField(
        choices=[(NOT_YET, "No money went back"), *Payment.How.choices],
        required=False,
        label="Paid back",
        widget=forms.RadioSelect,
    )
    amount = MoneyBox(required=False, label="How much went back", help_text="Empty: all that is then paid too much.")

    def __init__(self, *args: Any, lines: Sequence[SaleLine], **options: Any) -> None:
        super().__init__(*args, **options)
        self.lines = list(lines)
        for line in self.lines:
            self.fields[f"line-{line.pk}"] = forms.BooleanField(
                required=False, initial=True, label=f"{line.words}: all of it"
            )
            self.fields[f"cut-{line.pk}"] = MoneyBox(required=False, label=f"Or only this much off {line.words}")

    def members(self) -> list[tuple[SaleLine, forms.BoundField, forms.BoundField]]:
        return [(line, self[f"line-{line.pk}"], self[f"cut-{line.pk}"]) for line in self.lines]

    def head(self) -> list[forms.BoundField]:
        return [self[name] for name in ("on", "reason", "back_to", "how", "amount")]

    def whole(self) -> list[SaleLine]:
        """Lines ticked; an amount beside a tick wins over it."""
        cuts = self.cuts()
        return [line for line in self.lines if self.cleaned_data.get(f"line-{line.pk}") and line.pk not in cuts]

    def cuts(self) -> dict[int, Decimal]:
        named = {line.pk: self.cleaned_data.get(f"cut-{line.pk}") for line in self.lines}
        return {pk: amount for pk, amount in named.items() if amount is not None}

    def clean(self) -> dict[str, Any]:
        found = super().clean() or self.cleaned_data
        if self.whole() and self.cuts():
            self.add_error(None, "Credit whole lines, or amounts off lines; for both write two credits.")
        if found.get("amount") is not None and not found.get("how"):
            self.add_error("how", "Say how it went back, or clear how much.")
        return found


class SaleFinder(Finder):
    looks_in = ("number", "customer__name", "note")
    words = words("Number, buyer or what was sold")
    kind = django_filters.ChoiceFilter(choices=Sale.Kind.choices, empty_label="Any paper", label="Paper")
    channel = django_filters.ModelChoiceFilter(queryset=Channel.objects.all(), empty_label="Any", label="Through")
    fair = django_filters.ModelChoiceFilter(queryset=Fair.objects.all(), empty_label="Any")
    customer = django_filters.ModelChoiceFilter(queryset=Customer.objects.all(), empty_label="Anybody")
    year = django_filters.ChoiceFilter(method="by_year", choices=list, empty_label="Any", label="Year")

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        self.filters["year"].extra["choices"] = [(str(year), str(year)) for year in sales.years()]

    def by_words(self, rows: QuerySet[Any], name: str, value: str) -> QuerySet[Any]:
        # Lines by a subquery: a join would show a paper of two lines twice.
        naming = SaleLine.objects.all()
        for word in value.split():
            naming = naming.filter(Q(words__icontains=word) | Q(skin__tag__iexact=word) | Q(job__number__iexact=word))
        return super().by_words(rows, name, value) | rows.filter(pk__in=naming.values("sale"))

    def by_year(self, rows: QuerySet[Any], _name: str, value: str) -> QuerySet[Any]:
        return rows.filter(on__year=int(value))
