"""Additions as tasks: asked for on their day in the maker's measure, put in by a tap, skipped with a reason, never forgotten."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from decimal import Decimal

import pytest

from costing.make.additions import selectors as read, services as additions
from costing.make.batches.issues import services as issues
from costing.make.batches.requirements import selectors as requirements
from costing.make.batches.stays import selectors as stays
from costing.make.baths.chemistry.bath import FROTH_CAUTION
from costing.make.baths.pours import services as pours
from costing.make.foresight import selectors as restock
from costing.make.losses import services as losses
from costing.make.recipes.services import Line, Step
from costing.make.steps.agenda import selectors as agenda
from costing.make.steps.marks import services as marks
from costing.models import Batch, SkippedAddition, StepMark
from inventory.base.accounting import services as workshop
from inventory.errors import Refused
from inventory.models import Material, Skin
from tests import factories as make
from tests.factories import days_from

pytestmark = pytest.mark.django_db
D = Decimal
START = date(2025, 3, 3)
day = days_from(START)
STEPS = (
    Step("Salt", lasts_days=0),
    Step("Cure", "Wash", lasts_days=4),
    Step("Bath", "Take out", lasts_days=10, grace_days=2, uses="tub"),
    Step("Oil", wait_days=1),
)


@pytest.fixture(autouse=True)
def _today() -> None:
    workshop.pin_today(on=day(60))


@pytest.fixture
def jars() -> dict[str, Material]:
    kinds = {"ALUM": "potash_alum", "SALT": "salt", "SODA": "washing_soda_crystals", "ASH": "soda_ash"}
    return {code: make.material(code, on_hand=50, value=50, on=START, substance=kinds[code]) for code in kinds}


@pytest.fixture
def batch(jars: dict[str, Material]) -> Batch:
    """Salt and alum as the bath begins on day 4, soda on its third day, salt water as it ends."""
    version = make.recipe(
        "R1",
        Line(jars["ALUM"], D("0.5"), "lb", "per_skin", "Bath"),
        Line(jars["SALT"], D(40), "g", "per_litre", "Bath"),
        Line(jars["SODA"], D(25), "g", "per_litre", "Bath", 7, "dissolved"),
        Line(jars["SALT"], D(1), "kg", "per_bath", "Bath", 14, "salt water"),
        steps=STEPS,
    )
    make.skin("H01", date_in=START)
    tub = make.place("Blue tub", "tub")
    return make.batch("B3", version=version, start=START, litres=D(27), tags=["H01"], place=tub)


def log(batch: Batch, name: str, nth: int, kind: str = "done", **more: object) -> StepMark:
    step = batch.version.steps.get(name=name)
    return marks.log(batch=batch, step=step, kind=kind, on=day(nth), **more)  # type: ignore[arg-type]


def began(batch: Batch) -> None:
    log(batch, "Salt", 0)
    log(batch, "Cure", 4)


def put(batch: Batch, material: Material, kilograms: str, nth: int, line: int | None = None) -> object:
    named = batch.version.lines.get(position=line) if line else None
    amount = issues.Amount(material, D(kilograms), "kg", None, named)
    return issues.issue(batch=batch, on=day(nth), amounts=[amount])


def asked(nth: int, ahead_days: int = 3) -> list[tuple[str, str]]:
    found = agenda.tasks(day(nth), ahead_days)
    return [(task.due.words, task.due.state) for task in found if task.kind == "addition"]


def used(batch: Batch) -> list[Decimal]:
    return [amount.used for amount in requirements.amounts(stays.detailed().get(pk=batch.pk))]


def beside(batch: Batch) -> dict[str, Decimal]:
    found = requirements.account(stays.detailed().get(pk=batch.pk))
    return {material.code: quantity for material, quantity in requirements.besides(found, Material.objects.all())}


def test_an_addition_is_asked_for_on_its_day_in_the_makers_own_measure(batch: Batch) -> None:
    began(batch)
    assert asked(4) == [
        ("Add 0.5 lb Material ALUM", "due"),
        ("Add 1.08 kg Material SALT", "due"),
        ("Add 0.675 kg Material SODA", "coming"),
    ]
    task = next(task for task in agenda.tasks(day(4)) if task.addition)
    assert (task.place, task.step and task.step.name, task.skins) == ("Blue tub", "Bath", ("H01",))


def test_what_goes_in_as_a_step_ends_is_due_with_its_end_and_moves_with_it(batch: Batch) -> None:
    log(batch, "Salt", 0)
    log(batch, "Cure", 6)
    row = stays.detailed().get()
    due = {addition.line.position: addition.amount for addition in read.of(row, requirements.amounts(row, day(6)))}
    assert [(due[nth].due - START).days for nth in (1, 3, 4)] == [6, 9, 16]
    assert due[4].latest == day(18)


def test_steps_ahead_of_the_open_one_ask_for_nothing_yet(batch: Batch) -> None:
    log(batch, "Salt", 0)
    assert asked(0, ahead_days=30) == []


def test_an_addition_in_is_asked_for_no_more_and_a_late_one_still_is(batch: Batch, jars: dict[str, Material]) -> None:
    began(batch)
    put(batch, jars["ALUM"], "0.2", 4)
    put(batch, jars["SALT"], "1.08", 4)
    assert asked(8, ahead_days=0) == [("Add 0.675 kg Material SODA", "overdue")]
    put(batch, jars["SODA"], "0.675", 8)
    assert asked(8, ahead_days=0) == []


def test_salt_that_cures_is_not_yet_the_salt_of_the_bath(batch: Batch, jars: dict[str, Material]) -> None:
    log(batch, "Salt", 0)
    put(batch, jars["SALT"], "6", 0)
    assert (used(batch), beside(batch)) == ([0, 0, 0, 0], {"SALT": D(6000)})
    log(batch, "Cure", 4)
    put(batch, jars["SALT"], "1.08", 4)
    assert (used(batch), beside(batch)) == ([0, D(1080), 0, 0], {"SALT": D(6000)})


def test_what_is_entered_twice_is_counted_twice(batch: Batch, jars: dict[str, Material]) -> None:
    began(batch)
    for _ in range(2):
        put(batch, jars["SODA"], "0.675", 7)
    assert used(batch)[2] == D(1350)
    assert sum(used(batch), D(0)) + sum(beside(batch).values(), D(0)) == D(1350)


def test_what_is_put_in_for_a_line_counts_for_it_on_whatever_day(batch: Batch, jars: dict[str, Material]) -> None:
    """A bath that is mixed the evening before its step begins."""
    log(batch, "Salt", 0)
    put(batch, jars["SALT"], "1.08", 2, line=2)
    assert used(batch)[1] == D(1080)


def test_a_stand_in_counts_for_the_line_it_was_put_in_for(batch: Batch, jars: dict[str, Material]) -> None:
    began(batch)
    put(batch, jars["ASH"], "0.25", 7, line=3)
    amount = requirements.amounts(stays.detailed().get())[2]
    assert amount.instead == ("Material ASH",)
    assert amount.left == 0


def test_a_line_of_another_recipe_or_of_another_kind_is_refused(batch: Batch, jars: dict[str, Material]) -> None:
    with pytest.raises(Refused, match="cannot take the place of"):
        put(batch, jars["SALT"], "1", 4, line=3)
    other = make.recipe("R2", Line(jars["SALT"], D(1), "kg", "per_bath")).lines.get()
    amount = issues.Amount(jars["SALT"], D(1), "kg", None, other)
    with pytest.raises(Refused, match="own recipe version"):
        issues.issue(batch=batch, on=day(4), amounts=[amount])


def test_a_step_is_not_done_over_what_is_missing_unless_it_is_said_why(batch: Batch, jars: dict[str, Material]) -> None:
    began(batch)
    put(batch, jars["ALUM"], "0.2", 4)
    put(batch, jars["SALT"], "1.08", 4)
    put(batch, jars["SALT"], "1", 14)
    with pytest.raises(Refused, match=r"0\.675 kg Material SODA is not in B3 yet") as refusal:
        log(batch, "Bath", 14)
    assert refusal.value.field == "without"
    assert not SkippedAddition.objects.exists()
    log(batch, "Bath", 14, without="the jar was empty")
    (skipped,) = SkippedAddition.objects.all()
    assert (skipped.line.position, skipped.on, skipped.reason) == (3, day(14), "the jar was empty")
    log(batch, "Oil", 15)


def test_a_step_called_done_by_mistake_asks_for_its_additions_again(batch: Batch) -> None:
    began(batch)
    done = log(batch, "Bath", 14, without="none left")
    assert SkippedAddition.objects.filter(reversed_at__isnull=True).count() == 4
    marks.reverse(mark=done)
    assert not SkippedAddition.objects.filter(reversed_at__isnull=True).exists()
    assert len(asked(14)) == 4


def test_a_repeat_and_a_skipped_step_need_nothing(batch: Batch) -> None:
    began(batch)
    log(batch, "Bath", 5, kind="skipped")
    assert asked(5, ahead_days=30) == []


def test_a_skipped_addition_is_asked_for_no_more_until_that_is_reversed(batch: Batch) -> None:
    began(batch)
    soda = batch.version.lines.get(position=3)
    skipped = additions.skip(batch=batch, line=soda, reason="enough basicity", on=day(7))
    assert "SODA" not in str(asked(7, ahead_days=0))
    assert Material.objects.get(code="SODA").pk not in restock.needs(day(7))
    with pytest.raises(Refused, match="skipped already"):
        additions.skip(batch=batch, line=soda, reason="again", on=day(7))
    additions.reverse(skipped=skipped)
    with pytest.raises(Refused, match="reversed already"):
        additions.reverse(skipped=skipped)
    assert "SODA" in str(asked(7, ahead_days=0))


def test_a_skip_needs_a_reason_and_a_line_of_the_batch(batch: Batch, jars: dict[str, Material]) -> None:
    with pytest.raises(Refused, match="reason is missing"):
        additions.skip(batch=batch, line=batch.version.lines.get(position=3), reason=" ")
    other = make.recipe("R2", Line(jars["SALT"], D(1), "kg", "per_bath")).lines.get()
    with pytest.raises(Refused, match="no such line"):
        additions.skip(batch=batch, line=other, reason="why")


def test_one_tap_takes_it_from_the_shelf_once(batch: Batch, jars: dict[str, Material]) -> None:
    began(batch)
    soda = batch.version.lines.get(position=3)
    sent = {"batch": batch, "line": soda, "amount": D(675), "unit": "g", "on": day(7)}
    first = pours.add(**sent, request_key="tap")
    assert pours.add(**sent, request_key="tap") == first
    with pytest.raises(Refused, match=r"0.675 kg of Material SODA are in B3 already\. Tick") as refusal:
        pours.add(**sent, request_key="another phone")
    assert refusal.value.field == "again"
    jars["SODA"].refresh_from_db()
    assert jars["SODA"].on_hand == D(49325)
    pours.add(**sent, again=True)
    assert used(batch)[2] == D(1350)


def test_a_tap_is_undone_by_the_hand_that_made_it_for_ten_seconds(batch: Batch) -> None:
    began(batch)
    owner = make.owner()
    use = pours.add(batch=batch, line=batch.version.lines.get(position=3), amount=D(675), unit="g", on=day(7), by=owner)
    with pytest.raises(Refused, match="Somebody else"):
        issues.undo(use=use, by=make.person("helper"))
    issues.undo(use=use, by=owner)
    assert used(batch)[2] == 0


def test_without_steps_each_line_is_asked_for_on_its_day(jars: dict[str, Material]) -> None:
    version = make.recipe(
        "R2", Line(jars["ALUM"], D(80), "g", "per_litre"), Line(jars["SODA"], D(25), "g", "per_litre", day=3)
    )
    batch = make.batch("B4", version=version, start=START, litres=D(10))
    assert asked(0) == [("Add 0.8 kg Material ALUM", "due"), ("Add 0.25 kg Material SODA", "coming")]
    put(batch, jars["ALUM"], "0.8", 0)
    assert asked(4, ahead_days=0) == [("Add 0.25 kg Material SODA", "overdue")]
    additions.skip(batch=batch, line=version.lines.get(position=2), reason="clear already", on=day(4))
    assert asked(4, ahead_days=0) == []


def test_an_amount_that_is_not_known_says_what_the_recipe_asks(jars: dict[str, Material]) -> None:
    version = make.recipe("R2", Line(jars["SALT"], D(10), "%", "percent_of_weight"))
    make.batch("B4", version=version, start=START, planned_skins=2)
    (task,) = agenda.tasks(START)
    assert task.due.words == "Add 10 % of skin weight Material SALT"
    assert task.addition
    assert task.addition.quantity is None
    assert "enter the weight of the skins" in task.addition.amount.missing


def test_a_bath_planned_for_today_is_a_task_of_today(jars: dict[str, Material]) -> None:
    mixed = Line(jars["ALUM"], D(80), "g", "per_litre", "Mix")
    version = make.recipe("R2", mixed, steps=[Step("Mix"), Step("Bath", lasts_days=5, uses="tub")])
    make.batch("B4", version=version, start=START, litres=D(10))
    assert [(task.kind, task.due.state, task.due.to_begin) for task in agenda.tasks(START)] == [
        ("addition", "due", True),
        ("step", "due", True),
    ]


def test_restock_wants_it_on_the_day_that_it_goes_in(batch: Batch, jars: dict[str, Material]) -> None:
    def days(nth: int, material: Material) -> Iterable[int]:
        return [(need.on - START).days for need in restock.needs(day(nth))[material.pk]]

    assert list(days(0, jars["SODA"])) == [7]
    log(batch, "Salt", 0)
    log(batch, "Cure", 7)
    assert list(days(7, jars["SODA"])) == [10]
    assert list(days(7, jars["SALT"])) == [7, 17]
    log(batch, "Bath", 8, without="taken out early")
    assert restock.needs(day(8)) == {}


def test_soda_in_an_alum_bath_says_that_it_foams(batch: Batch) -> None:
    began(batch)
    task = next(task for task in agenda.tasks(day(7)) if task.addition and task.addition.material.code == "SODA")
    assert task.cautions[0] == FROTH_CAUTION


def test_a_past_day_shows_what_stood_then(batch: Batch, jars: dict[str, Material]) -> None:
    began(batch)
    put(batch, jars["SODA"], "0.675", 8)
    assert ("Add 0.675 kg Material SODA", "due") in asked(7)
    assert "SODA" not in str(asked(8))


@pytest.mark.thorough
def test_queries_are_as_many_for_thirty_batches_as_for_one(batch: Batch, django_assert_max_num_queries: type) -> None:
    for nth in range(29):
        make.batch(f"C{nth}", version=batch.version, start=START, litres=D(10))
    with django_assert_max_num_queries(20):
        assert len({task.batch.number for task in agenda.tasks(day(4))}) == 30


def test_what_goes_in_by_the_skin_is_for_those_that_are_still_there(jars: dict[str, Material]) -> None:
    """One is lost while they cure: the paste is for the others, and what went in stays measured by those who had it."""
    paste = Line(jars["ALUM"], D(300), "g", "per_skin", "Paste")
    version = make.recipe("R2", paste, steps=[Step("Cure", lasts_days=4), Step("Paste"), Step("Rest")])
    tags = ["H11", "H12", "H13"]
    for tag in tags:
        make.skin(tag, date_in=START)
    batch = make.batch("B4", version=version, start=START, tags=tags, planned_skins=4)
    assert [amount.planned for amount in requirements.amounts(stays.detailed().get(number="B4"))] == [D(1200)]
    log(batch, "Cure", 4)
    losses.lose(skin=Skin.objects.get(tag="H12"), on=day(4), reason="slipped")
    assert asked(4) == [("Add 0.6 kg Material ALUM", "due")]
    put(batch, jars["ALUM"], "0.6", 4)
    log(batch, "Paste", 4)
    losses.lose(skin=Skin.objects.get(tag="H13"), on=day(6), reason="slipped")
    (amount,) = requirements.amounts(stays.detailed().get(number="B4"))
    assert (amount.planned, amount.used) == (D(600), D(600))


def test_a_past_day_of_a_batch_that_is_done_shows_what_was_asked_then(batch: Batch) -> None:
    began(batch)
    Batch.objects.update(state=Batch.State.DONE)
    assert ("Add 0.675 kg Material SODA", "due") in asked(7)
    assert read.of(stays.detailed().get(), requirements.amounts(stays.detailed().get())) == []
