"""Papers with a name in any script: read back by other programs, in ink, and the same bytes twice."""

from __future__ import annotations

import unicodedata
from collections.abc import Callable
from decimal import Decimal
from io import BytesIO

import pypdfium2
import pytest
from pypdf import PdfReader

from tests.workshop.documents import examples, reading, selling_examples, shed_examples
from tests.workshop.documents.names import NAMES
from workshop.documents.charts import charts, svg
from workshop.documents.kit import flow
from workshop.documents.kit.letter import Party
from workshop.documents.kit.page import A4
from workshop.documents.labels import care_card, tag
from workshop.documents.sales import invoice
from workshop.documents.type import fonts
from workshop.documents.type.runs import NoType
from workshop.documents.words.rules import LANGUAGES, shipped

PAPERS: dict[str, Callable[[str], bytes]] = {
    "invoice": lambda name: invoice.render(
        selling_examples.invoice(buyer=Party(name, f"{name} 12", "buyer@example.org"))
    ),
    "care": lambda name: care_card.render(examples.care_label(kind=name)),
    "tag": lambda name: tag.render(shed_examples.skin_tag(owner_mark=name)),
}


@pytest.mark.thorough(but=4)
@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("script", NAMES)
def test_a_name_is_read_back_from_its_paper_by_two_readers(paper: str, script: str) -> None:
    made = PAPERS[paper](NAMES[script])
    assert NAMES[script] in reading.words(made)
    found = reading.words_by_pdfium(made)
    # On the tag the name follows a word that runs the other way, and this reader guesses their order anew.
    assert NAMES[script] in found or (paper == "tag" and all(word in found for word in NAMES[script].split()))
    reading.assert_printable(made)


@pytest.mark.thorough(but=2)
@pytest.mark.parametrize("script", NAMES)
def test_a_name_leaves_ink_where_it_stands(script: str) -> None:
    on_it, without = (reading.ink(PAPERS["invoice"](name)) for name in (NAMES[script], "."))
    assert on_it - without > 40


@pytest.mark.parametrize("script", NAMES)
def test_a_paper_is_the_same_bytes_twice(script: str) -> None:
    once = PAPERS["care"](NAMES[script])
    fonts.width(f"{NAMES[script]} 7 {NAMES[script]}", fonts.REGULAR, 9)  # another paper in between
    assert PAPERS["care"](NAMES[script]) == once


def test_a_chart_on_paper_sets_its_words_as_the_paper_does() -> None:
    drawing = charts.bars([(name, Decimal(at + 1)) for at, name in enumerate(NAMES.values())], unit="kg", width=400)
    words = reading.words(flow.document([drawing], A4, title="chart", author="", foot="foot"))
    assert not [name for name in NAMES.values() if name not in words]


def test_a_chart_with_a_picture_in_its_words_is_shown_on_a_page_and_refused_on_paper() -> None:
    drawing = charts.bars([("Farm 🐑", Decimal(1)), ("Ann", Decimal(2))], unit="kg", width=400)
    assert "Farm 🐑" in svg.to_svg(drawing, "chart", "", "chart")
    with pytest.raises(NoType, match="sheep"):
        flow.document([drawing], A4, title="chart", author="", foot="foot")


def test_marks_come_back_with_their_letters() -> None:
    """A pointed Hebrew name and a fully written Arabic one; two marks of one letter may have changed places, which is the same."""
    for name in ("שָׁלוֹם", "مُحَمَّدٌ"):
        made = PAPERS["care"](name)
        assert name in reading.words(made)
        assert name in unicodedata.normalize("NFC", reading.words_by_pdfium(made))


@pytest.mark.thorough
def test_every_glyph_has_its_text() -> None:
    """ToUnicode of every further type maps to letters alone: no private sign, nothing left out."""
    made = PAPERS["invoice"](" ".join(NAMES.values()))
    for font in PdfReader(BytesIO(made)).pages[0]["/Resources"]["/Font"].values():
        mapped = font.get_object()["/ToUnicode"].get_data().decode()
        assert not any("DB" <= line.split("<")[2][:2] <= "DF" for line in mapped.splitlines() if line.count("<") == 2)


@pytest.mark.parametrize("language", LANGUAGES)
def test_no_fixed_phrase_needs_a_further_type(language: str) -> None:
    assert not [phrase for phrase in shipped(language).values() if not fonts.plain(phrase)]


def test_two_names_of_one_paper_do_not_disturb_each_other() -> None:
    made = invoice.render(
        selling_examples.invoice(
            seller=Party(NAMES["Arabic"], "Tawyard Lane 4"), buyer=Party(NAMES["Chinese"], "Kelokatu 8")
        )
    )
    with pypdfium2.PdfDocument(made) as document:
        found = document[0].get_textpage().get_text_range()
    assert NAMES["Arabic"] in found
    assert NAMES["Chinese"] in found


def test_a_name_that_runs_to_the_left_begins_where_its_address_and_its_label_do() -> None:
    buyer = Party(NAMES["Hebrew"], "Main street 12", "buyer@example.org")
    spots = dict(reading.text_spots(invoice.render(selling_examples.invoice(buyer=buyer))))
    name = next(spot for words, spot in spots.items() if NAMES["Hebrew"] in words)
    assert abs(name.left - spots["Main street 12"].left) < 3
