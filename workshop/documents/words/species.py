"""Owns the common species of hides: by what name makers type them, and what labels call them. Knows no record.

A name that may mean two animals (elk, fox, deer, beaver) is not in here: it is printed as it was typed, and no more. Scientific
names are those in general use in zoology, written from memory; the genus alone where the name fits more than one species.
"""

from dataclasses import dataclass
from functools import cache

from workshop.documents.words.rules import LANGUAGES, Words, shipped


@dataclass(frozen=True)
class Species:
    """`skin`: how English calls its skin. `brittle`: hollow hair that breaks, so that it is not combed. `also`: further names."""

    scientific: str
    skin: str
    brittle: bool = False
    also: tuple[str, ...] = ()


SPECIES = {
    "sheep": Species("Ovis aries", "sheepskin", also=("lamb", "ewe", "ram")),
    "goat": Species("Capra hircus", "goatskin"),
    "cattle": Species("Bos taurus", "cowhide", also=("cow", "calf", "ox")),
    "reindeer": Species("Rangifer tarandus", "reindeer skin", brittle=True, also=("caribou",)),
    "red_deer": Species("Cervus elaphus", "deerskin", brittle=True),
    "roe_deer": Species("Capreolus capreolus", "roe deer skin", brittle=True),
    "fallow_deer": Species("Dama dama", "deerskin", brittle=True),
    "white_tailed_deer": Species("Odocoileus virginianus", "deerskin", brittle=True, also=("whitetail", "white-tail")),
    "moose": Species("Alces alces", "moose hide", brittle=True),
    "pig": Species("Sus scrofa", "pigskin"),
    "wild_boar": Species("Sus scrofa", "boar skin"),
    "red_fox": Species("Vulpes vulpes", "fox fur"),
    "rabbit": Species("Oryctolagus cuniculus", "rabbit skin"),
    "hare": Species("Lepus", "hare skin"),
    "horse": Species("Equus caballus", "horsehide"),
}
_SAYS_SKIN = ("skin", "hide", "fur", "leather", "pelt", "fleece")


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


def headline(title: str, kind: str, typed: tuple[str, ...]) -> str:
    """What a piece is called: its own title, else its kind with the English name of its one skin, where that was typed in English
    and the kind does not say it already.

    >>> headline("", "rug", ("sheep",)), headline("", "goatskin pouch", ("goat",)), headline("", "talja", ("lammas",))
    ('Sheepskin rug', 'Goatskin pouch', 'Talja')
    """
    if title:
        return title
    key = known(typed[0]) if len(typed) == 1 else ""
    english = key and " ".join(typed[0].casefold().split()) in _english(key)
    said = kind.casefold()
    if english and said in ("fur", "leather", "skin", "hide"):
        bare = SPECIES[key].skin if said in ("skin", "hide") else f"{Words()(f'species.{key}')} {said}"
        return bare[:1].upper() + bare[1:]
    if english and not any(word in said for word in _SAYS_SKIN):
        kind = f"{SPECIES[key].skin} {kind}"
    return kind[:1].upper() + kind[1:]


def _english(key: str) -> tuple[str, ...]:
    return (shipped("en")[f"species.{key}"], *SPECIES[key].also)


@cache
def _names() -> dict[str, str]:
    names = {name: key for key, species in SPECIES.items() for name in species.also}
    for language in LANGUAGES:
        table = shipped(language)
        names |= {table[f"species.{key}"].casefold(): key for key in SPECIES if f"species.{key}" in table}
    return names
