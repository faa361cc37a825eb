from __future__ import annotations

import subprocess
import sys

import pytest

from costing.make.baths.chemistry import cautions
from inventory.substances import SUBSTANCES
from workshop.documents.labels import hazards


def test_oil_on_the_flesh_side_needs_no_knife() -> None:
    told = [caution.key for caution in cautions.for_step("Oil the flesh side, fold skin to skin")]
    assert "knife" not in told
    assert "raw_hide" not in told
    assert "knife" in [caution.key for caution in cautions.for_step("Flesh and salt")]


def test_every_caution_gives_way_to_the_data_sheet_local_rules_or_a_doctor() -> None:
    for caution in cautions.CAUTIONS.values():
        assert any(word in caution.defers for word in ("safety data sheet", "ocal rules", "doctor", "licensed"))
        assert caution.said.endswith(caution.defers)
        assert caution.short == f"{caution.title}: {caution.said}"


@pytest.mark.parametrize(
    ("step", "titles"),
    [
        ("Flesh", {"Knife", "Raw skins"}),
        ("Shake and re-salt", {"Raw skins", "Salt and waste liquor"}),
        ("Lime", {"Lime", "Gloves", "Salt and waste liquor"}),
        ("Mix the bath", {"Eyes", "Gloves", "Foam and gas"}),
        ("Turn daily", {"Gloves", "Lifting"}),
        ("Neutralise", {"Foam and gas", "Eyes"}),
        ("neutralize", {"Foam and gas", "Eyes"}),
        ("Oil and rest", {"Oily rags"}),
        ("Pickle", {"Acid", "Eyes", "Gloves"}),
        ("Soften", set()),
        ("Mix the lime, put the skins in", {"Lime", "Eyes", "Gloves", "Salt and waste liquor"}),
        ("Take out", {"Gloves", "Lifting", "Salt and waste liquor"}),
        ("Stake", {"Strain"}),
        ("Break over the beam", {"Strain"}),
        ("Bleach", {"Bleach", "Eyes", "Gloves"}),
        ("Vinegar dip", {"Acid", "Eyes", "Gloves"}),
        ("Shave the thick parts", {"Knife"}),
        ("Tumble in sawdust", {"Dust"}),
        ("Degrease with white spirit", {"Raw skins", "Lifting", "Oily rags", "Solvents"}),
        ("Brush off mould", {"Dust", "Mould"}),
    ],
)
def test_a_step_names_what_hurts_in_it(step: str, titles: set[str]) -> None:
    assert {caution.title for caution in cautions.for_step(step)} == titles


def test_a_word_inside_another_word_is_not_a_step() -> None:
    assert cautions.for_step("Boil the kettle") == ()
    assert cautions.for_step("Climb the ladder") == ()


def test_no_caution_is_told_twice() -> None:
    told = cautions.for_step("Flesh, salt, soak, lime and unhair")
    assert len(told) == len(set(told))


def test_every_known_substance_has_its_hazard_words_and_those_that_hurt_a_caution() -> None:
    assert set(hazards.WORDS) == set(SUBSTANCES)
    for slug, words in hazards.WORDS.items():
        assert not words or words[0] in hazards.SIGNALS
        if words:
            assert cautions.for_substances([slug]), slug


# Source: notifications to the EU inventory of classifications, EC 233-135-0, and a data bank's sheet on sodium carbonate.
@pytest.mark.parametrize(
    ("slug", "signal", "codes"),
    [("aluminium_sulphate_14", "Danger", ("H318", "H290")), ("soda_ash", "Warning", ("H319",))],
)
def test_the_usual_words_follow_the_published_classification(slug: str, signal: str, codes: tuple[str, ...]) -> None:
    own, sentences = hazards.split(hazards.WORDS[slug])
    assert own == signal
    assert [code for sentence in sentences for code in codes if code in sentence] == list(codes)


def test_a_bath_takes_the_stronger_signal_and_each_sentence_once() -> None:
    words = hazards.for_substances(["salt", "citric_acid", "soda_ash"])
    assert words == ("Warning", "Causes serious eye irritation (H319).")
    assert hazards.for_substances(["citric_acid", "hydrated_lime"])[0] == "Danger"
    assert hazards.for_substances(["salt", "potash_alum", "unheard of"]) == ()


def test_eye_damage_swallows_eye_irritation() -> None:
    words = hazards.for_substances(["soda_ash", "hydrated_lime"])
    assert "Causes serious eye damage (H318)." in words
    assert "Causes serious eye irritation (H319)." not in words


@pytest.mark.slow
def test_a_page_can_show_cautions_without_the_drawing_library() -> None:
    code = (
        "import sys, costing.make.baths.chemistry.cautions, workshop.documents.labels.hazards, workshop.documents.labels.punch;"
        "sys.exit(any(name.split('.')[0] in {'reportlab', 'fontTools', 'django'} for name in sys.modules))"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
