"""Frames are made of materials and minutes, repaired, broken; what goes into them leaves the shelf by the ledger."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest

from costing.make.batches.issues import services as issues
from costing.make.batches.issues.services import Amount
from costing.make.cost.rates import services as rates
from costing.make.frames import selectors as frames
from costing.make.frames.making import services as making
from costing.models import Frame, Repair, Use
from costing.report.audit import selectors as audit
from costing.report.usage import report as usage
from costing.report.year.profit import selectors as year
from inventory.base.accounting import services as workshop
from inventory.errors import ClosedPeriod, NotAllowed, Refused, ShortStock, Taken
from inventory.foresight import selectors as foresight
from inventory.models import Material, Movement
from tests.factories import DAY, material, person, skin

pytestmark = pytest.mark.django_db
D = Decimal
LATER = DAY + timedelta(days=30)


@pytest.fixture
def lumber() -> Material:
    return material("LUMBER", "m", on_hand=10, value="15.00")


@pytest.fixture
def screws() -> Material:
    return material("SCREW", "piece", on_hand=100, value="4.00")


def built(number: str = "F1", *amounts: Amount, **said: Any) -> Frame:
    return making.build(number=number, on=DAY, amounts=amounts, **{"lacings": 12, **said})


def account(frame: Frame) -> frames.Account:
    return frames.accounts([frame])[frame.pk]


def test_a_frame_costs_its_materials_as_they_leave_the_shelf(lumber: Material, screws: Material) -> None:
    frame = built("F1", Amount(lumber, D("5.2"), "m"), Amount(screws, D(8), "piece"))
    assert (account(frame).book, account(frame).full) == (D("8.12"), D("8.12"))
    lumber.refresh_from_db()
    assert (lumber.on_hand, lumber.value) == (D(4800), D("7.20"))
    assert audit.findings() == []


def test_own_minutes_are_in_the_full_cost_alone_at_the_rates_of_their_day(lumber: Material) -> None:
    rates.set_rates(wage_per_hour=D(16), overhead_per_hour=D(4))
    frame = built("F1", Amount(lumber, D(4), "m"), minutes=D(45), cost=D("2.50"))
    assert (account(frame).book, account(frame).full) == (D("8.50"), D("23.50"))
    rates.set_rates(since=LATER, wage_per_hour=D(32))
    assert account(frame).full == D("23.50")
    assert year.year(2025).other_hours == D("0.75")


def test_a_short_shelf_refuses_the_frame_and_writes_nothing(lumber: Material) -> None:
    with pytest.raises(ShortStock):
        built("F1", Amount(lumber, D(11), "m"))
    assert not Frame.objects.exists()


def test_lumber_is_kept_by_length_or_by_the_board_foot(lumber: Material) -> None:
    boards = material("BOARDS", "board_foot", on_hand=20, value="60.00")
    frame = built("F1", Amount(lumber, D(2), "foot"), Amount(boards, D(5), "board_foot"))
    assert account(frame).book == D("15.91")
    with pytest.raises(Refused, match=r"board foot measures volume, but .* is kept by length"):
        making.repair(frame=frame, on=DAY, what="a rail", amounts=[Amount(lumber, D(1), "board_foot")])


def test_a_number_is_a_frames_own() -> None:
    built("F1")
    with pytest.raises(Taken):
        built("f1")


@pytest.mark.parametrize(
    ("said", "field"),
    [
        ({"lacings": 0}, "lacings"),
        ({"lacings": 1001}, "lacings"),
        ({"cost": D("-1")}, "cost"),
        ({"cost": D("1.005")}, "cost"),
        ({"minutes": D("-1")}, "minutes"),
        ({"note": "a\x07"}, "note"),
    ],
)
def test_what_cannot_be_of_a_frame_is_refused(said: dict[str, Any], field: str) -> None:
    with pytest.raises(Refused) as refusal:
        built("F1", **said)
    assert refusal.value.field == field


def test_a_repair_adds_materials_time_and_lacings(lumber: Material) -> None:
    rates.set_rates(wage_per_hour=D(12))
    frame = built("F1", cost=D("18.24"))
    made = making.repair(
        frame=frame, on=LATER, what="a rail", amounts=[Amount(lumber, D("1.2"), "m")], minutes=D(10), lacings=3
    )
    assert (account(frame).full, account(frame).lacings_left) == (D("22.04"), 15)
    making.reverse(repair=made, reason="not so")
    assert (account(frame).full, account(frame).lacings_left) == (D("18.24"), 12)
    lumber.refresh_from_db()
    assert lumber.on_hand == D(10000)
    with pytest.raises(Refused, match="reversed already"):
        making.reverse(repair=made, reason="again")
    assert audit.findings() == []


def test_what_went_into_a_frame_is_reversed_like_every_use(lumber: Material) -> None:
    frame = built("F1", Amount(lumber, D(4), "m"))
    issues.reverse(use=Use.objects.get(frame=frame), reason="counted wrongly")
    assert account(frame).book == 0
    lumber.refresh_from_db()
    assert (lumber.on_hand, lumber.value) == (D(10000), D("15.00"))
    assert audit.findings() == []


def test_what_goes_into_a_frame_goes_into_no_batch_and_on_no_skin(lumber: Material) -> None:
    skin("H01")
    frame, amounts = built("F1"), [Amount(lumber, D(1), "m")]
    with pytest.raises(Refused, match="Enter it apart"):
        issues.issue(batch=None, frame=frame, on=DAY, amounts=amounts, tags=["H01"])
    with pytest.raises(Refused, match="was made on"):
        issues.issue(batch=None, frame=frame, on=DAY - timedelta(days=1), amounts=amounts)


def test_the_month_says_what_was_used_for_frames_and_the_year_where_it_went(lumber: Material) -> None:
    built("F1", Amount(lumber, D(4), "m"))
    table = next(part for part in usage.month("2025-03").sections if part.name == "by_batch")
    assert [(str(row["batch"]), row["value"]) for row in table.rows] == [("frame F1", D("6.00"))]
    found = year.year(2025)
    assert (found.gone.frames, found.unaccounted) == (D("6.00"), 0)


def test_lumber_runs_out_by_what_went_into_frames(lumber: Material) -> None:
    built("F1", Amount(lumber, D(5), "m"))
    making.build(number="F2", on=DAY + timedelta(days=20), amounts=[Amount(lumber, D(4), "m")], lacings=12)
    lumber.refresh_from_db()
    (outlook,) = foresight.outlooks(LATER, [lumber])
    assert outlook.forecast.use.rate > 0


def test_closed_books_take_no_materials_but_an_older_frame_may_be_entered(lumber: Material) -> None:
    workshop.close_books(to=DAY)
    with pytest.raises(ClosedPeriod):
        built("F1", Amount(lumber, D(1), "m"))
    assert built("F2", cost=D("18.24")).made_on == DAY


def test_a_broken_frame_writes_the_rest_off_and_is_repaired_no_more() -> None:
    frame = built("F1", cost=D("18.24"))
    broken = making.write_off(frame=frame, on=LATER, why="fell")
    assert (broken.broken_on, account(broken).left) == (LATER, D("18.24"))
    with pytest.raises(Refused, match="broke on"):
        making.repair(frame=frame, on=LATER + timedelta(days=1), what="a rail")
    with pytest.raises(Refused, match="already"):
        making.write_off(frame=frame, on=LATER, why="fell")
    assert making.take_back(frame=frame).broken_on is None
    with pytest.raises(Refused, match="is whole"):
        making.take_back(frame=frame)


def test_a_repair_says_what_was_done_and_is_not_before_the_frame() -> None:
    frame = built("F1")
    with pytest.raises(Refused, match="missing"):
        making.repair(frame=frame, on=DAY, what=" ")
    with pytest.raises(Refused, match="cannot be repaired before"):
        making.repair(frame=frame, on=DAY - timedelta(days=1), what="a rail")
    assert not Repair.objects.exists()


def test_a_frame_is_described_anew() -> None:
    frame = built("F1", cost=D("18.24"))
    assert making.describe(frame=frame, lacings=24, cost=D("24.00"), note="spruce").lacings == 24
    frame.refresh_from_db()
    assert account(frame).next_wear == D("1.00")


def test_the_bookkeeper_builds_no_frame() -> None:
    with pytest.raises(NotAllowed):
        built("F1", by=person("bookkeeper"))
    assert built("F1", by=person("helper")).number == "F1"


def test_a_form_sent_twice_makes_one_frame(lumber: Material) -> None:
    for _ in range(2):
        built("F1", Amount(lumber, D(1), "m"), request_key="k1")
    assert Movement.objects.filter(posting__use__frame__number="F1").count() == 1
