"""The folded card and the hang tag: the front sells, the back keeps, and the fold parts them."""

from __future__ import annotations

from collections.abc import Callable
from itertools import product

import pytest

from tests.workshop.documents import reading
from tests.workshop.documents.examples import LONG_BRAND, LONG_MAKER, LONG_TITLE, MAKER, care_label, long_care_label
from workshop.documents.kit import page as kit
from workshop.documents.kit.page import Paper
from workshop.documents.kit.text import TextTooLong
from workshop.documents.labels import care, care_card as card
from workshop.documents.labels.care import CareLabel
from workshop.documents.words.rules import LANGUAGES, Words

Render = Callable[..., bytes]
FORMATS = [(card.render, card.CARD), (card.render_tag, card.TAG)]
ONE_LINE = str.maketrans("", "", " -")


def faces(paper: bytes) -> tuple[str, str]:
    """The words of the front and of the back."""
    middle = reading.page_spot(paper).right / 2
    spots = reading.text_spots(paper)
    assert all(spot.right < middle or spot.left > middle for _, spot in spots), "nothing stands on the fold"
    front, back = ([text for text, spot in spots if (spot.right < middle) == left] for left in (True, False))
    return " ".join(" ".join(front).split()), " ".join(" ".join(back).split())


@pytest.mark.parametrize(("render", "size"), FORMATS)
def test_the_front_sells_and_the_back_keeps(render: Render, size: Paper) -> None:
    paper = render(care_label())
    assert reading.size_mm(paper) == (size.width_mm, size.height_mm)
    front, back = faces(paper)
    for text in ("Routamo Skins", "Sheepskin rug", "Hair on, alum-tawed", "Sheep (Ovis aries), Finland", "batch B1"):
        assert text in front
    assert MAKER["electronic"] in front
    for text in ("Care", "Never wash or soak it,", "H03"):
        assert text in back
    assert reading.barcodes(paper) == ["H03"]


def test_the_card_says_all_of_the_care() -> None:
    made = care_label()
    _, back = faces(card.render(made))
    for para in care.paras(care.said(made)):
        assert para.words in back


@pytest.mark.thorough
@pytest.mark.parametrize(("render", "size"), FORMATS)
@pytest.mark.parametrize(("method", "language"), [*product(care.METHODS, ("fr", "de"))])
def test_the_longest_names_stay_in_their_boxes(render: Render, size: Paper, method: str, language: str) -> None:
    paper = render(long_care_label(method, article="H03-001", words=Words(language), second=Words("fi")))
    reading.assert_printable(paper, margin_mm=3.4)
    said = reading.words(paper).translate(ONE_LINE)
    never = [words.lines(f"care.{method}.never")[0] for words in (Words(language), Words("fi"))]
    for text in (LONG_TITLE, LONG_BRAND, *LONG_MAKER.values(), *never):
        assert text.translate(ONE_LINE) in said
    assert faces(paper)
    assert reading.barcodes(paper) == ["H03-001"]


@pytest.mark.thorough
@pytest.mark.parametrize(("render", "size"), FORMATS)
@pytest.mark.parametrize(("method", "language"), [*product(care.METHODS, LANGUAGES)])
def test_every_method_and_hair_in_every_language(render: Render, size: Paper, method: str, language: str) -> None:
    for hair in ("on", "off", ""):
        paper = render(care_label(method=method, hair=hair, words=Words(language)))
        reading.assert_printable(paper, margin_mm=3.4)
        assert Words(language).lines(f"care.{method}.never")[0] in faces(paper)[1]


@pytest.mark.parametrize(("render", "size"), FORMATS)
def test_the_holes_meet_when_it_is_folded_and_nothing_lies_on_them(render: Render, size: Paper) -> None:
    paper = render(long_care_label(article="H03"))
    middle = reading.page_spot(paper).right / 2
    rings = [
        p for p in reading.path_spots(paper) if abs(p.right - p.left - 5 * reading.MM) < 2 and p.top - p.bottom > 10
    ]
    left, right = sorted(rings, key=lambda ring: ring.left)
    assert middle - (left.left + left.right) / 2 == pytest.approx((right.left + right.right) / 2 - middle, abs=0.1)
    assert (left.bottom, left.top) == (right.bottom, right.top)
    assert not [text for text, spot in reading.text_spots(paper) for ring in rings if spot.meets(ring)]


def test_a_name_that_has_no_room_is_refused() -> None:
    with pytest.raises(TextTooLong, match="The name of the piece"):
        card.render_tag(care_label(title="Nahka" * 200))
    reading.assert_printable(card.render_tag(care_label(title="Nahka" * 60)), margin_mm=3.4)


@pytest.mark.parametrize(("render", "many"), [(card.render, 2), (card.render_tag, 4)])
def test_as_many_as_fit_are_laid_on_a_sheet(render: Callable[[CareLabel, int, Paper], bytes], many: int) -> None:
    paper = render(care_label(), many + 1, kit.A4)
    assert [page.count("No. H03") for page in reading.pages(paper)] == [many, 1]
