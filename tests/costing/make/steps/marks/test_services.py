"""Marks: what may be logged, what it writes with it, how it is taken back."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.utils import timezone

from costing.make.batches import services as batches
from costing.make.errors import StepNotReady
from costing.make.finishing import services as articles
from costing.make.labour import services as labour
from costing.make.losses import services as losses
from costing.make.recipes.services import Step
from costing.make.steps.marks import services as marks
from costing.models import Batch, LabourLine, RecipeStep, StepMark
from inventory.base.accounting import services as workshop
from inventory.errors import ClosedPeriod, NotAllowed, Refused
from tests import factories as make
from tests.at_once import together
from tests.factories import days_from

pytestmark = pytest.mark.django_db
D = Decimal
START = date(2025, 1, 20)
BATH = Step("Bath", task="Take out", lasts_days=11, grace_days=3, every_days=1, repeat="Turn", uses="tub")
OIL = Step("Oil", wait_days=1, minutes=45)
FRAME = Step("Frame", task="Unlace", lasts_days=8, uses="frame")
day = days_from(START)


def tub(*tags: str, **options: Any) -> Batch:
    """A planned batch of three steps from 20 January, its skins named."""
    for tag in tags:
        make.skin(tag, date_in=START)
    version = make.recipe("R1", steps=[BATH, OIL, FRAME])
    return make.batch("B1", version=version, start=START, tags=tags, **options)


def step(batch: Batch, name: str) -> RecipeStep:
    return batch.version.steps.get(name=name)


def log(batch: Batch, name: str, kind: str = "done", nth: int | None = None, **given: Any) -> StepMark:
    return marks.log(batch=batch, step=step(batch, name), kind=kind, on=None if nth is None else day(nth), **given)


def test_a_turn_is_logged_with_its_minutes_as_labour_of_the_whole_batch() -> None:
    bath = tub("H01", "H02")
    mark = log(bath, "Bath", "repeat", 1, minutes=D(6), note="one fold was shut", by=make.owner())
    line = LabourLine.objects.get()
    assert (line.task, line.minutes, line.on, line.batch, line.skins.count()) == ("Turn", D(6), day(1), bath, 0)
    assert (mark.labour, mark.note, mark.written_by) == (line, "one fold was shut", make.owner())


def test_a_step_done_is_labour_at_what_the_hands_did() -> None:
    log(tub("H01"), "Bath", nth=11, minutes=D(36))
    assert LabourLine.objects.get().task == "Take out"


@pytest.mark.parametrize("minutes", [None, D(0)])
def test_without_minutes_no_labour_is_written(minutes: Decimal | None) -> None:
    assert log(tub("H01"), "Bath", "repeat", 1, minutes=minutes).labour is None
    assert not LabourLine.objects.exists()


def test_the_first_mark_puts_a_planned_batch_and_its_skins_in_work() -> None:
    bath = tub("H01")
    log(bath, "Bath", "repeat", 1)
    bath.refresh_from_db()
    assert (bath.state, bath.stays.get().skin.stage) == ("in_work", "in_work")


def test_a_tap_counts_on_the_day_of_its_moment() -> None:
    bath = make.batch("B9", version=make.recipe("R9", steps=[BATH]), start=timezone.localdate() - timedelta(days=5))
    when = timezone.now() - timedelta(days=2)
    assert log(bath, "Bath", "repeat", at=when).on == timezone.localtime(when).date()
    assert log(bath, "Bath", "repeat").on == timezone.localdate()


@pytest.mark.parametrize(
    ("name", "kind", "nth", "words"),
    [
        ("Oil", "done", 3, "“Take out” comes before it"),
        ("Bath", "repeat", -1, "the batch starts on 2025-01-20"),
        ("Oil", "repeat", 12, "comes before it"),
    ],
)
def test_a_step_before_it_can_be_is_refused_and_nothing_is_written(name: str, kind: str, nth: int, words: str) -> None:
    bath = tub("H01")
    with pytest.raises(StepNotReady, match=words):
        log(bath, name, kind, nth, minutes=D(5))
    bath.refresh_from_db()
    assert (StepMark.objects.count(), LabourLine.objects.count(), bath.state) == (0, 0, "planned")


def test_a_repeat_may_be_written_late() -> None:
    bath = tub("H01")
    log(bath, "Bath", "repeat", 5)
    log(bath, "Bath", "repeat", 3)
    log(bath, "Bath", nth=11)
    log(bath, "Bath", "repeat", 7)
    assert list(StepMark.objects.values_list("on", flat=True)) == [day(3), day(5), day(7), day(11)]


def test_a_step_cannot_end_before_what_is_logged_of_it_already() -> None:
    bath = tub("H01")
    log(bath, "Bath", "repeat", 10)
    with pytest.raises(StepNotReady, match=rf"“Bath” is logged on {day(10)} already. Use {day(10)} or a later date"):
        log(bath, "Bath", nth=9)
    assert StepMark.objects.count() == 1


def test_a_step_ends_once() -> None:
    bath = tub("H01")
    log(bath, "Bath", nth=11)
    with pytest.raises(StepNotReady, match=f"it was done on {day(11)}"):
        log(bath, "Bath", "skipped", 12)


def test_after_the_last_step_nothing_is_left_to_log() -> None:
    bath = tub("H01")
    log(bath, "Bath", nth=11)
    log(bath, "Oil", nth=12)
    log(bath, "Frame", "skipped", 12)
    with pytest.raises(
        Refused, match=f"The last step of B1, “Frame”, was skipped on {day(12)}: nothing is left to log"
    ):
        log(bath, "Frame", nth=20)


def test_a_done_batch_takes_no_mark() -> None:
    bath = tub("H01")
    log(bath, "Bath", "repeat", 1)
    losses.lose(skin=bath.stays.get().skin, on=day(2), reason="slipped")
    with pytest.raises(Refused, match="B1 is done"):
        log(bath, "Bath", "repeat", 2)


def test_a_step_of_another_version_is_refused() -> None:
    bath = tub("H01")
    other = make.recipe("R1", steps=[BATH])
    with pytest.raises(Refused, match="B1 is made by R1 v1") as refusal:
        marks.log(batch=bath, step=other.steps.get(), kind="done", on=day(11))
    assert refusal.value.field == "step"


@pytest.mark.parametrize(
    ("given", "field"),
    [
        ({"kind": "dreamt"}, "kind"),
        ({"kind": "skipped", "minutes": D(5)}, "minutes"),
        ({"minutes": D(-1)}, "minutes"),
        ({"minutes": D(1441)}, "minutes"),
        ({"minutes": D("0.0001")}, "minutes"),
        ({"note": "a\x07"}, "note"),
        ({"note": "x" * 201}, "note"),
        ({"on": date(1969, 1, 1)}, "on"),
        ({"on": date(2999, 1, 1)}, "on"),
    ],
)
def test_a_mark_that_cannot_be_is_refused_beside_its_field(given: dict[str, Any], field: str) -> None:
    bath = tub("H01")
    with pytest.raises(Refused) as refusal:
        marks.log(**{"batch": bath, "step": step(bath, "Bath"), "kind": "done", "on": day(11), **given})
    assert refusal.value.field == field
    assert not StepMark.objects.exists()


def test_minutes_in_an_empty_batch_have_nobody_to_bear_them() -> None:
    bath = tub(planned_skins=3)
    with pytest.raises(
        Refused, match="No skin is in B1 on 2025-01-21, so 6 minutes can be allocated to nobody"
    ) as refusal:
        log(bath, "Bath", "repeat", 1, minutes=D(6))
    assert refusal.value.field == "minutes"
    assert log(bath, "Bath", "repeat", 1).labour is None


def test_minutes_are_not_written_into_a_closed_period_but_a_mark_is() -> None:
    bath = tub("H01")
    workshop.close_books(to=day(2))
    with pytest.raises(ClosedPeriod):
        log(bath, "Bath", "repeat", 1, minutes=D(6))
    assert log(bath, "Bath", "repeat", 1).on == day(1)


def test_the_same_form_sent_twice_logs_once() -> None:
    bath = tub("H01")
    first = log(bath, "Bath", "repeat", 1, minutes=D(6), request_key="k")
    assert log(bath, "Bath", "repeat", 1, minutes=D(6), request_key="k") == first
    assert (StepMark.objects.count(), LabourLine.objects.count()) == (1, 1)


def test_a_mark_taken_back_stays_on_its_row_and_its_labour_is_reversed() -> None:
    bath = tub("H01")
    mark = log(bath, "Bath", nth=11, minutes=D(36))
    back = marks.reverse(mark=mark, by=make.owner())
    assert (back.pk, back.reverser) == (mark.pk, make.owner())
    assert [line.minutes for line in LabourLine.objects.order_by("pk")] == [D(36), D(-36)]
    assert log(bath, "Bath", nth=12).on == day(12)


def test_a_mark_is_taken_back_once() -> None:
    mark = log(tub("H01"), "Bath", "repeat", 1)
    marks.reverse(mark=mark)
    with pytest.raises(Refused, match="reversed already"):
        marks.reverse(mark=mark)


def test_labour_reverser_itself_does_not_hold_its_mark() -> None:
    mark = log(tub("H01"), "Bath", "repeat", 1, minutes=D(6))
    assert mark.labour
    labour.reverse(line=mark.labour)
    assert marks.reverse(mark=mark).reversed_at


def test_a_step_that_others_stand_on_is_not_taken_back() -> None:
    bath = tub("H01")
    bathed = log(bath, "Bath", nth=11)
    oiled = log(bath, "Oil", nth=12)
    with pytest.raises(Refused, match="Reverse “Oil” first"):
        marks.reverse(mark=bathed)
    marks.reverse(mark=oiled)
    assert marks.reverse(mark=bathed).reversed_at


def test_a_repeat_may_be_taken_back_whatever_follows() -> None:
    bath = tub("H01")
    turned = log(bath, "Bath", "repeat", 5)
    log(bath, "Bath", nth=11)
    log(bath, "Oil", nth=12)
    assert marks.reverse(mark=turned).reversed_at


def test_a_tap_is_undone_by_its_own_hand_within_the_seconds() -> None:
    bath = tub("H01")
    mine = log(bath, "Bath", "repeat", 1, by=make.owner())
    with pytest.raises(Refused, match="Somebody else wrote this entry"):
        marks.undo(mark=mine, by=make.person("helper"))
    assert marks.undo(mark=mine, by=make.owner()).reversed_at
    late = log(bath, "Bath", "repeat", 1, by=make.owner())
    late.written_at -= timedelta(minutes=1)
    with pytest.raises(Refused, match="seconds for an undo are over"):
        marks.undo(mark=late, by=make.owner())


def test_a_bookkeeper_logs_no_step() -> None:
    bath = tub("H01")
    mark = log(bath, "Bath", "repeat", 1, by=make.person("helper"))
    who = make.person("bookkeeper")
    for act in (
        lambda: log(bath, "Bath", "repeat", 2, by=who),
        lambda: marks.reverse(mark=mark, by=who),
        lambda: marks.undo(mark=mark, by=who),
    ):
        with pytest.raises(NotAllowed):
            act()


def test_a_batch_with_a_mark_is_not_dropped() -> None:
    bath = tub()
    marks.reverse(mark=log(bath, "Bath", "repeat", 1))
    with pytest.raises(Refused, match="has entries, so its plan cannot be deleted"):
        batches.cancel(batch=bath)


@pytest.mark.usefixtures("shared_database")
def test_of_two_who_end_a_step_at_once_one_is_told() -> None:
    bath = tub("H01")
    answers = together(*[lambda: log(Batch.objects.get(pk=bath.pk), "Bath", nth=11, minutes=D(9))] * 2)
    told = [answer for answer in answers if isinstance(answer, StepNotReady)]
    assert len(told) == 1
    assert f"it was done on {day(11)}" in str(told[0])
    assert (StepMark.objects.count(), LabourLine.objects.count()) == (1, 1)


@pytest.mark.usefixtures("shared_database")
def test_two_who_turn_at_once_have_both_turned() -> None:
    bath = tub("H01")
    answers = together(*[lambda: log(Batch.objects.get(pk=bath.pk), "Bath", "repeat", 1)] * 2)
    assert [type(answer) for answer in answers] == [StepMark, StepMark]


def test_a_skin_in_the_tub_is_not_finished_until_its_step_is_logged() -> None:
    bath = tub("H1")
    step, *_ = bath.version.steps.order_by("position")
    marks.log(batch=bath, step=step, kind="repeat", on=day(1))
    with pytest.raises(Refused, match="still in the tub: B1 is at “Bath”"):
        articles.finish(on=day(2), tags=["H1"], pieces=[make.piece("A1")], by=make.person("owner"))
    marks.log(batch=bath, step=step, kind="done", on=day(11))
    make.finish("H1", on=day(12))
