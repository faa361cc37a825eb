"""A frame named for a lacing bears its wear instead of the workshop's rate, and holds one skin at a time."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction

import pytest

from costing.make.batches.stays import services as stays
from costing.make.cost import selectors as costs
from costing.make.cost.rates import selectors as rates_read, services as rates
from costing.make.cost.rules import Share
from costing.make.frames import selectors as frames
from costing.make.frames.lacings import services as lacings
from costing.make.frames.making import services as making
from costing.make.labour import services as labour
from costing.make.losses import services as losses
from costing.models import ArticleCost, Batch, Frame, LabourLine, Lacing
from costing.report.audit import selectors as audit
from inventory.errors import Refused
from inventory.models import Skin
from tests.factories import DAY, batch, finish, skin, work

pytestmark = pytest.mark.django_db
D, F = Decimal, Fraction
LATER, LAST = DAY + timedelta(days=5), DAY + timedelta(days=20)


@pytest.fixture(autouse=True)
def _skins() -> None:
    rates.set_rates(wage_per_hour=D(16), overhead_per_hour=D(4), frame_wear=D("2.00"))
    for tag in ("H01", "H02", "H03"):
        skin(tag)
    batch("B1", tags=["H01", "H02", "H03"])


def frame(number: str, cost: str = "18.24", lacings: int = 12) -> Frame:
    return making.build(number=number, on=DAY, lacings=lacings, cost=D(cost))


def made(*numbers: str) -> None:
    for number in numbers:
        frame(number)


def laced(*tags: str, on: object = DAY) -> LabourLine:
    return work(on, 30, task="lace", tags=list(tags))  # type: ignore[arg-type]


def wear(tag: str) -> Fraction:
    return share(tag).wear(rates_read.plain())


def share(tag: str) -> Share:
    return costs.skin_shares(Skin.objects.filter(tag=tag))[tag]


def on_frame(number: str) -> str:
    found = frames.still_on().filter(frame__number=number).first()
    return found.skin.tag if found else ""


def test_a_named_frame_bears_the_wear_and_the_others_the_rate() -> None:
    frame("F1")
    line = laced("H01", "H02")
    assert (wear("H01"), wear("H02")) == (2, 2)
    lacings.name(line=line, on_frames={"H01": "F1", "H02": ""})
    assert (wear("H01"), wear("H02")) == (F("1.52"), 2)
    assert (share("H01").laces, share("H01").framed) == (0, 1)
    assert on_frame("F1") == "H01"
    assert audit.findings() == []


def test_a_line_of_the_batch_laces_all_who_were_there() -> None:
    made("F1", "F2", "F3")
    line = labour.log(on=DAY, minutes=D(90), kind="lace", batch=Batch.objects.get(number="B1"))
    lacings.name(line=line, on_frames={"H01": "F1", "H02": "F2", "H03": "F3"})
    assert [wear(tag) for tag in ("H01", "H02", "H03")] == [F("1.52")] * 3


def test_names_are_put_right_by_naming_anew() -> None:
    made("F1", "F2")
    line = laced("H01", "H02")
    lacings.name(line=line, on_frames={"H01": "F1", "H02": "F2"})
    lacings.name(line=line, on_frames={"H01": "F2", "H02": "F1"})
    assert (on_frame("F1"), on_frame("F2")) == ("H02", "H01")
    lacings.name(line=line, on_frames={"H01": "", "H02": ""})
    assert not Lacing.objects.exists()
    assert wear("H01") == 2


def test_a_frame_holds_one_skin_at_a_time() -> None:
    frame("F1")
    first = laced("H01")
    lacings.name(line=first, on_frames={"H01": "F1"})
    with pytest.raises(Refused, match=f"F1 holds H01 since {DAY}") as refusal:
        lacings.name(line=laced("H02", on=LATER), on_frames={"H02": "F1"})
    assert refusal.value.field == "H02"
    lacings.take_off(lacing=Lacing.objects.get(), on=LATER)
    lacings.name(line=laced("H02", on=LATER), on_frames={"H02": "F1"})
    assert on_frame("F1") == "H02"
    with pytest.raises(Refused, match="named twice"):
        lacings.name(line=laced("H01", "H03", on=LAST), on_frames={"H01": "F1", "H03": "F1"})


def test_what_is_finished_or_lost_leaves_its_frame_free() -> None:
    made("F1", "F2")
    lacings.name(line=laced("H01", "H02"), on_frames={"H01": "F1", "H02": "F2"})
    finish("H01", on=LATER)
    losses.lose(skin=Skin.objects.get(tag="H02"), on=LATER, reason="torn")
    assert (on_frame("F1"), on_frame("F2")) == ("", "")
    lacings.name(line=laced("H03", on=LATER), on_frames={"H03": "F1"})
    assert on_frame("F1") == "H03"


def test_a_skin_laced_anew_comes_off_its_frame_and_is_back_when_that_is_reversed() -> None:
    made("F1", "F2")
    lacings.name(line=laced("H01"), on_frames={"H01": "F1"})
    again = laced("H01", on=LATER)
    lacings.name(line=again, on_frames={"H01": "F2"})
    assert (on_frame("F1"), on_frame("F2")) == ("", "H01")
    labour.reverse(line=again)
    assert (on_frame("F1"), on_frame("F2")) == ("H01", "")
    assert wear("H01") == F("1.52")


def test_a_lacing_that_is_reversed_gives_its_wear_back() -> None:
    made = frame("F1", "10.00", 3)
    first = laced("H01")
    lacings.name(line=first, on_frames={"H01": "F1"})
    lacings.take_off(lacing=Lacing.objects.get(), on=DAY)
    lacings.name(line=laced("H02", on=LATER), on_frames={"H02": "F1"})
    labour.reverse(line=first)
    account = frames.accounts([made])[made.pk]
    assert (account.worn, account.left, account.lacings_left) == (D("3.33"), D("6.67"), 2)
    assert wear("H01") == 0
    assert audit.findings() == []


def test_a_late_repair_shows_on_a_finished_piece_as_late() -> None:
    made = frame("F1")
    lacings.name(line=laced("H01", on=LATER), on_frames={"H01": "F1"})
    (article,) = finish("H01", on=LATER)
    assert ArticleCost.objects.get(article=article).worn == D("1.52")
    making.repair(frame=made, on=LATER, what="a rail", cost=D("12.00"))
    cost = ArticleCost.objects.get(article=article)
    assert (cost.late_book, cost.late_full) == (0, D("1.00"))
    assert audit.findings() == []


def test_only_work_that_laced_and_stands_has_frames() -> None:
    frame("F1")
    for line in (work(DAY, 30, tags=["H01"]), laced("H01")):
        if line.laced:
            labour.reverse(line=line)
        with pytest.raises(Refused, match="work that laced skins"):
            lacings.name(line=line, on_frames={"H01": "F1"})


def test_who_was_not_laced_and_what_is_no_frame_is_refused() -> None:
    made = frame("F1")
    line = laced("H01")
    with pytest.raises(Refused, match="H02 was not laced"):
        lacings.name(line=line, on_frames={"H02": "F1"})
    with pytest.raises(Refused, match="no frame F9"):
        lacings.name(line=line, on_frames={"H01": "F9"})
    making.write_off(frame=made, on=DAY, why="fell")
    with pytest.raises(Refused, match="broke on"):
        lacings.name(line=laced("H01", on=LATER), on_frames={"H01": "F1"})
    early = frame("F2")
    Frame.objects.filter(pk=early.pk).update(made_on=LATER)
    with pytest.raises(Refused, match="was made on"):
        lacings.name(line=line, on_frames={"H01": "F2"})


def test_a_skin_comes_off_once_and_not_before_it_was_laced() -> None:
    made = frame("F1")
    lacings.name(line=laced("H01", on=LATER), on_frames={"H01": "F1"})
    with pytest.raises(Refused, match="holds H01"):
        making.write_off(frame=made, on=LAST, why="fell")
    row = Lacing.objects.get()
    with pytest.raises(Refused, match="cannot come off before"):
        lacings.take_off(lacing=row, on=DAY)
    lacings.take_off(lacing=row, on=LAST)
    with pytest.raises(Refused, match="already"):
        lacings.take_off(lacing=row, on=LAST)


def _leave(on: date) -> None:
    stays.leave(batch=Batch.objects.get(number="B1"), skin=Skin.objects.get(tag="H01"), on=on)


def _lose(on: date) -> None:
    losses.lose(skin=Skin.objects.get(tag="H01"), on=on, reason="slipped")


def _finish(on: date) -> None:
    finish("H01", on=on)


def _strike(on: date) -> None:
    stays.strike(batch=Batch.objects.get(number="B1"), skin=Skin.objects.get(tag="H01"), on=on, reason="wrong tag")


@pytest.mark.parametrize("go", [_leave, _lose, _finish, _strike])
def test_a_skin_leaves_not_before_it_was_laced_to_a_frame(go: Callable[[date], None]) -> None:
    made("F1")
    line = labour.log(on=LATER, minutes=D(90), kind="lace", batch=Batch.objects.get(number="B1"))
    lacings.name(line=line, on_frames={"H01": "F1"})
    before = Skin.objects.get(tag="H01").stage
    with pytest.raises(Refused, match=f"H01 was laced to F1 on {LATER}, by work on B1"):
        go(DAY)
    assert Skin.objects.get(tag="H01").stage == before
    lacings.name(line=line, on_frames={"H01": ""})
    go(DAY)
    assert audit.findings() == []


def test_nobody_joins_before_late_work_that_laced_those_who_had_left() -> None:
    made("F1")
    skin("H05"), batch("B5", tags=["H05"])
    late, row = Batch.objects.get(number="B5"), Skin.objects.get(tag="H05")
    labour.log(on=DAY, minutes=D(5), batch=late)
    stays.leave(batch=late, skin=row, on=DAY)
    line = labour.log(on=LATER, minutes=D(90), kind="lace", batch=late)
    lacings.name(line=line, on_frames={"H05": "F1"})
    skin("H06")
    with pytest.raises(Refused, match=f"H05 was laced to F1 on {LATER}, by work on B5"):
        stays.join(batch=late, tags=["H06"], on=LATER)
    stays.join(batch=late, tags=["H06"], on=LAST)
    assert audit.findings() == []
