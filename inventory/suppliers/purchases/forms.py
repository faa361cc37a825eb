"""What is known about a supplier, and what the list of suppliers can be narrowed by."""

from inventory.web.fields import MoneyBox
from inventory.web.filters import Finder, search
from inventory.web.forms import EntryForm, NoteField


class SupplierFinder(Finder):
    looks_in = ("name", "note")
    words = search("Name or note")


class SupplierForm(EntryForm):
    carriage = MoneyBox(
        required=False, label="Carriage of an order", help_text="What an order from them usually costs to bring."
    )
    carriage_free_from = MoneyBox(
        required=False, label="Free from", help_text="Goods worth so much they bring without carriage."
    )
    note = NoteField(help_text="Opening hours, terms, whom to ask for; nothing secret.")
