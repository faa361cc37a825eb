"""What a species is called: known by one name alone, and never guessed."""

import pytest

from workshop.documents.words import species
from workshop.documents.words.rules import LANGUAGES, Words, shipped


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_language_names_every_species_and_no_name_means_two(language: str) -> None:
    names = [shipped(language)[f"species.{key}"] for key in species.SPECIES]
    assert len(set(names)) == len(names)
    assert [species.known(name) for name in names] == list(species.SPECIES)


@pytest.mark.parametrize("typed", ["elk", "fox", "deer", "beaver", "sheep, Åland", ""])
def test_what_may_mean_two_animals_is_printed_as_it_was_typed(typed: str) -> None:
    assert species.known(typed) == ""
    assert species.named(typed, Words("de")) == typed


def test_a_name_is_known_in_any_language_and_said_in_the_labels() -> None:
    assert species.named("  LAMMAS ", Words("de")) == "Schaf (Ovis aries)"
    assert species.named("hare", Words()) == "hare (Lepus)"


@pytest.mark.parametrize(
    ("title", "kind", "typed", "said"),
    [
        ("", "rug", ("sheep",), "Sheepskin rug"),
        ("", "rug", ("ram",), "Sheepskin rug"),
        ("", "fur", ("rabbit",), "Rabbit fur"),
        ("", "leather", ("goat",), "Goat leather"),
        ("", "skin", ("goat",), "Goatskin"),
        ("", "hide", ("moose",), "Moose hide"),
        ("", "Fleece of our own", ("sheep",), "Fleece of our own"),
        ("", "talja", ("lammas",), "Talja"),
        ("", "matto", ("lammas",), "Lampaannahkainen matto"),
        ("", "Teppich", ("Rentier",), "Teppich vom Rentier"),
        ("", "matta", ("får",), "Matta av fårskinn"),
        ("", "tapis", ("mouton",), "Tapis en peau de mouton"),
        ("", "alfombra", ("oveja",), "Alfombra de piel de oveja"),
        ("", "rug", ("mouflon",), "Rug"),
        ("", "cushion", ("sheep", "goat"), "Cushion"),
        ("The white one", "rug", ("sheep",), "The white one"),
    ],
)
def test_the_headline(title: str, kind: str, typed: tuple[str, ...], said: str) -> None:
    assert species.headline(title, kind, typed) == said


def test_a_headline_keeps_the_language_that_was_typed_and_takes_the_makers_own_words_of_it() -> None:
    assert species.headline("", "rug", ("sheep",), Words("fi")) == "Sheepskin rug"
    own = Words("fi", {"headline.skin.sheep": "lammas-"})
    assert species.headline("", "matto", ("lammas",), own) == "Lammas- matto"
    assert all(f"headline.skin.{key}" in shipped(language) for key in species.SPECIES for language in LANGUAGES)
