"""Location follows the work: into the tub and onto the frames with the steps, out again, and back when that is reversed."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal

import pytest

from costing.make.batches.issues import services as issues
from costing.make.batches.issues.services import Amount
from costing.make.batches.stays import services as stays
from costing.make.frames.lacings import services as lacings
from costing.make.frames.making import services as making
from costing.make.labour import services as labour
from costing.make.recipes.services import Line, Step
from costing.make.steps.marks import services as marks
from costing.make.vessels import services as vessels
from costing.models import Batch, Lacing, RecipeStep, StepMark, Use
from inventory.models import Material, Move, Place, Skin
from inventory.places.moves import services as moves
from tests.factories import DAY, batch, material, place, recipe, skin, work

pytestmark = pytest.mark.django_db


def day(nth: int) -> date:
    return DAY + timedelta(days=nth)


@pytest.fixture
def alum() -> Material:
    return material("ALUM", on_hand=50, value="200.00")


@pytest.fixture
def bath(alum: Material) -> Batch:
    """Two skins from the crate: salted, mixed in, nine days in the tub, oiled, eight days on frames."""
    version = recipe(
        "R1",
        Line(alum, Decimal(80), "g", "per_litre", step="Mix"),
        steps=[
            Step("Salt"),
            Step("Mix", uses="tub"),
            Step("Bath", "Take out", lasts_days=9, every_days=1, repeat="Turn", uses="tub"),
            Step("Oil"),
            Step("Frame", "Unlace", lasts_days=8, uses="frame"),
        ],
        litres_per_skin=Decimal(6),
    )
    for tag in ("H01", "H02"):
        skin(tag, place=place("Crate", Place.Kind.SHED))
    tub, frames = place("Tub", Place.Kind.TUB), place("Frames", Place.Kind.FRAME, holds=4)
    return batch("B1", version=version, tags=["H01", "H02"], litres=Decimal(12), place=tub, frames=frames)


def mark(to: Batch, name: str, on: date, kind: str = "done") -> StepMark:
    step = RecipeStep.objects.get(version=to.version, name=name)
    return marks.log(batch=to, step=step, kind=kind, on=on, without="none")


def where(*tags: str) -> list[str]:
    rows = {row.tag: row.place.name if row.place else "" for row in Skin.objects.select_related("place")}
    return [rows[tag] for tag in tags or ("H01", "H02")]


def pour(to: Batch, alum: Material, on: date) -> Use:
    line = to.version.lines.get()
    return issues.issue(batch=to, on=on, amounts=[Amount(alum, Decimal(960), "g", line=line)])


def test_skins_go_into_the_tub_with_the_mixing_and_out_with_the_taking_out(bath: Batch) -> None:
    mark(bath, "Salt", day(0))
    assert where() == ["Crate", "Crate"]
    mark(bath, "Mix", day(1))
    assert where() == ["Tub", "Tub"]
    mark(bath, "Bath", day(5), "repeat")
    assert where() == ["Tub", "Tub"]
    mark(bath, "Bath", day(10))
    assert where() == ["Crate", "Crate"]
    mark(bath, "Oil", day(11))
    assert where() == ["Frames", "Frames"]
    mark(bath, "Frame", day(19))
    assert where() == ["Crate", "Crate"]
    assert [(move.on, str(move.to), move.note) for move in Move.objects.filter(skin__tag="H01")] == [
        (day(1), "Tub", "B1"),
        (day(10), "Crate", "B1"),
        (day(11), "Frames", "B1"),
        (day(19), "Crate", "B1"),
    ]


def test_what_is_put_in_for_the_open_step_fills_the_tub(bath: Batch, alum: Material) -> None:
    mark(bath, "Salt", day(0))
    use = pour(bath, alum, day(1))
    assert where() == ["Tub", "Tub"]
    issues.reverse(use=use, reason="not yet")
    assert where() == ["Crate", "Crate"]
    assert not Move.objects.filter(reversed_at__isnull=True).exists()


def test_a_reversed_step_takes_its_move_with_it(bath: Batch) -> None:
    mark(bath, "Salt", day(0))
    marks.reverse(mark=mark(bath, "Mix", day(1)))
    assert where() == ["Crate", "Crate"]
    assert Move.objects.filter(reversed_at__isnull=False).count() == 2


def test_a_skin_that_joins_late_goes_into_the_tub_and_one_taken_out_goes_back_or_where_it_is_said(bath: Batch) -> None:
    skin("H03", place=place("Freezer", Place.Kind.FREEZER))
    mark(bath, "Salt", day(0))
    mark(bath, "Mix", day(1))
    stays.join(batch=bath, tags=["H03"], on=day(2))
    assert where("H03") == ["Tub"]
    stays.leave(batch=bath, skin=Skin.objects.get(tag="H03"), on=day(3))
    stays.leave(batch=bath, skin=Skin.objects.get(tag="H02"), on=day(3), to=place("Shelf"))
    assert where("H01", "H02", "H03") == ["Tub", "Shelf", "Freezer"]


def test_a_plan_moves_nothing_and_neither_does_a_batch_without_a_tub(bath: Batch) -> None:
    Batch.objects.filter(pk=bath.pk).update(place=place("Crate"))
    bath.refresh_from_db()
    mark(bath, "Salt", day(0))
    mark(bath, "Mix", day(1))
    assert where() == ["Crate", "Crate"]


@pytest.mark.parametrize("basis", ["per_litre", "per_us_gallon"])
def test_a_recipe_without_steps_has_its_skins_in_the_tub_once_it_is_filled(alum: Material, basis: str) -> None:
    skin("H05", place=place("Crate"))
    version = recipe("R2", Line(alum, Decimal(80), "g", basis))
    plain = batch("B2", version=version, tags=["H05"], litres=Decimal(6), place=place("Tub", Place.Kind.TUB))
    work(day(0), 20, batch=plain)
    assert where("H05") == ["Crate"]
    pour(plain, alum, day(1))
    assert where("H05") == ["Tub"]


def test_what_moved_by_hand_on_a_later_day_stays_there(bath: Batch) -> None:
    mark(bath, "Salt", day(0))
    moves.move(thing=Skin.objects.get(tag="H01"), to=place("Shelf"), on=day(6))
    mark(bath, "Mix", day(1))
    assert where() == ["Shelf", "Tub"]


def test_a_skin_goes_to_the_place_of_the_frame_named_for_it_and_back_when_it_is_taken_off(bath: Batch) -> None:
    making.build(number="F1", on=day(0), lacings=12, place=place("Loft", Place.Kind.FRAME))
    line = work(day(1), 30, task="lace", tags=["H01"])
    lacings.name(line=line, on_frames={"H01": "F1"})
    assert where("H01") == ["Loft"]
    lacings.take_off(lacing=Lacing.objects.get(), on=day(4))
    assert where("H01") == ["Crate"]


def test_a_reversed_lacing_moves_its_skin_back(bath: Batch) -> None:
    making.build(number="F1", on=day(0), lacings=12, place=place("Loft", Place.Kind.FRAME))
    line = work(day(1), 30, task="lace", tags=["H01"])
    lacings.name(line=line, on_frames={"H01": "F1"})
    labour.reverse(line=line)
    assert where("H01") == ["Crate"]
    assert Move.objects.get(skin__tag="H01").reversed_at is not None


def test_a_folder_that_tells_its_moves_is_not_second_guessed(bath: Batch) -> None:
    with vessels.moves_told():
        mark(bath, "Salt", day(0))
        mark(bath, "Mix", day(1))
    assert where() == ["Crate", "Crate"]


def test_a_skin_that_was_never_in_the_batch_is_back_where_it_was(bath: Batch) -> None:
    skin("H03", place=place("Freezer", Place.Kind.FREEZER))
    mark(bath, "Salt", day(0))
    mark(bath, "Mix", day(1))
    stays.join(batch=bath, tags=["H03"], on=day(2))
    assert where("H03") == ["Tub"]
    stays.strike(batch=bath, skin=Skin.objects.get(tag="H03"), on=day(2), reason="mistaken")
    assert where("H01", "H02", "H03") == ["Tub", "Tub", "Freezer"]
