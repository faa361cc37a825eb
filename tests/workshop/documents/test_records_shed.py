"""The shed's papers made from records: each says what the books hold, and refuses in words what they lack."""

from __future__ import annotations

import re
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from costing.make.batches import services as batches
from costing.make.batches.issues import services as issues_services
from costing.make.batches.stays import services as stays_services
from costing.make.readings import services as readings
from costing.make.recipes.services import Line, Step
from costing.make.steps.agenda import selectors as dues
from costing.make.steps.marks import services as marks
from costing.models import Batch, RecipeVersion
from inventory.base import selectors as selector
from inventory.base.accounting import services as workshop
from inventory.errors import Refused
from inventory.ledger import services as ledger
from inventory.models import Material, Place, Skin
from inventory.skins import services as skins
from tests import factories as make
from tests.workshop.documents import reading
from workshop.documents import printing
from workshop.documents.labels import hazards
from workshop.documents.records import batch_cards, shared, shelves, stand_in_sheets, tags, vessels
from workshop.documents.words.rules import Words

pytestmark = [pytest.mark.usefixtures("demo", "type_is_cut"), pytest.mark.thorough]
D = Decimal
BEGIN = date(2026, 1, 10)


@pytest.fixture
def bath(demo: None) -> Batch:
    """Two goats in a bath of 6 L by the demonstration's own recipe, mixed on 10 January and turned once."""
    workshop.pin_today(on=date(2026, 1, 12))
    version = RecipeVersion.objects.get(recipe__code="R1")
    tub, frames = Place.objects.get(name="Taw tub"), Place.objects.get(name="Frames")
    batch = batches.plan(
        number="B6", version=version, start=BEGIN, litres=D(6), tags=["H13", "H14"], place=tub, frames=frames
    )
    for name in ("Flesh and salt", "Drain", "Cure"):
        log(batch, name, "skipped", BEGIN)
    log(batch, "Mix bath", "skipped", BEGIN)
    amounts = [
        issues_services.Amount(Material.objects.get(code=code), D(kg), "kg")
        for code, kg in (("ALUMK", "0.48"), ("SALT", "0.24"), ("SODACRYS", "0.12"))
    ]
    issues_services.issue(batch=batch, on=BEGIN, amounts=amounts)
    log(batch, "Bath", "repeat", date(2026, 1, 11))
    return batch


def log(batch: Batch, step: str, kind: str, on: date) -> None:
    marks.log(batch=batch, step=batch.version.steps.get(name=step), kind=kind, on=on)


def words(which: str, name: str, **options: Any) -> str:
    return reading.words(printing.label(which, name, **options)).replace("\u00a0", " ")


def test_a_skin_tag_says_whose_it_is_and_carries_its_tag_in_bars() -> None:
    tag = tags.skin_tag("h03")
    assert (tag.tag, tag.species, tag.owner_mark, tag.date_in) == ("H03", "sheep", "own", date(2025, 1, 11))
    paper = printing.label("tag", "H03")
    assert reading.barcodes(paper) == ["H03"]
    assert "Own skin" in reading.words(paper)
    assert "Customer: Mrs Tuohiköngäs" in words("tag", "H06")


def test_a_customers_skin_without_a_name_has_no_tag_yet() -> None:
    Skin.objects.filter(tag="H06").update(customer="")
    with pytest.raises(Refused, match=r"no name is written down\. Edit the skin"):
        tags.skin_tag("H06")


def test_a_frame_tag_says_since_when_and_about_when(bath: Batch) -> None:
    tag = tags.frame_tags("B6")[0]
    assert (tag.frame, tag.batch, tag.skins) == ("Frames", "B6", ("H13", "H14"))
    # Bath to 21 January, oil the day after, two days of rest; eight days on the frame.
    assert (tag.up_on, tag.ready_about) == (date(2026, 1, 24), date(2026, 2, 1))
    assert "Ready about 1 Feb 2026" in words("frame", "B6")


def test_a_frame_tag_goes_by_the_weighings_where_they_tell_the_day(bath: Batch) -> None:
    workshop.pin_today(on=None)
    now = timezone.now()
    for days, grams in ((6, 3000), (4, 2000), (2, 1500)):
        readings.note(tags=["H13"], at=now - timedelta(days=days), weight=D(grams))
    told = tags.frame_tags("B6")[0].ready_about
    assert told
    # The curve halves its water every two days: from 2,000 g over the dry 1,000 g it passes two fifths in 2.6 days.
    assert told == timezone.localtime(now - timedelta(days=6 - 2.64)).date()


def test_a_frame_tag_of_a_finished_batch_names_those_who_hung_there() -> None:
    tag = tags.frame_tags("B2")[0]
    assert tag.skins == ("H04", "H06")
    assert tag.up_on == date(2025, 4, 3)


def test_a_frame_tag_without_frames_or_step_or_skin_is_refused(bath: Batch) -> None:
    with pytest.raises(Refused, match=r"No skin is in B5\. Let its skins join first"):
        tags.frame_tags("B5")[0]
    Batch.objects.filter(number="B6").update(frames=None)
    with pytest.raises(Refused, match=r"No frames are named for B6\. Choose them"):
        tags.frame_tags("B6")[0]
    plain = make.recipe("R9", Line(Material.objects.get(code="SALT"), D(40), "g", "per_litre"))
    make.batch("B9", version=plain, start=BEGIN)
    with pytest.raises(Refused, match="R9 v1 has no step that uses frames"):
        tags.frame_tags("B9")[0]


def test_a_frames_own_label_says_its_number_size_and_place() -> None:
    label = tags.frame_label("f1")
    assert (label.number, label.note, label.place) == ("F1", "140 × 110 cm, spruce", "Frames")
    with pytest.raises(Refused, match="no frame F9"):
        tags.frame_label("F9")


def test_skipped_frames_have_no_tag(bath: Batch) -> None:
    for name in ("Bath", "Oil", "Rest", "Frame"):
        log(bath, name, "skipped", date(2026, 1, 12))
    with pytest.raises(Refused, match="B6 skipped “Begin to soften”"):
        tags.frame_tags("B6")[0]


def test_a_bath_label_says_what_went_in_by_the_litre_on_which_day(bath: Batch) -> None:
    label = vessels.bath_label("B6")
    assert label.contents == (
        ("Potash alum", "0.48 kg · 80 g/L"),
        ("Salt, fine, non-iodised", "0.24 kg · 40 g/L"),
        ("Washing soda crystals", "0.12 kg · 20 g/L"),
    )
    assert (label.litres, label.made_on, label.vessel, label.who_is_in_it) == (6, BEGIN, "Taw tub", ("H13", "H14"))
    assert label.vessel_litres == 45


def test_the_label_of_the_demonstrations_bath_leaves_out_the_curing_salt_and_what_neutralised() -> None:
    label = vessels.bath_label("B1")
    assert (label.made_on, label.litres, label.who_is_in_it) == (date(2025, 1, 20), 18, ("H01", "H02", "H03"))
    assert [told for _, told in label.contents] == ["1.44 kg · 80 g/L", "0.72 kg · 40 g/L", "0.36 kg · 20 g/L"]


def test_a_strength_is_what_went_in_and_not_what_was_planned(bath: Batch) -> None:
    more = [issues_services.Amount(Material.objects.get(code="ALUMK"), D("0.01"), "kg")]
    issues_services.issue(batch=bath, on=date(2026, 1, 12), amounts=more)
    # 490 g ÷ 6 L.
    assert vessels.bath_label("B6").contents[0] == ("Potash alum", "0.49 kg · 81.67 g/L")


def test_who_left_the_bath_is_not_on_its_label(bath: Batch) -> None:
    stays_services.leave(batch=bath, skin=Skin.objects.get(tag="H13"), on=date(2026, 1, 12))
    assert vessels.bath_label("B6").who_is_in_it == ("H14",)


def test_a_bath_label_warns_by_the_strongest_word_with_the_makers_notes_first(bath: Batch) -> None:
    label = vessels.bath_label("B6")
    assert label.hazards[0] == "Warning"
    assert label.hazards[1].startswith("Dust and splashes sting the eyes")
    assert label.hazards[-1] == "Causes serious eye irritation (H319)."


@pytest.mark.parametrize(
    ("number", "refusal"),
    [
        ("B2", "R2 v1 has no line by the litre, so B2 is in no bath. Print its card instead."),
        ("B5", "Nothing was added to the bath of B5 yet"),
        ("B99", "There is no batch B99"),
    ],
)
def test_a_bath_that_is_none_has_no_label(number: str, refusal: str) -> None:
    with pytest.raises(Refused, match=refusal):
        vessels.bath_label(number)


def test_a_bath_that_is_half_filled_is_not_said_to_be_empty() -> None:
    alum, salt = (Material.objects.get(code=code) for code in ("ALUMK", "SALT"))
    version = make.recipe("HALF", Line(alum, Decimal(5), "g", "per_litre"), Line(salt, Decimal(5), "g", "per_litre"))
    made = make.batch("B7", version=version, start=selector.today(), litres=Decimal(10))
    make.put(made, salt, "0.05", on=selector.today())
    with pytest.raises(Refused, match="Half or more of what goes into the bath of B7 first is still to come"):
        vessels.bath_label("B7")


def test_a_bath_without_litres_or_tub(bath: Batch) -> None:
    Batch.objects.filter(number="B6").update(place=None)
    assert "tub not named" in reading.words(printing.label("bath", "B6"))
    Batch.objects.filter(number="B6").update(litres=None)
    with pytest.raises(Refused, match=r"B6 has no litres, so its strength is not known\. Enter them in its plan"):
        vessels.bath_label("B6")


def test_a_batch_is_found_by_the_tub_that_it_alone_is_in(bath: Batch) -> None:
    Batch.objects.filter(number="B5").delete()
    assert shared.batch("taw tub") == bath
    assert shared.batch("Frames") == bath
    with pytest.raises(Refused, match=r"Lime tub has no batch that is not done\. Name the batch"):
        shared.batch("Lime tub")
    make.batch("B7", start=BEGIN, place=Place.objects.get(name="Taw tub"))
    with pytest.raises(Refused, match=r"Taw tub has B[67], B[67]\. Name the batch by its number"):
        shared.batch("Taw tub")


def test_a_jar_label_says_substance_supplier_and_the_last_delivery() -> None:
    label = vessels.jar_label("alumk")
    assert (label.name, label.formula) == ("Potash alum", "KAl(SO4)2·12H2O")
    assert (label.supplier, label.lot) == ("Utuharju Chemicals", "P-001")
    assert label.hazards == ("Dust and splashes sting the eyes: glasses on. See the safety data sheet.",)
    said = words("jar", "ALUMK")
    assert "KAl(SO₄)₂·12H₂O" in said
    assert "Opened on ____" in said
    assert "Tare ____" in said


def test_a_jar_label_says_what_a_level_cup_weighs() -> None:
    # 1 US cup is 236.588 mL; salt in the demonstration weighs 1.2 g/mL.
    assert "1 US cup, level = 284 g, weighed __" in reading.words(printing.label("jar", "SALT"))
    assert vessels.jar_label("BICARB").density == ""


def test_a_material_never_delivered_goes_by_its_usual_supplier() -> None:
    made = make.material("BORAX", supplier=make.supplier("Hallasalmi Hardware"), substance="borax")
    label = vessels.jar_label(made.code)
    assert (label.supplier, label.lot) == ("Hallasalmi Hardware", "")
    assert label.hazards == ("Danger", "May damage fertility and the unborn child (H360FD).")


def test_a_delivery_taken_back_is_not_where_the_jar_came_from() -> None:
    made = make.material("BORAX")
    first = make.delivery(make.line(made), ref="P-1")
    wrong = make.delivery(make.line(made), ref="P-2")
    ledger.reverse(posting=wrong.posting, reason="typed twice")
    assert vessels.jar_label("BORAX").lot == first.ref


@pytest.mark.parametrize(
    ("note", "told"),
    [
        ("", ("Danger", "May damage fertility and the unborn child (H360FD).")),
        ("No dust.", ("Danger", "No dust.", "May damage fertility and the unborn child (H360FD).")),
        ("Danger! May damage fertility (H360F).", ("Danger", "May damage fertility (H360F).")),
        ("Warning: may irritate (EUH210).", ("Warning", "may irritate (EUH210).")),
        ("Warning: dusts.", ("Danger", "dusts.", "May damage fertility and the unborn child (H360FD).")),
    ],
)
def test_a_note_stands_before_the_default_words_and_one_with_codes_instead_of_them(
    note: str, told: tuple[str, ...]
) -> None:
    made = make.material("BORAX", substance="borax", hazard_note=note)
    assert shared.hazard_words([made]) == told


@pytest.mark.parametrize(
    ("details", "told"),
    [
        ({"substance": "borax"}, "Words from memory, check the SDS."),
        ({"substance": "hydrated_lime"}, "Words as usually classified: check the SDS."),
        ({"substance": "borax", "hazard_note": "Danger: H360FD."}, "Words from your note: check the SDS."),
        (
            {"substance": "borax", "hazard_note": "H360FD.", "sheet": "Shop", "sheet_on": date(2025, 3, 3)},
            "Words by your data sheet of 3 Mar 2025.",
        ),
        ({"substance": "borax", "sheet": "Shop"}, "Words to be checked with your data sheet."),
        ({"substance": "salt"}, ""),
    ],
)
def test_a_label_says_whose_its_words_of_hazard_are(details: dict[str, Any], told: str) -> None:
    assert hazards.whose(shared.warned_by([make.material("X", **details)]), Words()) == told


def test_a_bath_says_of_each_thing_in_it_whose_words_they_are() -> None:
    lime = make.material("LIME2", substance="hydrated_lime", name="Lime")
    borax = make.material("BORAX", substance="borax", name="Borax")
    assert (
        hazards.whose(shared.warned_by([lime, borax]), Words())
        == "Lime: as usually classified: check the SDS. Borax: from memory, check the SDS."
    )


def test_a_jar_is_labelled_by_what_it_holds() -> None:
    small, large = (printing.label("jar", "SALT", litres=D(litres)) for litres in (1, 10))
    assert reading.size_mm(small)[0] < reading.size_mm(large)[0]
    with pytest.raises(Refused):
        printing.label("jar", "SALT", litres=D(0))
    with pytest.raises(Refused, match="Only a jar is asked for its litres"):
        printing.label("bath", "B1", litres=D(10))
    with pytest.raises(Refused, match="There is no material X"):
        vessels.jar_label("X")


def test_a_shelf_label_lists_what_is_kept_there_and_the_level_to_reorder_at() -> None:
    label = shelves.shelf_label("chemical shelf")
    kept = {row.name: row for row in label.kept}
    assert set(kept) == set(Material.objects.filter(place__name="Chemical shelf").values_list("name", flat=True))
    assert (kept["Potash alum"].reorder_at, kept["Potash alum"].hazard) == ("1.1 kg", "")
    assert kept["Hydrated lime"].hazard == "Danger"
    said = words("shelf", "Chemical shelf")
    assert "Reorder at 1.1 kg" in said


def test_a_place_where_nothing_is_kept_says_so_and_an_unknown_one_is_refused() -> None:
    assert "Nothing is listed here" in words("shelf", "Frames")
    with pytest.raises(Refused, match="There is no place Attic"):
        shelves.shelf_label("Attic")


def rows(card: Any) -> list[tuple[str, str, int, int]]:
    return [
        (day.date.isoformat(), day.step + (": skipped" if day.skipped else ""), day.boxes, day.minutes)
        for day in card.days
    ]


def test_a_card_has_a_box_for_each_day_that_needs_hands_and_none_for_what_is_logged(bath: Batch) -> None:
    found = rows(batch_cards.batch_card("B6"))
    assert found[:2] == [
        ("2026-01-10", "Flesh and salt: skipped", 0, 0),
        ("2026-01-10", "Shake off and re-salt, the last time: skipped", 0, 0),
    ]
    assert ("2026-01-11", "Turn", 0, 0) in found
    turns = [row for row in found if row[1:3] == ("Turn", 1)]
    assert turns == [(f"2026-01-{day}", "Turn", 1, 6) for day in range(12, 21)]
    assert ("2026-01-21", "Take out, neutralise, drip", 1, 24) in found


def test_a_card_says_the_minutes_that_were_logged_and_what_went_in(bath: Batch) -> None:
    step = bath.version.steps.get(name="Bath")
    marks.log(batch=bath, step=step, kind="repeat", on=date(2026, 1, 12), minutes=D("6.5"))
    assert ("2026-01-12", "Turn", 0, 7) in rows(batch_cards.batch_card("B6"))
    first = batch_cards.batch_card("B1")
    assert [(amount.planned, amount.put_in) for amount in first.amounts][:3] == [
        ("1.44 kg", "1.44 kg"),
        ("0.72 kg", "0.72 kg"),
        ("0.36 kg", "0.36 kg"),
    ]
    assert {amount.put_in for amount in batch_cards.batch_card("B5").amounts} == {""}


def test_a_card_says_since_when_something_is_late(bath: Batch) -> None:
    workshop.pin_today(on=date(2026, 1, 14))
    assert ("2026-01-14", "Turn (due since 12 Jan 2026)", 1, 6) in rows(batch_cards.batch_card("B6"))


def test_a_card_says_who_is_in_it_and_the_planned_amounts_in_the_makers_measure(bath: Batch) -> None:
    card = batch_cards.batch_card("B6")
    assert (card.recipe, card.vessel, card.litres) == ("R1 v1 Alum taw bath, hair on", "Taw tub", "6 L")
    assert [(skin.tag, skin.weight) for skin in card.skins] == [("H13", "2.2 kg"), ("H14", "2.5 kg")]
    assert [(amount.material, amount.planned) for amount in card.amounts][:2] == [
        ("Potash alum (Mix bath, first, with the salt)", "0.48 kg"),
        ("Salt, fine, non-iodised (Mix bath)", "0.24 kg"),
    ]
    assert card.amounts[-1].planned == "0.16 L"


def test_a_measure_of_cups_stands_on_the_card_with_its_weight() -> None:
    salt = Material.objects.get(code="SALT")
    version = make.recipe(
        "R9", Line(salt, D("0.5"), "us_cup", "per_litre"), Line(salt, D(10), "%", "percent_of_weight")
    )
    make.batch("B9", version=version, start=BEGIN, litres=D(4))
    # 4 × half a cup; each of 236.588 mL at 1.2 g/mL.
    assert [amount.planned for amount in batch_cards.batch_card("B9").amounts] == [
        "2 US cup (0.568 kg)",
        "10 % of skin weight",
    ]


def test_each_caution_stands_in_full_once_and_by_its_title_afterwards(bath: Batch) -> None:
    told = [day.caution for day in batch_cards.batch_card("B6").days]
    gloves = [words for words in told if "Waterproof gloves at every bath" in words]
    assert len(set(gloves)) == 1
    assert any(re.search("As before: .*gloves", words) for words in told)


def test_a_planned_batch_has_a_line_for_each_skin_to_come_and_everything_ahead() -> None:
    card = batch_cards.batch_card("B5")
    assert [skin.tag.strip("_") for skin in card.skins] == [""] * 4
    assert card.days[0].step == "Flesh and salt"
    assert all(day.boxes for day in card.days)


def test_a_batch_without_steps_still_has_its_amounts_and_grids() -> None:
    version = make.recipe("R9", Line(Material.objects.get(code="SALT"), D(40), "g", "per_litre"))
    make.batch("B9", version=version, start=BEGIN, litres=D(10))
    card = batch_cards.batch_card("B9")
    assert [day.step for day in card.days] == ["Add 0.4 kg Salt, fine, non-iodised"]
    assert card.amounts[0].planned == "0.4 kg"
    said = reading.words(printing.paper("card", "B9"))
    assert "Hours" in said
    assert "Readings" in said


def test_a_finished_batch_has_nothing_ahead() -> None:
    assert {day.boxes for day in batch_cards.batch_card("B1").days} == {0}
    assert "B1" in reading.barcodes(printing.paper("card", "B1"))


def test_a_batch_that_does_not_exist_has_no_card() -> None:
    with pytest.raises(Refused, match="There is no batch B99"):
        batch_cards.batch_card("B99")


def test_the_sheet_of_20_january_says_who_is_in_what_what_is_next_and_what_is_at_risk() -> None:
    sheet = stand_in_sheets.stand_in_sheet(date(2025, 1, 20))
    assert [(tub.batch, tub.place, tub.skins) for tub in sheet.tubs] == [("B1", "Taw tub", ("H01", "H02", "H03"))]
    tub = sheet.tubs[0]
    assert tub.risk.replace("\u00a0", " ") == "193.52 €"
    assert tub.next_steps[0] == (
        date(2025, 1, 21),
        "Turn, then every day to Thu 30 Jan 2025. Open every fold: where skin lies on skin it stays raw.",
    )
    assert tub.next_steps[1][0] == date(2025, 1, 31)
    assert max(when for when, _ in tub.next_steps) <= date(2025, 2, 3)
    assert any("gloves" in caution for caution in tub.cautions)


def test_the_sheet_names_whom_to_call_and_never_the_maker_who_is_ill() -> None:
    assert stand_in_sheets.stand_in_sheet(date(2025, 1, 20)).contacts == ()
    workshop.set_up(stand_in="The neighbour, 555 0100")
    assert stand_in_sheets.stand_in_sheet(date(2025, 1, 20)).contacts == ("The neighbour, 555 0100",)


def test_the_sheet_looks_to_the_end_of_a_step_that_runs_longer_than_a_fortnight(bath: Batch) -> None:
    long = make.recipe("R9", steps=[Step("Bark", "Take out of the bark", lasts_days=60, caution="No iron near it.")])
    skins.take_in(tag="H15", details=skins.Details(species="sheep", date_in=BEGIN))
    make.batch("B9", version=long, start=BEGIN, tags=["H15"])
    tub = next(tub for tub in stand_in_sheets.stand_in_sheet(BEGIN).tubs if tub.batch == "B9")
    assert tub.next_steps == ((BEGIN + timedelta(days=60), "Take out of the bark. No iron near it."),)
    assert not any("No iron" in words for words in tub.cautions)
    assert any("Waterproof gloves" in words for words in tub.cautions)


def test_the_batch_that_bears_least_delay_stands_first_on_the_sheet(bath: Batch) -> None:
    on = date(2026, 1, 13)
    order = [tub.batch for tub in stand_in_sheets.stand_in_sheet(on).tubs]
    urgent = list(dict.fromkeys(task.batch.number for task in dues.tasks(on, 14)))
    assert order[: len(urgent)] == urgent
    assert len(urgent) > 1


def test_a_plan_for_later_than_a_fortnight_is_nobodys_care_yet() -> None:
    assert stand_in_sheets.stand_in_sheet(date(2025, 12, 19)).tubs == ()
    assert [tub.batch for tub in stand_in_sheets.stand_in_sheet(date(2025, 12, 31)).tubs] == ["B5"]
    assert "No tub or frame is in use" in reading.words(printing.paper("stand-in", date(2025, 12, 19)))


def test_what_is_late_is_said_with_its_day(bath: Batch) -> None:
    workshop.pin_today(on=date(2026, 1, 14))
    tub = next(tub for tub in stand_in_sheets.stand_in_sheet(date(2026, 1, 14)).tubs if tub.batch == "B6")
    assert tub.next_steps[0] == (
        date(2026, 1, 14),
        "Turn, late since 12 Jan 2026, then every day to Tue 20 Jan 2026. Open every fold: where skin lies on skin it stays raw.",
    )


def test_a_batch_without_steps_still_stands_on_the_sheet(bath: Batch) -> None:
    version = make.recipe("R9", Line(Material.objects.get(code="SALT"), D(40), "g", "per_litre"))
    skins.take_in(tag="H15", details=skins.Details(species="sheep", date_in=BEGIN))
    make.batch("B9", version=version, start=BEGIN, tags=["H15"])
    sheet = stand_in_sheets.stand_in_sheet(date(2026, 1, 14))
    (told,) = next(tub for tub in sheet.tubs if tub.batch == "B9").next_steps
    assert told[1] == "Add 40 g per litre of bath Salt, fine, non-iodised, late since 10 Jan 2026"


@pytest.mark.thorough
def test_thirty_tubs_take_as_many_queries_as_one(bath: Batch) -> None:
    selector.current()
    with CaptureQueriesContext(connection) as one:
        stand_in_sheets.stand_in_sheet(date(2026, 1, 12))
    for nth in range(30, 60):
        skins.take_in(tag=f"H{nth}", details=skins.Details(species="sheep", date_in=BEGIN, price=D(12)))
        make.batch(f"B{nth}", version=bath.version, start=BEGIN, tags=[f"H{nth}"])
    with CaptureQueriesContext(connection) as many:
        sheet = stand_in_sheets.stand_in_sheet(date(2026, 1, 12))
    assert len(sheet.tubs) == 32
    assert len(many) == len(one)


@pytest.mark.thorough
def test_a_shelf_of_thirty_takes_as_many_queries_as_one() -> None:
    shelf = make.place("Attic")
    make.material("M0", place=shelf)
    selector.current()
    with CaptureQueriesContext(connection) as one:
        shelves.shelf_label("Attic")
    for nth in range(1, 30):
        make.material(f"M{nth}", place=shelf)
    with CaptureQueriesContext(connection) as many:
        label = shelves.shelf_label("Attic")
    assert len(label.kept) == 30
    assert len(many) == len(one)


@pytest.mark.thorough
@pytest.mark.slow
def test_every_paper_of_the_shed_can_be_printed_and_repeats_byte_for_byte(bath: Batch) -> None:
    wanted = [
        ("tag", "H06"),
        ("bath", "B6"),
        ("frame", "B6"),
        ("number", "F1"),
        ("shelf", "Chemical shelf"),
        ("shelf", "Frames"),
    ]
    wanted += [("jar", code) for code in Material.objects.values_list("code", flat=True)]
    for which, name in wanted:
        paper = printing.label(which, name)
        reading.assert_printable(paper)
        assert paper == printing.label(which, name)
    for number in Batch.objects.values_list("number", flat=True):
        reading.assert_printable(printing.paper("card", number))
    assert printing.paper("stand-in", date(2026, 1, 12)) == printing.paper("stand-in", date(2026, 1, 12))


@pytest.mark.parametrize(
    ("which", "name"), [("tag", "H01"), ("bath", "B1"), ("frame", "B1"), ("number", "F4"), ("shelf", "Frames")]
)
def test_copies_are_laid_on_a_sheet(which: str, name: str) -> None:
    sheet = printing.label(which, name, copies=2, sheet="a4")
    width, height = reading.size_mm(sheet)
    assert sorted((round(width), round(height))) == [210, 297]
    assert len(reading.pages(sheet)) == 1
    assert len(reading.pages(printing.label(which, name, copies=2))) == 2
    with pytest.raises(Refused):
        printing.label(which, name, copies=0)


def test_an_unknown_label_or_sheet_is_refused() -> None:
    with pytest.raises(
        Refused,
        match="no label 'poster'; choose one of care, care-card, hang-tag, ticket, tag, bath, jar, frame, number, shelf",
    ):
        printing.label("poster", "H01")
    with pytest.raises(Refused, match=r"no sheet 'a3'\. Name one of yours"):
        printing.label("tag", "H01", sheet="a3")
