"""Reasons for charging no tax: each is on the list of EN 16931, is known by its own words, and is offered under its law."""

import re
from pathlib import Path

import facturx
import pytest

from costing.sell.sales.exemptions import rules
from costing.sell.sales.exemptions.rules import EXEMPTIONS, SMALL_BUSINESS, exemption_code, key_of, offered
from workshop.documents.words.rules import ENGLISH, LANGUAGES, shipped

COMPILED = Path(facturx.__file__).parent.rglob("*EN16931*.xslt")


def test_each_code_is_on_the_list_that_the_official_rules_check() -> None:
    listed = {found for file in COMPILED for found in re.findall(r"VATEX-EU-[A-Z0-9-]+", file.read_text("utf-8"))}
    assert {each.code for each in EXEMPTIONS if each.code} <= listed
    assert len(listed) > 30


@pytest.mark.parametrize("each", EXEMPTIONS, ids=lambda one: one.key)
def test_a_reason_has_its_code_as_it_was_chosen(each: rules.Exemption) -> None:
    assert exemption_code(each.words) == (each.code or None)


@pytest.mark.parametrize("each", [*EXEMPTIONS, SMALL_BUSINESS], ids=lambda one: one.key)
def test_the_words_offered_are_those_of_an_english_paper_and_fit_their_column(each: rules.Exemption) -> None:
    assert shipped(ENGLISH)[f"exemption.{each.key}"] == each.words
    assert key_of(f" {each.words.upper()} ") == each.key
    assert max(len(shipped(language)[f"exemption.{each.key}"]) for language in LANGUAGES) <= 120


@pytest.mark.parametrize(
    "reason", ["", "Resale certificate", "Sale for resale", "Museum", "Export, art. 146", SMALL_BUSINESS.words]
)
def test_a_reason_that_the_list_does_not_have_has_no_code(reason: str) -> None:
    assert exemption_code(reason) is None


def test_each_law_offers_its_own() -> None:
    assert "Sale for resale" in offered("US")
    assert not any("2006/112" in words for law in ("US", "UK") for words in offered(law))
    assert "Reverse charge" in offered("EU")
    assert rules.small_business("EU")
    assert not rules.small_business("US")
