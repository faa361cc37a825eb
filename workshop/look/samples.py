"""Figures of the design page: the demonstration workshop's rug H03 and its shelf. None reaches the books."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

import django_tables2 as tables
from django import forms
from django.contrib.messages import constants
from django.contrib.messages.storage.base import Message
from django.forms.boundfield import BoundField
from django.http import HttpRequest

from inventory import formats
from inventory.web.questions import Asked
from inventory.web.tables import ListTable


@dataclass(frozen=True)
class Part:
    name: str
    book: str | None
    full: str
    source: str


@dataclass(frozen=True)
class Row:
    name: str
    on_hand: str
    lasts: date
    unit_cost: str
    value: Decimal


PARTS = (
    Part("Skin", "12.00", "12.00", "Sammalniitty, 11 Jan"),
    Part("Materials", "8.23", "8.23", "a third of batch B1"),
    Part("My time", None, "148.00", "9.25 h at 16.00 €"),
    Part("Overhead", None, "37.00", "9.25 h at 4.00 €"),
    Part("Frame wear", None, "1.52", "one lacing"),
)

SHELF = (
    Row("Potash alum", "0.56 kg", date(2026, 1, 12), "6.55 €/kg", Decimal("3.67")),
    Row("Salt, fine", "60.82 kg", date(2026, 11, 1), "0.55 €/kg", Decimal("33.67")),
    Row("Washing soda, crystals", "1.74 kg", date(2026, 3, 1), "2.99 €/kg", Decimal("5.20")),
    Row("Neatsfoot oil", "0.83 L", date(2026, 5, 1), "14.61 €/L", Decimal("12.13")),
    Row("Cord, 3 mm", "72 m", date(2026, 4, 1), "0.11 €/m", Decimal("7.65")),
)

ALUM_LEFT = (
    (date(2025, 12, 1), Decimal("2.48")),
    (date(2025, 12, 20), Decimal("1.04")),
    (date(2025, 12, 31), Decimal("0.56")),
    (date(2026, 1, 12), Decimal("0.00")),
)

NUMBER = {"td": {"class": "num"}, "th": {"class": "num"}, "tf": {"class": "num"}}
SECOND = {"td": {"class": "far"}, "th": {"class": "far"}, "tf": {"class": "far"}}
SECOND_NUMBER = {"td": {"class": "num far"}, "th": {"class": "num far"}, "tf": {"class": "num far"}}


def total(table: tables.Table) -> Decimal:
    return sum((row.value for row in table.data), Decimal(0))


class ShelfTable(ListTable):
    caption = "Materials on the shelf"

    name = tables.Column("Material", footer="Total")
    on_hand = tables.Column("On hand", attrs=NUMBER, orderable=False)
    lasts = tables.DateColumn(verbose_name="Runs out", format="j M Y", attrs=SECOND)
    unit_cost = tables.Column("Unit cost", attrs=SECOND_NUMBER, orderable=False)
    value = tables.Column("Value, €", attrs=NUMBER, footer=total)

    class Meta:
        empty_text = "Nothing on the shelf yet. Record the first delivery and it stands here."


class DeliveryForm(forms.Form):
    supplier = forms.ChoiceField(
        choices=[("", "Choose one"), ("1", "Utuharju Chemicals"), ("2", "Hallasalmi Hardware")]
    )
    came_on = forms.DateField(label="Received on", widget=forms.DateInput(attrs={"type": "date"}))
    weight = forms.DecimalField(
        help_text="As printed on the sack.",
        max_digits=9,
        decimal_places=3,
        # Not type=number: it drops what was typed wrongly, so the maker could not see the slip.
        widget=forms.TextInput(attrs={"inputmode": "decimal"}),
    )
    carriage_by = forms.ChoiceField(
        label="Share the carriage by",
        choices=[("value", "Value of each line"), ("weight", "Weight of each line")],
        widget=forms.RadioSelect,
    )
    note = forms.CharField(widget=forms.Textarea(attrs={"rows": 2}), required=False)
    checked = forms.BooleanField(label="I have weighed it myself", required=False)
    request_key = forms.CharField(widget=forms.HiddenInput)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["weight"].unit = "kg"  # type: ignore[attr-defined]

    @property
    def groups(self) -> list[tuple[str, list[BoundField]]]:
        return [
            ("The delivery", [self["supplier"], self["came_on"]]),
            ("What came", [self["weight"], self["carriage_by"]]),
        ]


class FindForm(forms.Form):
    words = forms.CharField(label="Name or code", required=False)
    kind = forms.ChoiceField(required=False, choices=[("", "Any"), ("low", "To order"), ("idle", "Not used this year")])


def alum_chart() -> str:
    # Loaded here: reportlab costs every start of the server, and only this page draws.
    from workshop.documents.charts import charts, svg

    left = [(formats.day(day, year=False), amount) for day, amount in ALUM_LEFT]
    drawing = charts.bars(left, unit="kg", mark=("reorder point", Decimal("0.5")))
    words = "Falls in steps from 2.48 kg and is under the reorder point of 0.5 kg from 12 January."
    return svg.to_svg(drawing, "Potash alum", words, "alum-chart")


def context(request: HttpRequest) -> dict[str, Any]:
    """What the design page shows, besides the tokens."""
    table, empty = ShelfTable(SHELF), ShelfTable([], prefix="empty-")
    tables.RequestConfig(request, paginate={"per_page": 3}).configure(table)
    wrong = {"supplier": "1", "weight": "two sacks", "carriage_by": "value", "request_key": "sample"}
    return {
        "parts": PARTS,
        "shelf": table,
        "empty_shelf": empty,
        "form": DeliveryForm(auto_id="fresh_%s", initial={"request_key": "sample", "carriage_by": "value"}),
        "wrong_form": DeliveryForm(wrong, auto_id="wrong_%s"),
        "find_form": FindForm(auto_id="find_%s"),
        "told": [
            Message(constants.SUCCESS, "25 kg of salt stand on the shelf for 14.18 €."),
            Message(constants.SUCCESS, "Turned, 6 min on B1.", extra_tags="undo:#told"),
            Message(constants.WARNING, "Potash alum runs out on 12 January; a delivery takes 9 days."),
            Message(
                constants.ERROR,
                "1.92 kg of potash alum wanted, 0.56 kg on the shelf. Record the delivery, or make 7.0 L.",
            ),
            Message(constants.INFO, "The books are closed to 30 November."),
        ],
        "facts": [
            ("Kind", "Sheep, ram"),
            ("From", "Sammalniitty Sheep Farm, 11 January"),
            ("Green weight", "5.4 kg"),
            ("Grade", "B, two holes patched"),
        ],
        "asked": Asked(
            ("A rabbit skin of 380 kg is far more than usual.",), DeliveryForm(auto_id="fresh_%s")["weight"]
        ),
        "trail": [("Shelf", "#tables"), ("Potash alum", "#figures")],
        "marks": [
            ("late", "late", "a day past its time, or order now"),
            ("now", "due today", "needs hands today"),
            ("watch", "look out", "fine now, not for long; also every caution"),
            ("wait", "waiting", "nothing to do yet"),
            ("ok", "done", "finished, enough, paid"),
        ],
        "chart": alum_chart(),
        "chart_rows": [(formats.day(day, year=False), f"{left} kg") for day, left in ALUM_LEFT],
    }
