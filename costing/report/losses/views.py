"""Losses: how often they happen, what a raw skin may cost, and whether to go on with one."""

from dataclasses import replace
from fractions import Fraction
from itertools import groupby
from operator import itemgetter
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from costing.make.cost.rates import selectors as rates
from costing.make.cost.rules import Share
from costing.make.losses import rules as losses
from costing.make.losses.rules import Leg
from costing.report.losses import report as losses_report, selectors as read
from costing.report.losses.forms import GoOnForm, MostForm
from costing.report.losses.selectors import Proposal
from inventory import formats
from inventory.base import selectors as workshop
from inventory.models import Skin
from inventory.money import ZERO, Exact, half_up
from inventory.templatetags import figures
from inventory.units import MINUTES_PER_HOUR
from inventory.web.trail import page

EARLIEST = 1970


def percent(rate: Fraction) -> str:
    return f"{formats.plain(half_up(rate * 100, 1))} %"


TITLES = {"step": "By step", "species": "By species", "supplier": "By supplier"}


@require_safe
def overview(request: HttpRequest) -> HttpResponse:
    """Loss rates by step, species and supplier; what a raw skin may cost at most; the last losses."""
    rates_of = losses_report.rates()
    return page(
        request,
        "costing/report/losses/losses.html",
        "Losses",
        ("books",),
        tables=[
            replace(rates_of, title=TITLES[str(by)], rows=tuple(rows))
            for by, rows in groupby(rates_of.rows, itemgetter("by"))
        ],
        few=losses.FEW,
        year=workshop.today().year,
        recent=read.recent(),
        **_most(request),
    )


def _most(request: HttpRequest) -> dict[str, Any]:
    """The most to pay, from what was typed and, where a box is empty, from the log."""
    kinds = read.species()
    if not kinds:
        return {}
    form = MostForm(request.GET if "species" in request.GET else None, species=kinds)
    typed = form.cleaned_data if form.is_bound and form.is_valid() else {}
    log = read.proposed(typed.get("species") or kinds[0])
    return {"form": form, "log": log, "said": _proposed(log), **_calculated(form, typed, log)}


def _calculated(form: MostForm, typed: dict[str, Any], log: Proposal) -> dict[str, Any]:
    if form.is_bound and not form.is_valid():
        return {}
    row = rates.current()
    net = _known(typed, "net", log.net)
    before = _leg(typed, "before", log.before)
    after = _leg(typed, "after", log.after)
    hourly = row.wage_per_hour + row.overhead_per_hour if typed.get("hourly") is None else typed["hourly"]
    more = [(f"at your own rate, {log.rate.lost} of {log.rate.of} finished or lost", log.rate.rate)] if log.rate else []
    if typed.get("rate") is not None:
        more.append((f"at {formats.plain(typed['rate'])} %", Fraction(typed["rate"]) / 100))
    if net is None or before is None or after is None:
        parts = {
            "what a sale contributes": net,
            "money and work until it may be lost": before,
            "money and work after it": after,
        }
        return {"missing": [words for words, value in parts.items() if value is None]}
    found = read.most(net, before, after, hourly, typed.get("salvage") or ZERO, more)
    return {"most": found, "hourly": hourly, "gift": any(price < 0 for _, price in found)}


def _known(typed: dict[str, Any], name: str, log: Exact | None) -> Fraction | None:
    """What was typed, else what the log says."""
    value = log if typed.get(name) is None else typed[name]
    return None if value is None else Fraction(value)


def _leg(typed: dict[str, Any], name: str, log: Leg | None) -> Leg | None:
    money = _known(typed, f"{name}_money", log.money if log else None)
    minutes = _known(typed, f"{name}_minutes", log.hours * MINUTES_PER_HOUR if log else None)
    return None if money is None or minutes is None else Leg(money, minutes / MINUTES_PER_HOUR)


def _proposed(log: Proposal) -> list[tuple[str, str]]:
    """What the log proposes, in words."""
    found = []
    if log.net is not None:
        found.append(("A sale contributes", f"{figures.money(log.net)} on average of {log.sold} sold"))
    if log.before is not None:
        counted = (
            f"{log.lost} lost" if log.lost else f"{log.done} finished, as none was lost: calculated as lost at the end"
        )
        found.append(("Until it may be lost", f"{_words(log.before)}, from {counted}"))
    if log.after is not None:
        found.append(("After that", f"{_words(log.after)}, from {log.done} finished"))
    if log.rate is not None:
        few = ": too few to say much" if log.rate.few else ""
        found.append(("Lost", f"{log.rate.lost} of {log.rate.of} finished or lost, {percent(log.rate.rate)}{few}"))
    return found


def _words(leg: Leg) -> str:
    return f"{figures.money(Fraction(leg.money))} and {figures.hours(Fraction(leg.hours) * MINUTES_PER_HOUR)}"


def of_going_on(request: HttpRequest, row: Skin, share: Share, price_left: Fraction | None) -> dict[str, Any]:
    """Stop or go. `?now=` and the rest say what the log does not know."""
    form = GoOnForm(request.GET if {"now", "done", "minutes", "money"} & set(request.GET) else None)
    typed = form.cleaned_data if form.is_bound and form.is_valid() else {}
    log = read.to_come(row, share)
    net = _known(typed, "done", price_left)
    minutes = _known(typed, "minutes", log.minutes)
    money = _known(typed, "money", log.money)
    found = None
    if net is not None and minutes is not None and money is not None and not form.errors:
        found = read.go_on(typed.get("now") or ZERO, net, minutes, money, log.rate)
    return {
        "go_form": form,
        "go": found,
        "go_net": net,
        "go_minutes": minutes,
        "go_money": money,
        "go_rate": f"{log.rate.lost} of {log.rate.of} of its kind were lost" if log.rate else "",
    }
