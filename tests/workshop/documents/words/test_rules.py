"""Words of papers: each language says the same with the same places, and says nothing that no paper asks for."""

import re
from pathlib import Path

import pytest

from inventory.errors import Refused
from workshop.documents.words import rules
from workshop.documents.words.rules import ENGLISH, LANGUAGES, Words, places, shipped

OTHERS = [language for language in LANGUAGES if language != ENGLISH]
ASKED = re.compile(r"""["']([a-z_]+(?:\.[a-z_{}]+)+)["']""")


@pytest.mark.parametrize("language", OTHERS)
def test_a_translation_has_no_phrase_that_english_lacks(language: str) -> None:
    assert set(shipped(language)) <= set(shipped(ENGLISH))


@pytest.mark.parametrize("language", OTHERS)
def test_a_translation_fills_in_what_english_fills_in(language: str) -> None:
    english = shipped(ENGLISH)
    other = {key: (places(phrase), places(english[key])) for key, phrase in shipped(language).items()}
    assert {key: found for key, found in other.items() if found[0] != found[1]} == {}


@pytest.mark.parametrize("language", LANGUAGES)
def test_no_phrase_is_empty_or_loosely_written(language: str) -> None:
    loose = {key for key, phrase in shipped(language).items() if phrase != phrase.strip() or "  " in phrase}
    assert loose == set()


def test_the_makers_own_phrase_comes_first_and_english_last() -> None:
    words = Words("fi", {"kit.page": "s. {number}"})
    assert words("kit.page", number=3, count=4) == "s. 3"
    assert Words("fi")("kit.page", number=3, count=4) == "sivu 3/4"


def test_a_brace_of_the_makers_own_does_no_harm() -> None:
    words = Words("en", {"kit.page": "{number.__class__} {} {0} {number} {other}"})
    assert words("kit.page", number=3) == "{number.__class__} {} {0} 3 {other}"


def test_a_language_that_is_not_there_is_refused_with_those_that_are() -> None:
    with pytest.raises(Refused, match="choose one of en, fi"):
        rules.known("tlh")


def test_each_phrase_is_asked_for() -> None:
    """A key is written out in the paper that prints it, whole or up to a part that a record names."""
    papers = Path(rules.__file__).resolve().parents[2]
    asked = {key for file in papers.rglob("*.py") for key in ASKED.findall(file.read_text("utf-8"))}
    patterns = [re.compile(re.sub(r"\\{[a-z_]*\\}", "[a-z_]+", re.escape(key))) for key in asked]
    unused = {key for key in shipped(ENGLISH) if not any(pattern.fullmatch(key) for pattern in patterns)}
    assert unused == set()
