"""Owns the common species of hides: by what name makers type them, and what labels call them. Knows no record.

A name that may mean two animals (elk, fox, deer, beaver) is not in here: it is printed as it was typed, and no more. Scientific
names are those in general use in zoology, written from memory; the genus alone where the name fits more than one species.
"""

from dataclasses import dataclass
from functools import cache

from workshop.documents.words.rules import ENGLISH, LANGUAGES, Words, shipped


@dataclass(frozen=True)
class Species:
    """`brittle`: hollow hair that breaks, so that it is not combed. `also`: further English names."""

    scientific: str
    brittle: bool = False
    also: tuple[str, ...] = ()


ENGLISH_WORDS = Words()
SPECIES = {
    "sheep": Species("Ovis aries", also=("lamb", "ewe", "ram")),
    "goat": Species("Capra hircus"),
    "cattle": Species("Bos taurus", also=("cow", "calf", "ox")),
    "reindeer": Species("Rangifer tarandus", brittle=True, also=("caribou",)),
    "red_deer": Species("Cervus elaphus", brittle=True),
    "roe_deer": Species("Capreolus capreolus", brittle=True),
    "fallow_deer": Species("Dama dama", brittle=True),
    "white_tailed_deer": Species("Odocoileus virginianus", brittle=True, also=("whitetail", "white-tail")),
    "moose": Species("Alces alces", brittle=True),
    "pig": Species("Sus scrofa"),
    "wild_boar": Species("Sus scrofa"),
    "red_fox": Species("Vulpes vulpes"),
    "rabbit": Species("Oryctolagus cuniculus"),
    "hare": Species("Lepus"),
    "horse": Species("Equus caballus"),
}


def known(typed: str) -> str:
    """The key of a species by its name in any language of ours, or nothing.

    >>> known("Sheep"), known("lammas"), known("elk")
    ('sheep', 'sheep', '')
    """
    return _names().get(" ".join(typed.casefold().split()), "")


def named(typed: str, words: Words) -> str:
    """What a label calls it: trade name and scientific name where it is known, else what was typed.

    >>> named("sheep", Words("fi")), named("Wensleydale", Words("fi"))
    ('lammas (Ovis aries)', 'Wensleydale')
    """
    key = known(typed)
    return f"{trade_name(typed, words)} ({SPECIES[key].scientific})" if key else typed


def trade_name(typed: str, words: Words) -> str:
    key = known(typed)
    return words(f"species.{key}") if key else typed


def headline(title: str, kind: str, typed: tuple[str, ...], words: Words = ENGLISH_WORDS) -> str:
    """What a piece is called: its own title, else its kind with its one skin, in the language that was typed, where the kind does
    not say it already. A species that is typed in several languages is taken in that of the words.

    >>> headline("", "rug", ("sheep",)), headline("", "goatskin pouch", ("goat",)), headline("", "matto", ("lammas",))
    ('Sheepskin rug', 'Goatskin pouch', 'Lampaannahkainen matto')
    """
    if title:
        return title
    key = known(typed[0]) if len(typed) == 1 else ""
    language = _typed_in(key, typed[0], words.language) if key else ""
    said, made = kind.casefold(), kind
    if language:
        words = words if words.language == language else Words(language)
        skin = words.here(f"headline.skin.{key}")
        if language == ENGLISH and said in ("skin", "hide"):
            made = skin
        elif language == ENGLISH and said in ("fur", "leather"):
            made = words("headline.of", species=words(f"species.{key}"), kind=said)
        elif skin and not any(word in said for word in words.lines("headline.says_skin")):
            made = words("headline.made_of", skin=skin, kind=kind)
    return made[:1].upper() + made[1:]


def _typed_in(key: str, typed: str, first: str) -> str:
    """The language in which a species was typed, the `first` one before English and the others."""
    name = " ".join(typed.casefold().split())
    for language in dict.fromkeys((first, ENGLISH, *LANGUAGES)):
        also = SPECIES[key].also if language == ENGLISH else ()
        if name in (shipped(language).get(f"species.{key}", "").casefold(), *also):
            return language
    return ""


@cache
def _names() -> dict[str, str]:
    names = {name: key for key, species in SPECIES.items() for name in species.also}
    for language in LANGUAGES:
        table = shipped(language)
        names |= {table[f"species.{key}"].casefold(): key for key in SPECIES if f"species.{key}" in table}
    return names
