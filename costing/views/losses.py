"""Losses: writing a skin off, who bears it, taking that back; how often it happens, and what a raw skin may cost."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Any

from django import forms
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils.functional import cached_property
from django.views.decorators.http import require_safe

from costing import loss
from costing.forms.losses import BearForm, GoOnForm, LoseForm, MostForm
from costing.loss import Leg, LossRate
from costing.rollup import Share
from costing.selectors import let_go as let_go_reads
from costing.selectors import losses as read
from costing.selectors import rates
from costing.selectors.losses import Proposal
from costing.services import losses
from inventory.models import Skin
from inventory.money import half_up
from inventory.selectors import workshop
from inventory.services.permits import Act, may
from inventory.templatetags import figures
from inventory.views.about import About

NOTHING = Decimal(0)
MINUTES = 60
EARLIEST = 1970


@dataclass(frozen=True)
class Rate:
    """A line of a table of loss rates, the rate in words."""

    name: str
    lost: int
    of: int
    words: str
    few: bool


def percent(rate: Fraction) -> str:
    return f"{half_up(rate * 100, 1).normalize():f} %"


def _rates(found: dict[str, LossRate], nameless: str = "") -> list[Rate]:
    return [Rate(name or nameless, each.lost, each.of, percent(each.rate), each.few) for name, each in found.items()]


@require_safe
def overview(request: HttpRequest) -> HttpResponse:
    """Loss rates by step, species and supplier; what a raw skin may cost at most; the last losses."""
    fates = read.fates()
    tables = [
        ("By step", "Step", _rates(loss.by_stage(fates))),
        ("By species", "Species", _rates(loss.by_species(fates))),
        ("By supplier", "From", _rates(loss.by_supplier(fates), "Nobody named")),
    ]
    return render(
        request,
        "costing/losses/losses.html",
        {
            "title": "Losses",
            "room": "Books",
            "trail": [("Books", reverse("books"))],
            "tables": tables,
            "any": bool(fates),
            "few": loss.FEW,
            "year": workshop.today().year,
            "recent": read.recent(),
            **_most(request),
        },
    )


def _most(request: HttpRequest) -> dict[str, Any]:
    """The most to pay, from what was typed and, where a box is empty, from the log."""
    kinds = read.species()
    if not kinds:
        return {}
    form = MostForm(request.GET if "species" in request.GET else None, species=kinds)
    typed = form.cleaned_data if form.is_bound and form.is_valid() else {}
    log = read.proposed(typed.get("species") or kinds[0])
    return {"form": form, "log": log, "said": _said(log), **_reckoned(form, typed, log)}


def _reckoned(form: MostForm, typed: dict[str, Any], log: Proposal) -> dict[str, Any]:
    if form.is_bound and not form.is_valid():
        return {}
    row = rates.current()
    net = log.net if typed.get("net") is None else Fraction(typed["net"])
    before = _leg(typed, "before", log.before)
    after = _leg(typed, "after", log.after)
    hourly = row.wage_per_hour + row.overhead_per_hour if typed.get("hourly") is None else typed["hourly"]
    more = [(f"at your own rate, {log.rate.lost} of {log.rate.of} finished or lost", log.rate.rate)] if log.rate else []
    if typed.get("rate") is not None:
        more.append((f"at {typed['rate'].normalize():f} %", Fraction(typed["rate"]) / 100))
    missing = [
        words
        for words, value in (
            ("what a sale leaves", net),
            ("money and work until it may be lost", before),
            ("money and work after it", after),
        )
        if value is None
    ]
    if missing or net is None or before is None or after is None:
        return {"missing": missing}
    found = read.most(net, before, after, hourly, typed.get("salvage") or NOTHING, more)
    return {"most": found, "hourly": hourly, "gift": any(each.price < 0 for each in found)}


def _leg(typed: dict[str, Any], name: str, log: Leg | None) -> Leg | None:
    money, minutes = typed.get(f"{name}_money"), typed.get(f"{name}_minutes")
    if log is None and (money is None or minutes is None):
        return None
    known = log or Leg()
    return Leg(
        Fraction(known.money) if money is None else Fraction(money),
        Fraction(known.hours) if minutes is None else Fraction(minutes) / MINUTES,
    )


def _said(log: Proposal) -> list[tuple[str, str]]:
    """What the log proposes, in words."""
    found = []
    if log.net is not None:
        found.append(("A sale leaves", f"{figures.money(log.net)} on average of {log.sold} sold"))
    if log.before is not None:
        told = f"{log.lost} lost" if log.lost else f"{log.done} finished, as none was lost: reckoned as lost at the end"
        found.append(("Until it may be lost", f"{_words(log.before)}, from {told}"))
    if log.after is not None:
        found.append(("After that", f"{_words(log.after)}, from {log.done} finished"))
    if log.rate is not None:
        few = ": too few to say much" if log.rate.few else ""
        found.append(("Lost", f"{log.rate.lost} of {log.rate.of} finished or lost, {percent(log.rate.rate)}{few}"))
    return found


def _words(leg: Leg) -> str:
    return f"{figures.money(Fraction(leg.money))} and {figures.hours(Fraction(leg.hours) * MINUTES)}"


def of_lost(row: Skin) -> dict[str, Any]:
    """Both ways to bear a loss, and what may be done about it."""
    both = read.both(row)
    if both is None:
        return {}
    each = [(tag, share.book, share.full) for tag, share in both.found.each.items()]
    return {"both": both, "each": each, "spread": bool(row.loss_spread and each)}


def of_going_on(request: HttpRequest, row: Skin, share: Share, price_left: Fraction | None) -> dict[str, Any]:
    """Stop or go. `?now=` and the rest say what the log does not know."""
    form = GoOnForm(request.GET if {"now", "done", "minutes", "money"} & set(request.GET) else None)
    typed = form.cleaned_data if form.is_bound and form.is_valid() else {}
    log = read.to_come(row, share, price_left)
    net = log.net if typed.get("done") is None else Fraction(typed["done"])
    minutes = log.minutes if typed.get("minutes") is None else Fraction(typed["minutes"])
    money = log.money if typed.get("money") is None else Fraction(typed["money"])
    found = None
    if net is not None and minutes is not None and money is not None and not form.errors:
        found = read.go_on(typed.get("now") or NOTHING, net, minutes, money, log.rate)
    return {
        "go_form": form,
        "go": found,
        "go_net": net,
        "go_minutes": minutes,
        "go_money": money,
        "go_rate": f"{log.rate_of.lost} of {log.rate_of.of} of its kind were lost" if log.rate_of else "",
    }


class _OfSkin(About):
    @cached_property
    def thing(self) -> Skin:
        return get_object_or_404(Skin, tag=self.kwargs["tag"])


class SkinLose(_OfSkin):
    form_class = LoseForm
    submit = "It is lost"
    danger = True
    lead = (
        "For a skin that slipped, spoiled or is gone. What it cost until that day is its loss; the others in the batch "
        "bear what comes after."
    )

    @property
    def title(self) -> str:  # type: ignore[override]  # here it names the skin
        return f"Is {self.thing.tag} lost?"

    def get_form_kwargs(self) -> dict[str, Any]:
        steps = read.steps_of(self.thing)
        return {**super().get_form_kwargs(), "steps": steps, "may_spread": may(self.request.user, Act.PRICES)}

    def get_initial(self) -> dict[str, Any]:
        return {**super().get_initial(), "on": workshop.today(), "spread": "no"}

    def enter(self, form: forms.Form) -> Skin:
        found = form.cleaned_data
        return losses.lose(
            skin=self.thing,
            on=found["on"],
            reason=found["reason"],
            step=found["step"] or None,
            spread=found.get("spread") == "yes",
            by=self.request.user,
            request_key=found["request_key"],
        )

    def said(self) -> str:
        row: Skin = self.made
        return f"{row.tag} is lost; " + ("the others bear it." if row.loss_spread else "it is written off.")


class LossBear(_OfSkin):
    """Change of mind: `spread` says which way."""

    form_class = BearForm
    submit = "Do it so"
    spread = False

    @property
    def title(self) -> str:  # type: ignore[override]  # here it names the skin
        return f"Let the others bear {self.thing.tag}?" if self.spread else f"Write {self.thing.tag} off?"

    @property
    def lead(self) -> str:  # type: ignore[override]  # here it names the figures
        both = read.both(self.thing)
        if both is None:
            return f"{self.thing.tag} is not lost."
        book, full = figures.money(both.found.book), figures.money(both.found.full)
        if not self.spread:
            return f"Nobody bears it then: {book} of cash and {full} in full are the year's loss."
        parts = [
            f"{tag} {figures.money(each.book)} book, {figures.money(each.full)} full"
            for tag, each in both.found.each.items()
        ]
        bears = "; ".join(parts) or "nobody, as none was left beside it"
        return f"Of {book} of cash and {full} in full bear: {bears}. Pieces that are finished show it as late cost."

    def enter(self, form: forms.Form) -> Skin:
        return losses.spread(
            skin=self.thing,
            spread=self.spread,
            by=self.request.user,
            request_key=form.cleaned_data["request_key"],
        )

    def said(self) -> str:
        return "The skins that were with it bear the loss." if self.spread else "The loss is written off."


class LossTakeBack(_OfSkin):
    form_class = BearForm
    submit = "It is not lost"
    danger = True
    lead = "For a skin that was lost by mistake. It stands in its batch again as if nothing had been."

    @property
    def title(self) -> str:  # type: ignore[override]  # here it names the skin
        return f"{self.thing.tag} is not lost?"

    def enter(self, form: forms.Form) -> Skin:
        return losses.take_back(skin=self.thing, by=self.request.user, request_key=form.cleaned_data["request_key"])

    def said(self) -> str:
        return f"{self.thing.tag} is there again."


@require_safe
def let_go(request: HttpRequest, number: int) -> HttpResponse:
    """What a year let go without a sale: own use, gifts, what spoiled or got lost."""
    if not date.min.year < number < date.max.year:
        raise Http404
    return render(
        request,
        "costing/losses/let_go.html",
        {
            "title": f"Own use, gifts, spoiled and lost {number}",
            "room": "Books",
            "trail": [("Books", reverse("books"))],
            "groups": let_go_reads.between(date(number, 1, 1), date(number, 12, 31)),
            "year": number,
            "before": number - 1 if number > EARLIEST else None,
            "after": number + 1 if number < workshop.today().year else None,
        },
    )
