"""The form of the rates."""

from inventory.web.fields import MoneyBox
from inventory.web.forms import DayField, EntryForm, FigureField


class RatesForm(EntryForm):
    since = DayField(
        label="They hold from",
        help_text="Days before keep the rates they had. Your first rates hold for all days before too.",
    )
    wage_per_hour = MoneyBox(
        label="My hour", help_text="What an hour of yours is to earn. Only in full cost, never in book cost."
    )
    overhead_per_hour = MoneyBox(
        label="Overhead an hour",
        help_text="Power, rent, insurance, phone of a year, divided by the making hours of a year.",
    )
    frame_wear = MoneyBox(label="A lacing", help_text="What a frame cost, divided by how many times it will be laced.")
    vat_percent = FigureField(
        label="Tax on sales",
        unit="%",
        help_text="0 when you are not registered for it. Ask your tax office for the rate.",
    )
    price_step = MoneyBox(
        label="Price step", help_text="Worked-out prices go up to the next step: 5. 0 leaves them to the cent."
    )
