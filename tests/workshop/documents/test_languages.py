"""Each paper in each language: it prints, and names its title and its pages in that language."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest

from tests.workshop.documents import reading, selling_examples as examples, shed_examples as shed
from tests.workshop.documents.sales import test_debts
from workshop.documents.kit.page import A4
from workshop.documents.labels import bath_label, jar_label, shelf_label, tag
from workshop.documents.sales import fair_day, gallery, packing_slip, reminder, statement
from workshop.documents.shed import batch_card, grid_sheet, job_card, stand_in_sheet, stocktake_sheet
from workshop.documents.words.rules import LANGUAGES, OWN_LINES, Words, shipped

pytestmark = pytest.mark.usefixtures("type_is_cut")

PAPERS: dict[str, tuple[Any, Any]] = {
    "gallery.list": (gallery.render, examples.gallery_paper()),
    "gallery.in_stock": (gallery.render, examples.statement()),
    "statement.title": (statement.render, test_debts.account()),
    "reminder.due_date": (reminder.render, test_debts.letter()),
    "packing.title": (packing_slip.render, examples.packing_slip()),
    "fair.day_sheet": (fair_day.render, examples.fair_day()),
    "job.title": (job_card.render, examples.job_card()),
    "stocktake.title": (stocktake_sheet.render, examples.stocktake_sheet()),
    "card.heading": (batch_card.render, shed.batch_card()),
    "grid.form": (grid_sheet.render, shed.grid_sheet()),
    "stand_in.heading": (stand_in_sheet.render, shed.stand_in_sheet()),
}

LABELS: dict[str, tuple[Any, Any]] = {
    "tag.key": (tag.render, shed.skin_tag()),
    "tag.look_daily": (tag.render_frames, shed.frame_tag(ready_about=None)),
    "tag.frame": (tag.render_numbers, tag.FrameLabel("F2")),
    "vessel.sheet": (bath_label.render, shed.bath_label()),
    "jar.keep_shut": (jar_label.render, shed.jar_label()),
    "jar.no_hazards": (jar_label.render, shed.jar_label(hazards=())),
    "shelf.nothing": (shelf_label.render, shed.shelf_label(kept=())),
}


def printed(phrase: str) -> str:
    """As a reader of the paper gets it: plain spaces, no mark that only says where a word may break."""
    return " ".join(phrase.replace("\u00ad", "").split())


@pytest.mark.thorough(but=4)
@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("key", PAPERS)
def test_a_paper_is_printed_in_each_language(key: str, language: str) -> None:
    render, paper = PAPERS[key]
    words = Words(language)
    made = render(replace(paper, words=words), A4)
    said = reading.words(made)
    assert printed(words(key)) in said
    assert words("kit.page", number=1, count=len(reading.pages(made))) in said
    assert reading.language(made) == language
    reading.assert_printable(made, margin_mm=10)


@pytest.mark.thorough(but=4)
@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("key", LABELS)
def test_a_label_is_printed_in_each_language(key: str, language: str) -> None:
    render, label = LABELS[key]
    words = Words(language)
    made = render(replace(label, words=words))
    assert printed(words(key)) in reading.words(made)
    reading.assert_printable(made, margin_mm=2)


@pytest.mark.thorough(but=3)
@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("litres", ["2", "18", "60", "800"])
def test_the_cautions_of_a_bath_are_whole_in_each_language_on_every_size(litres: str, language: str) -> None:
    words = Words(language)
    said = reading.words(bath_label.render(shed.bath_label(litres=Decimal(litres), words=words)))
    for line in (*words.lines("vessel.precautions"), *map(words, bath_label.STANDING), words("vessel.sheet")):
        assert printed(line) in said


@pytest.mark.parametrize("language", LANGUAGES)
def test_the_legend_of_the_holes_is_read_without_glasses(language: str) -> None:
    """Six points and no smaller: common practice, no source. Nothing of it is cut."""
    words = Words(language)
    made = tag.render(shed.skin_tag(words=words))
    legend = {words("tag.top"), words("tag.odd"), "32", "16"}
    sizes = {text: size for text, size in reading.sizes(made) if text in legend or text in printed(words("tag.key"))}
    assert legend <= set(sizes)
    assert min(sizes.values()) >= 6
    assert printed(words("tag.key")) in reading.words(made)


@pytest.mark.parametrize("language", LANGUAGES)
def test_what_binds_somebody_is_not_built_in_but_may_be_adopted(language: str) -> None:
    assert not any(shipped(language).get(key) for key in OWN_LINES)
    assert set(OWN_LINES.values()) <= set(shipped(language))
