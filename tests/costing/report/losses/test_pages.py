"""Pages of losses: rates, the most to pay, who bears a loss, stop or go."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from fractions import Fraction

import pytest
from django.test import Client
from django.urls import reverse

from costing.make.cost.rates import services as rates
from costing.make.losses import rules as losses_rules, services as losses
from costing.make.losses.rules import by_stage
from costing.make.recipes import services as recipes
from costing.make.recipes.services import Step
from costing.make.steps.marks import services as marks
from costing.report.losses import selectors as read
from costing.sell.expenses import services as expenses_services
from costing.sell.sales import services as selling
from costing.sell.sales.offers.services import Item
from inventory.base.accounting import services as workshop
from inventory.models import Article
from tests import factories
from tests.costing.make.cost.reallocation.test_selectors import SLIPPED, get, scrap, spoiled
from tests.factories import DAY, batch, finish, material, recipe, skin, work
from tests.inventory.pages import queries, signed_in, text

pytestmark = pytest.mark.django_db
D, F = Decimal, Fraction


@pytest.fixture(autouse=True)
def _day() -> None:
    workshop.set_up(name="Routamo Skins", maker="K. Routamo", postal_address="Kanervapolku 7, 99999 Utuharju")
    workshop.pin_today(on=date(2025, 12, 31))


def reindeer() -> None:
    """B2 with the minutes and money of the demonstration: H05 slipped, H04 sold for 240.00 less a fee of 4.56."""
    made = spoiled()
    two = ["H04", "H06"]
    for on, task, minutes, tags in (
        ((3, 23), "paste", 80, two),
        ((3, 31), "re-paste", 45, two),
        ((4, 2), "scrape off, oil", 60, two),
        ((4, 3), "lace", 90, two),
        ((4, 20), "soften", 250, ["H04"]),
        ((4, 22), "soften", 230, ["H06"]),
        ((5, 10), "trim", 50, two),
    ):
        work(date(2025, *on), minutes, task=task, batch=made, tags=tags)
    finish("H04", on=date(2025, 5, 10))
    finish("H06", on=date(2025, 5, 10))
    scrap()
    selling.sell(
        on=date(2025, 7, 5),
        items=[Item("article", D(240), article=Article.objects.get(number="A-H04"))],
        spent=[expenses_services.Cost("fee", D("4.56"))],
    )


@pytest.mark.thorough
def test_both_ways_to_bear_a_loss_stand_beside_each_other_before_and_after(client: Client) -> None:
    reindeer()
    page = reverse("skin", args=["H05"])
    for spread in (False, True, False):
        losses.spread(skin=get("H05"), spread=spread)
        shown = text(client.get(page))
        for figure in ("26.82", "75.49", "13.41", "37.75"):
            assert figure in shown
        other = "loss_write_off" if spread else "loss_spread"
        assert reverse(other, args=["H05"]) in shown


def test_the_most_to_pay_comes_from_the_own_log(client: Client) -> None:
    reindeer()
    log = read.proposed("Reindeer")
    assert log.net == F("235.44")
    assert (log.before, log.after) == (
        losses_rules.Leg(F("5.47") / 3, F(146, 60)),
        losses_rules.Leg(F("15.75") / 2 + F("1.52"), F("412.5") / 60),
    )
    assert (log.rate.lost, log.rate.of, log.rate.few) == (1, 3, True)
    shown = text(client.get(reverse("losses")))
    for figure in ("38.06", "29.20", "8.54"):
        assert figure in shown
    assert "At your own rate, 1 of 3" in shown


@pytest.mark.thorough
def test_what_is_typed_goes_before_the_log(client: Client) -> None:
    reindeer()
    asked = {"species": "reindeer", "net": "200", "before_money": "0", "before_minutes": "0", "after_money": "0"}
    shown = text(client.get(reverse("losses"), {**asked, "after_minutes": "120", "hourly": "10", "rate": "50"}))
    assert "At 50 %" in shown
    assert "90.00" in shown
    assert "180.00" in shown
    wrong = client.get(reverse("losses"), {**asked, "rate": "101"})
    assert "less than or equal to 100" in text(wrong)


def test_before_anything_was_sold_the_page_asks_for_what_it_cannot_know(client: Client) -> None:
    skin("H01")
    shown = text(client.get(reverse("losses")))
    assert "Your log does not say" in shown
    assert "what a sale contributes" in shown


def test_what_was_lost_last_is_asked_first(client: Client) -> None:
    for tag, kind in (("A", "Goat"), ("B", "Sheep"), ("C", "sheep")):
        skin(tag, species=kind)
    assert [name.lower() for name in read.species()] == ["goat", "sheep"]
    losses.lose(skin=get("B"), on=DAY, reason="torn")
    assert read.species() == ["Sheep", "Goat"]


def test_an_empty_workshop_is_told_what_the_page_will_say(client: Client) -> None:
    assert "No skin yet" in text(client.get(reverse("losses")))


def test_rates_count_those_that_entered_a_step_and_say_when_they_are_few(client: Client) -> None:
    version = recipe("R1", recipes.Line(material("SALT"), D(1), "g", "per_litre"), steps=[Step("Cure"), Step("Bath")])
    for tag in ("A", "B", "C"):
        skin(tag, supplier=factories.supplier("Farm"))
    skin("R", species="Goat")
    work(batch=batch(version=version, tags=["A", "B", "C"]))
    losses.lose(skin=get("A"), on=DAY, reason="slipped")
    assert get("A").lost_at_step == "Cure"
    losses.lose(skin=get("R"), on=DAY, reason="beetle")
    found = by_stage(read.fates())
    assert {name: (each.lost, each.of) for name, each in found.items()} == {"Before a batch": (1, 4), "Cure": (1, 3)}
    shown = text(client.get(reverse("losses")))
    assert "33.3 %" in shown
    assert shown.count("few") >= 3
    assert "nobody named" in shown


@pytest.mark.thorough
def test_a_step_that_ended_on_the_day_is_where_it_was_lost() -> None:
    version = recipe("R1", steps=[Step("Cure"), Step("Bath")])
    for tag in ("A", "B", "C"):
        skin(tag)
    made = batch(version=version, tags=["A", "B", "C"])
    marks.log(batch=made, step=version.steps.get(name="Cure"), kind="done", on=DAY)
    losses.lose(skin=get("A"), on=DAY, reason="slipped")
    losses.lose(skin=get("B"), on=date(2025, 3, 6), reason="slipped")
    losses.lose(skin=get("C"), on=date(2025, 3, 6), reason="slipped", step="On the way")
    assert [get(tag).lost_at_step for tag in "ABC"] == ["Cure", "Bath", "On the way"]
    stages = {fate.skin: fate.stages for fate in read.fates()}
    assert stages["A"] == ("Before a batch", "Cure")
    assert stages["B"] == ("Before a batch", "Cure", "Bath")
    assert stages["C"] == ("Before a batch", "Cure", "Bath", "On the way")


def test_a_loss_is_spread_on_its_page_and_changed_back(client: Client) -> None:
    for tag in ("A", "B"):
        skin(tag)
    work(batch=batch(tags=["A", "B"]))
    form = {"on": "2025-03-18", "reason": "slipped", "step": "", "spread": "yes", "request_key": "k"}
    client.post(reverse("skin_lose", args=["A"]), form)
    assert get("A").loss_spread
    client.post(reverse("loss_write_off", args=["A"]), {"request_key": "m"})
    assert not get("A").loss_spread
    client.post(reverse("loss_spread", args=["A"]), {"request_key": "n"})
    assert get("A").loss_spread
    client.post(reverse("loss_reverse", args=["A"]), {"request_key": "o"})
    assert get("A").stage == "in_work"


def test_a_refusal_to_spread_stands_on_the_page(client: Client) -> None:
    skin("A")
    form = {"on": "2025-03-18", "reason": "slipped", "spread": "yes", "request_key": "k"}
    assert "Nothing survived beside A" in text(client.post(reverse("skin_lose", args=["A"]), form))
    assert get("A").stage == "raw"


def test_a_helper_loses_a_skin_without_the_choice() -> None:
    skin("A")
    helper = signed_in(factories.person("helper"))
    assert "bear it" not in text(helper.get(reverse("skin_lose", args=["A"])))
    helper.post(reverse("skin_lose", args=["A"]), {"on": "2025-03-18", "reason": "slipped", "request_key": "k"})
    assert get("A").stage == "lost"


@pytest.mark.thorough
def test_stop_or_go_counts_only_what_is_to_come(client: Client) -> None:
    """Usual 120 min, 60 done: an hour to come for 100 less 40 as it is: 60 an hour."""
    rates.set_rates(wage_per_hour=D(16), overhead_per_hour=D(4), frame_wear=D(0))
    skin("H01")
    work(DAY, 120, tags=["H01"])
    finish("H01", on=DAY)
    skin("H02")
    work(DAY, 60, batch=batch(tags=["H02"]))
    page = reverse("skin", args=["H02"])
    shown = text(client.get(page, {"done": "100", "now": "40"}))
    assert "Going on pays." in shown
    assert "60.00" in shown
    shown = text(client.get(page, {"done": "50", "now": "40"}))
    assert "Going on does not pay." in shown


@pytest.mark.thorough
def test_the_page_takes_as_many_queries_for_thirty_skins_as_for_one(client: Client) -> None:
    def one_more(number: int) -> None:
        for tag in (f"L{number}", f"F{number}"):
            skin(tag, species="Reindeer")
        work(batch=batch(f"B{number}", tags=[f"L{number}", f"F{number}"]), minutes=5)
        losses.lose(skin=get(f"L{number}"), on=SLIPPED, reason="slipped", spread=True)
        finish(f"F{number}", on=SLIPPED)
        selling.sell(on=SLIPPED, items=[Item("article", D(9), article=Article.objects.get(number=f"A-F{number}"))])

    one_more(1)
    few = queries(client, reverse("losses"))
    for number in range(2, 12):
        one_more(number)
    assert queries(client, reverse("losses")) == few
