"""Reasons for charging no tax: each is known by its own words, and is offered under its law."""

import pytest

from costing.sell.sales.exemptions import rules
from costing.sell.sales.exemptions.rules import EXEMPTIONS, SMALL_BUSINESS, key_of, offered
from workshop.documents.words.rules import ENGLISH, LANGUAGES, shipped


@pytest.mark.parametrize("each", [*EXEMPTIONS, SMALL_BUSINESS], ids=lambda one: one.key)
def test_the_words_offered_are_those_of_an_english_paper_and_fit_their_column(each: rules.Exemption) -> None:
    assert shipped(ENGLISH)[f"exemption.{each.key}"] == each.words
    assert key_of(f" {each.words.upper()} ") == each.key
    assert max(len(shipped(language)[f"exemption.{each.key}"]) for language in LANGUAGES) <= 120


def test_each_law_offers_its_own() -> None:
    assert "Sale for resale" in offered("US")
    assert not any("2006/112" in words for law in ("US", "UK") for words in offered(law))
    assert "Reverse charge" in offered("EU")
    assert rules.small_business("EU")
    assert not rules.small_business("US")
