"""Each paper in each language: it prints, and names its title and its pages in that language."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from tests.workshop.documents import reading, selling_examples as examples
from tests.workshop.documents.sales import test_debts
from workshop.documents.kit.page import A4
from workshop.documents.sales import fair_day, gallery, packing_slip, reminder, statement
from workshop.documents.shed import job_card
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
}


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("key", PAPERS)
def test_a_paper_is_printed_in_each_language(key: str, language: str) -> None:
    render, paper = PAPERS[key]
    words = Words(language)
    made = render(replace(paper, words=words), A4)
    said = reading.words(made)
    assert words(key).replace("\u00ad", "") in said
    assert words("kit.page", number=1, count=len(reading.pages(made))) in said
    assert reading.language(made) == language
    reading.assert_printable(made, margin_mm=10)


@pytest.mark.parametrize("language", LANGUAGES)
def test_what_binds_somebody_is_not_built_in_but_may_be_adopted(language: str) -> None:
    assert not set(OWN_LINES) & set(shipped(language))
    assert set(OWN_LINES.values()) <= set(shipped(language))
