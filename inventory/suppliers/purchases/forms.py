"""The note about a supplier, and what the list of suppliers can be narrowed by."""

from inventory.web.filters import Finder, search
from inventory.web.forms import EntryForm, NoteField


class SupplierFinder(Finder):
    looks_in = ("name", "note")
    words = search("Name or note")


class NoteForm(EntryForm):
    note = NoteField(help_text="Opening hours, terms, whom to ask for; nothing secret.")
