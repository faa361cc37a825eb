"""What a screen reader finds in a paper, read back by another program's reader of PDF trees."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from io import BytesIO
from typing import Any

import pypdf
import pytest

from tests.workshop.documents import reading
from workshop.documents.charts import charts
from workshop.documents.charts.picture import Picture
from workshop.documents.kit import cards, flow, page
from workshop.documents.kit.cards import Card
from workshop.documents.kit.page import A4, Box, Paper
from workshop.documents.kit.table import Column, Table
from workshop.documents.words.rules import Words

D = Decimal


def made(story: list[Any], **named: Any) -> bytes:
    return flow.document(story, A4, title="Paper", author="Routamo Skins", foot="foot", **named)


def table(rows: int) -> Table:
    columns: list[Column[int]] = [
        Column("", 6, lambda number: str(number), figure=True),
        Column("Thing", 50, lambda number: (f"thing {number}", "smaller")),
        Column("Amount", 20, amount=lambda number: D(number)),
    ]
    return Table(columns, range(1, rows + 1), title="Things", closing=[flow.sums([("Net", "1"), ("Total", "2")])])


def test_headings_and_paragraphs_are_told_in_reading_order() -> None:
    story = [flow.words("Title", level=1), *flow.part("Part", flow.paragraphs(["one", "two"]))]
    assert reading.told(made(story)) == [("Document", ""), ("H1", "Title"), ("H2", "Part"), ("P", "one"), ("P", "two")]


def test_stories_side_by_side_are_no_table() -> None:
    found = reading.told(made([flow.beside([[flow.words("left")], [flow.words("right")]], (1, 1))]))
    assert found == [("Document", ""), ("P", "left"), ("P", "right")]


def test_a_table_is_told_as_one_with_its_head_and_its_sums_by_rows() -> None:
    found = reading.told(made([table(1)]))
    assert found[:2] == [("Document", ""), ("H2", "Things")]
    roles = [role for role, words in found[2:] if role != "P"]
    assert roles[:8] == ["Table", "TR", "TH", "TH", "TR", "TD", "TD", "TD"], "a column without a title has no head"
    assert roles[8:] == ["Table", "TR", "TH", "TD", "TR", "TH", "TD"], "a sum's words are the head of its row"


def test_a_table_over_pages_stays_one_table_whose_head_is_told_once() -> None:
    paper = made([table(120)])
    catalog = pypdf.PdfReader(BytesIO(paper)).trailer["/Root"]
    top = catalog["/StructTreeRoot"]["/K"]
    tables = [kid for kid in top["/K"] if kid["/S"] == "/Table"]
    assert len(reading.pages(paper)) > 2
    assert len(tables) == 2, "the table and its sums"
    assert [words for role, words in reading.told(paper) if words == "Thing"] == ["Thing"]
    assert reading.words(paper).count("Thing ") > 2, "though it is printed on every page"


def test_a_head_says_of_what_it_is_the_head() -> None:
    top = pypdf.PdfReader(BytesIO(made([table(1)]))).trailer["/Root"]["/StructTreeRoot"]["/K"]
    heads = [
        cell["/A"]["/Scope"]
        for part in top["/K"]
        if part["/S"] == "/Table"
        for row in part["/K"]
        for cell in row["/K"]
        if cell["/S"] == "/TH"
    ]
    assert heads == ["/Column", "/Column", "/Row", "/Row"]


def test_a_drawing_and_a_tick_say_what_they_show() -> None:
    drawing = charts.bars([("alum", D(2)), ("salt", D(1))])
    story = [Picture(drawing, "alum 2; salt 1"), flow.tick(), flow.tick(ticked=True)]
    assert reading.told(made(story))[1:] == [("Figure", "alum 2; salt 1"), ("Figure", "to tick"), ("Figure", "ticked")]
    assert ("Figure", "merkitty") in reading.told(made([flow.tick(ticked=True)], words=Words("fi")))


def test_the_foot_and_empty_words_are_not_told() -> None:
    found = reading.told(made([flow.words(""), flow.words("said")]))
    assert found == [("Document", ""), ("P", "said")]


def test_a_paper_says_what_it_is_of_which_day_and_in_which_language() -> None:
    reader = pypdf.PdfReader(BytesIO(made([flow.words("a")], day=date(2025, 5, 24), words=Words("fi"))))
    assert reader.metadata is not None
    facts = {key: str(value) for key, value in reader.metadata.items()}
    assert facts["/CreationDate"] == facts["/ModDate"] == "D:20250524"
    assert (facts["/Title"], facts["/Author"], facts["/Subject"]) == ("Paper", "Routamo Skins", "foot")
    assert reader.trailer["/Root"]["/Lang"] == "fi"


def test_a_label_without_a_day_claims_none() -> None:
    def draw(on: Any, box: Box) -> None:
        page.text(on, box, "word", size=9, smallest=9)

    card = cards.render(Card(draw, (Paper(50, 30),), "T", "A"))

    reading.assert_told(card)
    metadata = pypdf.PdfReader(BytesIO(card)).metadata
    assert metadata is not None
    assert "/CreationDate" not in metadata
    assert metadata["/Subject"] == "T, 50 × 30 mm"


@pytest.mark.parametrize("copies", [1, 3])
def test_each_label_of_a_sheet_stands_by_itself(copies: int) -> None:
    def draw(on: Any, box: Box) -> None:
        page.tall(on, box.cut_top(20)[0], "H03", whole="tag")
        page.text(on, box, "Sheep", size=9, smallest=9)

    card = cards.render(Card(draw, (Paper(50, 40),), "Tags", "A"), copies, A4)
    assert reading.told(card) == [("Document", ""), *[("Sect", ""), ("P", "H03"), ("P", "Sheep")] * copies]
