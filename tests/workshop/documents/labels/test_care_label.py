from __future__ import annotations

from functools import partial
from itertools import product

import pytest

from tests.workshop.documents import reading
from tests.workshop.documents.examples import (
    LONG_BRAND,
    LONG_MAKER,
    LONG_NUMBER,
    LONG_TITLE,
    MAKER,
    care_label,
    long_care_label,
)
from workshop.documents.kit import cards, page as kit
from workshop.documents.kit.cards import Card
from workshop.documents.kit.page import Paper
from workshop.documents.kit.text import TextTooLong
from workshop.documents.labels import care, care_label as label
from workshop.documents.labels.care import CareLabel
from workshop.documents.words.rules import LANGUAGES, Words

SIZES = [Paper(63.5, 38.1), Paper(70, 42.4), Paper(99.1, 67.7), Paper(105, 74), Paper(62, 100)]
ONE_LINE = str.maketrans("", "", " -")


def sized(size: Paper, *labels: CareLabel) -> bytes:
    return cards.run([Card(partial(label.draw, label=one), (size,), "t", "a") for one in labels])


def test_a_label_carries_name_facts_maker_numbers_and_law() -> None:
    said = reading.words(label.render(care_label(textile=True, fur_origin=True)))
    for text in (
        "Sheepskin rug",
        "Hair on, alum-tawed · about 101 dm² (10.9 sq ft)",
        "Sheep (Ovis aries), Finland",
        "No. H03 · batch B1 · finished 22 Feb 2025",
        "Made by Routamo Skins, K. Routamo, Tawyard Lane 4, 99999 Utuharju",
        "Contains non-textile parts of animal origin",
        "Fur origin: Finland",
        MAKER["electronic"],
    ):
        assert text in said


def test_the_name_is_the_largest_and_the_number_small() -> None:
    heights = {text.strip(): spot.top - spot.bottom for text, spot in reading.text_spots(label.render(care_label()))}
    assert max(heights, key=lambda text: heights[text]) == "Sheepskin rug"


@pytest.mark.parametrize("method", care.METHODS)
def test_an_a6_label_says_all_of_the_care(method: str) -> None:
    made = care_label(method=method)
    said = reading.words(label.render(made))
    for para in care.paras(care.said(made)):
        assert para.words in said


@pytest.mark.thorough
@pytest.mark.parametrize(("method", "language"), [*product(care.METHODS, LANGUAGES)])
def test_two_languages_with_the_longest_names_stay_in_their_boxes(method: str, language: str) -> None:
    second = Words("fi" if language != "fi" else "de")
    paper = label.render(long_care_label(method, words=Words(language), second=second))
    reading.assert_printable(paper, margin_mm=5)
    said = reading.words(paper).translate(ONE_LINE)
    first = [words.lines(f"care.{method}.never")[0] for words in (Words(language), second)]
    for text in (LONG_TITLE, LONG_NUMBER, LONG_BRAND, *LONG_MAKER.values(), *first):
        assert text.translate(ONE_LINE) in said
    assert reading.barcodes(paper) == [LONG_NUMBER]


@pytest.mark.thorough(but=2)
@pytest.mark.parametrize("size", SIZES)
def test_a_label_of_any_size_says_its_name_its_maker_and_what_never(size: Paper) -> None:
    labels = [care_label(method=method, second=second) for method, second in product(care.METHODS, (None, Words("fi")))]
    paper = sized(size, *labels)
    reading.assert_printable(paper, margin_mm=1.9)
    for said, made in zip(reading.pages(paper), labels, strict=True):
        assert "Sheepskin rug" in said
        assert "Tawyard Lane 4" in said
        assert "No. H03" in said
        assert all(words.lines(f"care.{made.method}.never")[0] in said for words in made.languages)


@pytest.mark.thorough(but=1)
@pytest.mark.parametrize("size", SIZES[2:])
def test_the_longest_names_fit_a_label_of_any_size(size: Paper) -> None:
    paper = sized(size, long_care_label())
    reading.assert_printable(paper, margin_mm=1.9)
    said = reading.words(paper).translate(ONE_LINE)
    for text in (LONG_TITLE, LONG_NUMBER, LONG_BRAND, LONG_MAKER["postal"], LONG_MAKER["electronic"]):
        assert text.translate(ONE_LINE) in said


def test_a_name_is_never_cut() -> None:
    paper = sized(SIZES[0], care_label(title=LONG_TITLE, article=LONG_NUMBER))
    reading.assert_printable(paper, margin_mm=1.9)
    assert LONG_TITLE.translate(ONE_LINE) in reading.words(paper).translate(ONE_LINE)
    for size in SIZES[:2]:  # all at its longest has no room beside a code
        with pytest.raises(TextTooLong, match="The maker's address"):
            sized(size, long_care_label())
    with pytest.raises(TextTooLong, match=r"The name of the piece .*\(300 characters\) does not fit"):
        sized(SIZES[0], care_label(title="Nahka" * 60))
    with pytest.raises(TextTooLong, match="does not fit"):
        sized(Paper(30, 20), care_label())


def test_a_label_is_printable_and_its_code_reads_back() -> None:
    paper = label.render(care_label())
    reading.assert_printable(paper, margin_mm=5)
    assert reading.size_mm(paper) == (105, 148)
    assert reading.barcodes(paper) == ["H03"]


def test_a_number_that_has_no_bars_has_a_square() -> None:
    paper = label.render(care_label(article="Ä1"))
    assert "No. Ä1 · batch B1" in reading.words(paper)
    assert reading.barcodes(paper) == ["Ä1"]


def test_what_is_not_known_is_left_out() -> None:
    said = reading.words(label.render(care_label(area_text="", batch="", finished=None, hair="", origin="", use="")))
    for text in ("about", "batch", "finished", "Hair", "Finland", "comb", "moth"):
        assert text not in said


def test_the_same_label_gives_the_same_bytes() -> None:
    assert label.render(care_label()) == label.render(care_label())


def test_four_labels_fit_an_a4_sheet() -> None:
    paper = label.render(care_label(), copies=5, sheet=kit.A4)
    assert reading.words(paper).count("batch B1") == 5
    assert len(reading.pages(paper)) == 2
    reading.assert_printable(paper, margin_mm=4)
