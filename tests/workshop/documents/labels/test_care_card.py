from __future__ import annotations

import pytest

from inventory.errors import Refused
from tests.workshop.documents import reading
from tests.workshop.documents.examples import LONG_MAKER, LONG_NUMBER, MAKER, UNBROKEN, care_label, long_care_label
from workshop.documents.kit import page as kit, stack
from workshop.documents.kit.text import LEADING
from workshop.documents.labels import care_card as care


@pytest.mark.parametrize("method", care.METHODS)
def test_a_card_says_all_the_words_of_its_method(method: str) -> None:
    said = reading.words(care.render(care_label(method=method)))
    words = care.WORDS[method]
    for text in (*words.do, *words.do_not, words.why, words.title, "Do", "Do not"):
        assert text in said


def test_a_card_carries_number_kind_area_maker_and_batch() -> None:
    said = reading.words(care.render(care_label()))
    for text in (
        "H03",
        "Ram rug",
        "Sheep",
        "about 101 dm² (10.9 sq ft), measured by hand",
        "Batch B1",
        *MAKER.values(),
    ):
        assert text in said


def test_alum_tawed_is_never_to_be_washed() -> None:
    assert any("Never wash or soak" in text for text in care.WORDS["alum_tawed"].do_not)
    assert "Alum-tawed" not in care.WORDS["oil_smoked"].why
    assert any("not smoked" in text.lower() and "alum-tawed" in text for text in care.WORDS["oil_smoked"].do_not)


def test_every_method_has_words() -> None:
    assert set(care.WORDS) == set(care.METHODS)


def test_an_unknown_method_is_refused_with_the_choices() -> None:
    with pytest.raises(Refused, match=r"“tea”\. Choose one of: alum_tawed, bark") as refused:
        care_label(method="tea")
    assert refused.value.field == "method"
    assert all(method in str(refused.value) for method in care.METHODS)


@pytest.mark.parametrize("method", care.METHODS)
def test_a_card_with_the_longest_names_stays_in_its_boxes(method: str) -> None:
    paper = care.render(long_care_label(method))
    reading.assert_printable(paper, margin_mm=5)
    # A broken line ends in a hyphen of ours, so the words are compared without white space and hyphens.
    said = reading.words(paper).replace(" ", "").replace("-", "")
    for text in (UNBROKEN, LONG_NUMBER, *LONG_MAKER.values()):
        assert text.replace(" ", "").replace("-", "") in said
    assert reading.barcodes(paper) == [LONG_NUMBER]


def test_a_card_is_printable_and_its_code_reads_back() -> None:
    paper = care.render(care_label())
    reading.assert_printable(paper, margin_mm=5)
    assert reading.size_mm(paper) == (105, 148)
    assert reading.barcodes(paper) == ["H03"]


def test_the_number_is_ten_millimetres_tall() -> None:
    tall = care.NUMBER_SIZE * kit.FIGURE_HEIGHT / reading.MM
    assert tall >= 10
    number = next(spot for text, spot in reading.text_spots(care.render(care_label())) if text.strip() == "H03")
    assert number.top - number.bottom >= 10 * reading.MM


@pytest.mark.parametrize("method", care.METHODS)
def test_the_care_words_keep_a_size_that_can_be_read(method: str) -> None:
    words = stack.at(care.paras(care.WORDS[method]), kit.A6.box.width - 2 * care.MARGIN, 8.5)
    room = kit.A6.box.height - 2 * care.MARGIN - care.NUMBER_SIZE * LEADING - (8 + 8 + 2 + 3 + 25) * reading.MM
    assert words.height <= room


def test_a_number_that_has_no_bars_has_a_square() -> None:
    paper = care.render(care_label(article="Ä1"))
    assert "Ä1" in reading.words(paper)
    assert "Batch B1" in reading.words(paper)
    assert reading.barcodes(paper) == ["Ä1"]


def test_a_piece_without_area_or_batch_says_nothing_of_them() -> None:
    said = reading.words(care.render(care_label(area_text="", batch="")))
    assert "about" not in said
    assert "Batch" not in said


def test_the_same_card_gives_the_same_bytes() -> None:
    assert care.render(care_label()) == care.render(care_label())


def test_four_cards_fit_an_a4_sheet() -> None:
    paper = care.render(care_label(), copies=5, sheet=kit.A4)
    assert [page.count("Do not") > 0 for page in reading.pages(paper)] == [True, True]
    assert reading.words(paper).count("Batch B1") == 5
    reading.assert_printable(paper, margin_mm=4)
