"""A skin that was never in a batch: its shares go to the others, days that are told stay told, and everything adds up."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction

import pytest
from django.test import Client
from django.urls import reverse

from costing.make.batches.issues import services as issues
from costing.make.batches.stays import selectors as read, services as stays
from costing.make.cost import selectors as costs
from costing.make.labour import services as labour
from costing.make.labour.sessions import services as sessions
from costing.make.losses import services as losses
from costing.models import Batch, StruckStay
from costing.report.audit import selectors as audit
from costing.report.valuation import selectors as valuation
from inventory.base.accounting import services as workshop
from inventory.errors import ClosedPeriod, Refused
from inventory.models import Article, Skin
from tests.at_once import together
from tests.factories import DAY, batch, finish, material, owner, put, skin, work
from tests.inventory.pages import text

pytestmark = pytest.mark.django_db
D = Decimal


def day(nth: int) -> date:
    return DAY + timedelta(days=nth)


@pytest.fixture
def three() -> Batch:
    """H01, H02 and H03 in B1 with 9.00 of alum and an hour of turning on the second day."""
    for tag in ("H01", "H02", "H03"):
        skin(tag)
    made = batch("B1", tags=["H01", "H02", "H03"])
    put(made, material("ALUMK", on_hand=10, value="90.00"), 1, day(1))
    work(day(1), 60, batch=made)
    return made


def strike(of: Batch, tag: str = "H03", on: date = DAY, **more: object) -> StruckStay:
    return stays.strike(batch=of, skin=Skin.objects.get(tag=tag), on=on, reason="wrong tag", **more)  # type: ignore[arg-type]


def materials() -> dict[str, Fraction]:
    return {tag: share.materials for tag, share in costs.skin_shares(Skin.objects.all()).items()}


@pytest.mark.thorough(but=1)
@pytest.mark.parametrize("flow", ["average", "fifo"])
def test_its_shares_go_to_those_that_were_there(three: Batch, flow: str) -> None:
    workshop.set_up(cost_flow=flow)
    strike(three)
    assert materials() == {"H01": Fraction(9, 2), "H02": Fraction(9, 2), "H03": 0}
    assert costs.skin_shares(Skin.objects.all())["H03"].minutes == 0
    struck = StruckStay.objects.get()
    assert (struck.batch, struck.skin.tag, struck.joined_on, struck.reason) == (three, "H03", DAY, "wrong tag")
    assert audit.findings() == []


def test_it_is_raw_and_free_again_for_the_batch_that_it_was_in(three: Batch) -> None:
    strike(three)
    assert Skin.objects.get(tag="H03").stage == Skin.Stage.RAW
    assert [row.tag for row in read.free()] == ["H03"]
    stays.join(batch=three, tags=["H03"], on=DAY)  # it was there after all
    assert materials()["H03"] == 3
    assert audit.findings() == []


def test_a_piece_that_is_finished_shows_the_difference_as_late_cost(three: Batch) -> None:
    finish("H01", on=day(5))
    finish("H03", on=day(5))
    strike(three)
    books = {row.number: (row.cost.book, row.cost.late_book, row.book_cost) for row in Article.objects.all()}
    assert books == {"A-H01": (D("15.00"), D("1.50"), D("16.50")), "A-H03": (D("15.00"), D("-3.00"), D("12.00"))}
    assert Skin.objects.get(tag="H03").stage == Skin.Stage.FINISHED
    assert audit.findings() == []


def test_days_before_the_one_it_is_said_on_stay_as_they_were_told(three: Batch) -> None:
    before = {nth: valuation.at(day(nth)) for nth in (2, 8)}
    workshop.close_books(to=day(3))
    workshop.pin_today(on=day(9))
    with pytest.raises(ClosedPeriod):
        strike(three)
    stay = three.stays.get(skin__tag="H03")
    assert read.strikeable_on(three, stay.skin, stay) == day(9)
    strike(three, on=day(9))
    assert {nth: valuation.at(day(nth)) for nth in (2, 8)} == before
    assert valuation.at(day(9)).skins["raw"] == {"H03": Fraction(12)}
    assert valuation.at(day(9)).total == before[8].total


def test_a_loss_that_it_bore_is_borne_by_the_others(three: Batch) -> None:
    losses.lose(skin=Skin.objects.get(tag="H02"), on=day(4), reason="slipped", spread=True)
    strike(three)
    shares = costs.skin_shares(Skin.objects.all())
    assert (shares["H01"].book(), shares["H02"].book(), shares["H03"].book()) == (33, 0, 12)
    assert audit.findings() == []


def test_what_was_left_in_a_batch_that_is_done_follows_too(three: Batch) -> None:
    for tag in ("H01", "H02"):
        stays.leave(batch=three, skin=Skin.objects.get(tag=tag), on=day(6))
    strike(three)
    three.refresh_from_db()
    assert three.state == Batch.State.DONE
    assert audit.findings() == []


@pytest.mark.thorough(but=2)
@pytest.mark.parametrize(
    ("why", "said"),
    [
        ("planned", "Take H03 out of it instead"),
        ("named use", "name H03. Correct or reverse"),
        ("named work", "name H03. Correct or reverse"),
        ("timer", "timer runs"),
        ("lost there", "Reverse its loss first"),
        ("alone", "No other skin"),
        ("too early", "Choose that day or a later one"),
        ("never written", "not written as having been"),
        ("twice", "not written as having been"),
    ],
)
def test_what_only_it_can_bear_is_put_right_first(three: Batch, why: str, said: str) -> None:
    third = Skin.objects.get(tag="H03")
    on, of = DAY, three
    if why == "planned":
        stays.leave(batch=three, skin=third, on=DAY)
        of = batch("B2", tags=["H03"], start=day(1))
        on = day(1)
    elif why == "named use":
        put(three, material("OIL", on_hand=1), 1, day(2), tags=["H03"])
    elif why == "named work":
        work(day(2), batch=three, tags=["H03"])
    elif why == "timer":
        sessions.start(batch=three, tags=["H03"], by=owner(), request_key="s")
    elif why == "lost there":
        losses.lose(skin=third, on=day(3), reason="slipped")
    elif why == "alone":
        strike(three, "H01")
        strike(three, "H02")
    elif why == "too early":
        on = day(-1)
    elif why == "never written":
        of = batch("B2")
        Batch.objects.filter(pk=of.pk).update(state="in_work")
    else:
        strike(three)
    before = StruckStay.objects.count()
    with pytest.raises(Refused, match=said):
        strike(of, on=on)
    assert StruckStay.objects.count() == before


@pytest.mark.thorough
def test_an_entry_that_named_it_and_was_reversed_leaves_no_day_that_cannot_be_worked_out(three: Batch) -> None:
    """Between a use and its reversal the books name the skin in the batch; it can only be struck from then on."""
    use = put(three, material("OIL", on_hand=1, value="5.00"), 1, day(2), tags=["H03"])
    line = work(day(2), batch=three, tags=["H03"])
    issues.reverse(use=use, reason="wrong", on=day(6))
    labour.reverse(line=line, on=day(4))
    with pytest.raises(Refused, match=f"from {day(6)}"):
        strike(three, on=day(5))
    strike(three, on=day(6))
    assert all(valuation.at(day(nth)).total for nth in range(8))
    assert audit.findings() == []


def test_one_key_strikes_once(three: Batch) -> None:
    assert strike(three, request_key="k") == strike(three, request_key="k")


@pytest.mark.slow
@pytest.mark.usefixtures("shared_database")
def test_of_two_hands_at_once_one_strikes() -> None:
    for tag in ("H01", "H03"):
        skin(tag)
    made = batch("B1", tags=["H01", "H03"])
    put(made, material("ALUMK", on_hand=10, value="90.00"), 1, day(1))
    answers = together(lambda: strike(made), lambda: strike(made))
    assert sorted(type(answer).__name__ for answer in answers) == ["Refused", "StruckStay"]


def test_the_page_shows_who_bears_what_now_and_then_and_a_double_tap_strikes_once(client: Client, three: Batch) -> None:
    address = reverse("stay_strike", args=["B1", "H03"])
    assert address in text(client.get(reverse("batch", args=["B1"])))
    page = text(client.get(address))
    assert '<td>H03</td><td class="num">3.00 €</td><td class="num">0.00 €</td>' in page
    assert '<td>H01</td><td class="num">3.00 €</td><td class="num">4.50 €</td>' in page
    data = {"on": DAY.isoformat(), "reason": "wrong tag", "request_key": "k"}
    for _ in range(2):
        assert client.post(address, data)["location"] == reverse("batch", args=["B1"])
    assert StruckStay.objects.count() == 1
    assert "never in it" in text(client.get(reverse("batch", args=["B1"])))


def test_the_page_of_a_skin_that_work_names_says_what_to_do_first(client: Client, three: Batch) -> None:
    work(day(2), 30, batch=three, tags=["H03"])
    page = text(client.get(reverse("stay_strike", args=["B1", "H03"])))
    assert f"Work or materials of {day(2)} in B1 name H03. Correct or reverse these entries first." in page
    assert "What will happen" not in page
    assert "Move its shares away" not in page
