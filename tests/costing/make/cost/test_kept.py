"""What is kept of ended skins: when it is written, when it is believed, and that the check of the books finds it right."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from costing.make.cost import selectors as costs, services as cost
from costing.make.cost.rates import services as rates
from costing.make.frames.lacings import services as lacings
from costing.make.frames.making import services as frames
from costing.make.losses import services as losses
from costing.make.recipes.services import Step
from costing.make.steps.marks import services as marks
from costing.models import ArticleCost, SkinCost
from costing.report.audit import selectors as audit
from inventory.models import Skin
from tests.factories import DAY, batch, days_from, finish, material, piece, put, recipe, sale, skin, work

pytestmark = pytest.mark.django_db
D = Decimal
day = days_from(DAY)


def kept(tag: str = "H01") -> SkinCost:
    return SkinCost.objects.get(skin__tag=tag)


def test_a_finished_skin_is_kept_with_the_day_of_its_last_entry() -> None:
    skin("H01")
    put(None, material(on_hand=3, value="3.00"), 1, day(2), tags=["H01"])
    assert not SkinCost.objects.exists(), "one in work is not kept"
    finish("H01", on=day(5))
    assert (kept().exact, kept().book, kept().settled_on) == ("12;1;0;0;0;0;0;0", 13, day(2))
    assert ArticleCost.objects.get().settled_on == day(2)


def test_a_late_cost_moves_the_day_on_and_earlier_days_are_asked_of_the_entries() -> None:
    one, salt = skin("H01"), material(on_hand=3, value="3.00")
    finish("H01", on=day(1))
    put(None, salt, 1, day(8), tags=["H01"])
    assert (kept().settled_on, ArticleCost.objects.get().settled_on) == (day(8), day(8))
    assert [costs.skin_shares([one], day(nth))["H01"].book() for nth in (7, 8)] == [12, 13]


def test_what_is_kept_is_believed_from_its_day_on_and_not_read_to_check_it() -> None:
    one = skin("H01")
    finish("H01", on=day(1))
    SkinCost.objects.update(exact="99;0;0;0;0;0;0;0")
    assert [costs.skin_shares([one], on)["H01"].book() for on in (DAY, None)] == [99, 99]
    assert costs.skin_shares([one], DAY - timedelta(days=1))["H01"].book() == 12
    assert costs.skin_shares([one], kept=False)["H01"].book() == 12
    with CaptureQueriesContext(connection) as asked:
        costs.skin_shares([one])
    assert len(asked) == 2, "its row, and whether losses are spread"


def test_a_piece_is_settled_when_the_last_of_its_skins_is() -> None:
    for tag in ("H01", "H02"):
        skin(tag)
    put(None, material(on_hand=3, value="3.00"), 1, day(4), tags=["H02"])
    finish("H01", "H02", on=day(5), pieces=[piece("P1", "1/2")])
    assert ArticleCost.objects.get().settled_on is None, "both are still in work"
    finish("H01", "H02", on=day(6), pieces=[piece("P2", "1/2")])
    assert {row.settled_on for row in ArticleCost.objects.all()} == {day(4)}
    assert audit.findings() == []


def test_a_skin_lost_in_no_batch_is_kept_and_found_again_is_not() -> None:
    one = losses.lose(skin=skin("H01"), on=day(3), reason="beetle")
    assert (kept().book, kept().settled_on) == (12, DAY)
    losses.reverse(skin=one)
    assert not SkinCost.objects.exists()
    assert audit.findings() == []


def test_who_bears_a_spread_loss_is_settled_with_its_scrap() -> None:
    for tag in ("H01", "H02"):
        skin(tag)
    work(batch=batch(tags=["H01", "H02"]))
    losses.lose(skin=Skin.objects.get(tag="H01"), on=day(2), reason="slipped", spread=True)
    finish("H02", on=day(4))
    assert (kept("H02").book, kept("H02").settled_on) == (24, day(2))
    sale(Skin.objects.get(tag="H01"), asked=5, on=day(9))
    assert (kept("H01").book, kept("H02").book) == (5, 19)
    assert {kept(tag).settled_on for tag in ("H01", "H02")} == {day(9)}
    assert audit.findings() == []


def test_a_step_logged_after_a_skin_left_moves_the_steps_it_went_through() -> None:
    version = recipe("R1", steps=[Step("Bath"), Step("Oil"), Step("Dry")])
    bath, oil = version.steps.get(name="Bath"), version.steps.get(name="Oil")
    made = batch(version=version, tags=[skin(tag).tag for tag in ("H01", "H02")])
    work(batch=made)
    finish("H01", on=day(4))
    assert kept().entered == "Bath"
    first = marks.log(batch=made, step=bath, kind="done", on=day(1))
    marks.log(batch=made, step=oil, kind="done", on=day(2))
    assert kept().entered == "Bath\nOil\nDry"
    marks.reverse(mark=made.marks.get(step=oil))
    marks.reverse(mark=first)
    assert kept().entered == "Bath"
    assert audit.findings() == []


def test_rates_put_right_move_what_a_frame_wears_off_later() -> None:
    rates.set_rates(wage_per_hour=D(10))
    frames.build(number="F1", on=DAY, lacings=2, cost=D(10), minutes=D(60))
    rates.set_rates(since=day(1), wage_per_hour=D(12))
    skin("H01")
    lacings.name(line=work(day(2), 5, task="lace", tags=["H01"]), on_frames={"H01": "F1"})
    finish("H01", on=day(3))
    rates.set_rates(wage_per_hour=D(20))
    assert kept().exact.endswith(";15"), "half of 10 paid and an hour at 20"
    assert audit.findings() == []


def test_within_a_load_all_is_kept_at_the_end() -> None:
    with cost.kept_at_the_end():
        skin("H01")
        finish("H01")
        assert not SkinCost.objects.exists()
    assert kept().book == 12
