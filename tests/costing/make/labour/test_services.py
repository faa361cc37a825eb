from __future__ import annotations

from datetime import timedelta
from decimal import Decimal
from fractions import Fraction

import pytest

from costing.make.cost import selectors as costs
from costing.make.cost.rules import Share
from costing.make.labour import services as labour
from costing.make.recipes.models import TaskKind
from costing.models import LabourLine
from costing.report.audit import selectors as audit
from inventory.base.accounting import services as workshop
from inventory.errors import ClosedPeriod, Refused
from inventory.models import Skin
from tests.factories import DAY, batch, owner, skin, work

pytestmark = pytest.mark.django_db
D, F = Decimal, Fraction
LATER = DAY + timedelta(days=1)


def share(tag: str) -> Share:
    return costs.skin_shares(Skin.objects.filter(tag=tag))[tag]


def test_minutes_in_a_batch_go_by_head_to_the_skins_there() -> None:
    for tag in ("H01", "H02"):
        skin(tag)
    work(minutes=90, batch=batch(tags=["H01", "H02"]))
    assert (share("H01").minutes, share("H01").own_minutes) == (F(45), F(45))


def test_paid_help_is_money_and_never_own_time() -> None:
    skin("H01")
    work(minutes=60, tags=["H01"], who="Anna", paid=D("12.50"))
    assert (share("H01").paid_help, share("H01").minutes, share("H01").own_minutes) == (F("12.5"), F(60), 0)
    assert audit.findings() == []


def test_the_owners_minutes_are_never_book_cost() -> None:
    skin("H01", price=12)
    work(minutes=600, tags=["H01"])
    assert share("H01").book() == F(12)


@pytest.mark.thorough(but=4)
@pytest.mark.parametrize("task", ["tie to frame", "lace", "rakentaa kehykseen", ""])
@pytest.mark.parametrize("kind", TaskKind.values)
def test_what_work_counts_as_is_chosen_and_never_read_from_its_words(kind: str, task: str) -> None:
    skin("H01")
    line = labour.log(on=DAY, kind=kind, task=task, minutes=D(30), tags=["H01"])
    assert (line.kind, line.laced) == (kind, kind == "lace")
    assert line.task == (task or TaskKind(kind).label.lower())
    assert labour.reverse(line=line).kind == kind


def test_a_kind_that_is_none_is_refused_with_those_there_are() -> None:
    skin("H01")
    with pytest.raises(Refused, match=r"'tan' is not a known kind of work.*lace, soften") as refusal:
        labour.log(on=DAY, kind="tan", minutes=D(30), tags=["H01"])
    assert refusal.value.field == "kind"
    assert not LabourLine.objects.exists()


def test_a_tick_overrules_the_word() -> None:
    skin("H01")
    assert work(task="lace", tags=["H01"], laced=False).laced is False
    assert work(task="soften", tags=["H01"], laced=True).laced is True


def test_each_laced_skin_wears_a_frame() -> None:
    for tag in ("H01", "H02"):
        skin(tag)
    work(task="lace", batch=batch(tags=["H01", "H02"]))
    assert (share("H01").laces, share("H02").laces) == (1, 1)


@pytest.mark.parametrize(
    ("given", "field"),
    [
        ({"minutes": D(0)}, "minutes"),
        ({"minutes": D(-5)}, "minutes"),
        ({"minutes": D(1441)}, "minutes"),
        ({"minutes": D("0.3333")}, "minutes"),
        ({"minutes": D("NaN")}, "minutes"),
        ({"task": "a\x07"}, "task"),
        ({"task": "x" * 81}, "task"),
        ({"who": "a\x07"}, "who"),
        ({"paid": D("-1")}, "paid"),
        ({"paid": D("0.001")}, "paid"),
        ({"tags": []}, "skins"),
        ({"tags": ["H09"]}, "skins"),
        ({"on": DAY - timedelta(days=1)}, "on"),
    ],
)
def test_work_that_cannot_be_is_refused_beside_its_field(given: dict[str, object], field: str) -> None:
    skin("H01")
    with pytest.raises(Refused) as refusal:
        labour.log(**{"on": DAY, "task": "soften", "minutes": D(60), "tags": ["H01"], **given})  # type: ignore[arg-type]
    assert refusal.value.field == field
    assert not LabourLine.objects.exists()


def test_a_day_has_1440_minutes() -> None:
    skin("H01")
    assert work(minutes=1440, tags=["H01"])


def test_no_work_is_written_on_a_closed_day() -> None:
    skin("H01")
    workshop.close_books(to=DAY)
    with pytest.raises(ClosedPeriod):
        work(tags=["H01"])


def test_a_form_sent_twice_logs_once() -> None:
    skin("H01")
    assert work(tags=["H01"], request_key="k") == work(tags=["H01"], request_key="k")
    assert LabourLine.objects.count() == 1


def test_the_writer_is_kept() -> None:
    skin("H01")
    assert work(tags=["H01"], by=owner()).written_by == owner()


def test_a_line_taken_back_costs_nothing_and_both_stay() -> None:
    skin("H01")
    line = work(task="lace", tags=["H01"], who="Anna", paid=D(10))
    back = labour.reverse(line=line)
    assert (back.minutes, back.paid, back.reverses, back.on) == (D(-60), D(-10), line, DAY)
    assert share("H01") == Share(skin_price=F(12))
    assert audit.findings() == []


def test_a_line_is_taken_back_once() -> None:
    skin("H01")
    line = work(tags=["H01"])
    back = labour.reverse(line=line, request_key="k")
    assert labour.reverse(line=line, request_key="k") == back
    for again in (line, back):
        with pytest.raises(Refused, match="reversed already"):
            labour.reverse(line=again)


def test_taking_back_over_a_closed_day_needs_a_later_one() -> None:
    one = skin("H01")
    line = work(tags=["H01"], paid=D(10))
    workshop.close_books(to=DAY)
    with pytest.raises(ClosedPeriod):
        labour.reverse(line=line)
    labour.reverse(line=line, on=LATER)
    assert costs.skin_shares([one], DAY)["H01"].paid_help == 10
    assert costs.skin_shares([one], LATER)["H01"].paid_help == 0
    assert audit.findings() == []


def test_nothing_is_taken_back_before_it_happened() -> None:
    skin("H01")
    line = work(tags=["H01"])
    with pytest.raises(Refused, match="before it happened"):
        labour.reverse(line=line, on=DAY - timedelta(days=1))
