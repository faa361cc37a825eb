"""Figures as people read them: money in the workshop's currency, quantities in a unit, areas both ways."""

from datetime import date, datetime
from decimal import Decimal
from fractions import Fraction
from typing import Any

from django import template
from django.utils import timezone

from inventory import formats, money as moneys, units
from inventory.base import bought, measures, selectors as workshop

register = template.Library()

PARTS = ((6, "night"), (12, "morning"), (18, "afternoon"), (24, "evening"))


@register.filter
def money(value: Decimal | Fraction | None) -> str:
    """12.5 -> "12.50 €"; nothing stays a dash."""
    return "–" if value is None else moneys.show(value, workshop.current().currency)


@register.filter
def foreign(record: Any) -> str:
    """What was paid for something in another currency, at the rate that it came to."""
    return bought.foreign(record, record.paid)


@register.filter
def amount(value: Decimal | Fraction | None) -> str:
    """Money without its sign, for columns whose heading names the currency."""
    return "–" if value is None else moneys.figure(value, workshop.current().currency)


@register.filter
def quantity(value: Decimal | None, unit: str) -> str:
    """A base quantity in the unit the maker speaks: 560 g -> "0.56 kg"."""
    return "–" if value is None else units.show(value, unit)


@register.filter
def weight(grams: Decimal | None, unit: str) -> str:
    """Grams of a skin in the unit it is spoken of in: 4082.331 -> "9 lb"."""
    return "–" if grams is None else units.show(grams, unit, "g")


@register.filter
def figure(value: Decimal | None, unit: str) -> str:
    """A base quantity as a bare figure in a unit; the unit stands in the heading."""
    return "–" if value is None else units.figure(value, unit)


@register.filter
def bath(litres: Decimal | None) -> str:
    """Litres in the workshop's own measure of a bath: "18 L"."""
    return "–" if litres is None else measures.bath(litres)


@register.filter
def within(litres: Decimal) -> Decimal:
    """The largest bath of whole tenths of the workshop's own measure that is no more, in litres."""
    return measures.within(litres)


@register.filter
def volume(millilitres: Decimal | None) -> str:
    """As `bath`, of what is kept in millilitres."""
    return "–" if millilitres is None else measures.volume(millilitres)


@register.filter
def warmth(celsius: Decimal) -> str:
    """Degrees Celsius in the workshop's own degrees: "20 °C"."""
    return measures.warmth(celsius)


@register.filter
def chemical(grams: Decimal) -> str:
    """A substance in a bath, weighed: "25.8 g" or "0.91 oz"."""
    return measures.chemical(grams)


@register.filter
def offered(g_per_kg: Decimal) -> str:
    """What is offered to each weight of skin: "64 g/kg" or "1.02 oz/lb"."""
    return measures.offered(g_per_kg)


@register.filter
def area(value: Decimal | None) -> str:
    """cm2 -> "101 dm² (10.87 sq ft)"; the other way round where the workshop's units are feet."""
    return "–" if value is None else measures.area(value)


@register.filter
def own_area(value: Decimal) -> str:
    """cm2 -> "101 dm²": for a line with little room."""
    return measures.own_area(value)


@register.filter
def along(mm: Decimal) -> str:
    """mm -> "134.2 cm", or inches where the workshop's units are."""
    return measures.length(mm)


@register.filter
def hours(minutes: Decimal | Fraction | None) -> str:
    """Minutes -> "9.25 h"."""
    return "–" if minutes is None else f"{formats.figure(moneys.half_up(Fraction(minutes) / 60, 2))} h"


@register.filter
def part_of_day(at: datetime) -> str:
    """A moment that nobody knows to the hour: "Thu 6 Feb, afternoon"."""
    here = timezone.localtime(at)
    part = next(word for until, word in PARTS if here.hour < until)
    return f"{formats.day(here, weekday=True, year=False)}, {part}"


@register.filter(expects_localtime=True)
def day(when: date | None, how: str = "") -> str:
    """A day as the workshop writes it; `how` may be words of: weekday, long (the month in full), short (without its year)."""
    if not when:
        return ""
    return formats.day(when, weekday="weekday" in how, full="long" in how, year="short" not in how)


@register.filter
def plain(value: Decimal | None) -> str:
    """A decimal without needless zeros: 1.900 -> "1.9"."""
    return "–" if value is None else formats.plain(value)


@register.filter
def typed(value: Decimal) -> str:
    """A figure as a box reads it back, for what a button or an address carries."""
    return formats.current().typed(value)
