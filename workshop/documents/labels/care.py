"""Owns what labels and cards of a piece say: its name, its facts, how to keep it. In words, and never in care signs, which are
a trade mark and belong to textiles.

Must not draw, and must not read any record.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date
from functools import lru_cache

from inventory.errors import Refused
from workshop.documents.kit import stack
from workshop.documents.kit.stack import Para, Stack
from workshop.documents.kit.text import TextTooLong
from workshop.documents.kit.wording import opened, raised
from workshop.documents.words import species
from workshop.documents.words.rules import LANGUAGES, Words

METHODS = ("alum_tawed", "bark", "oil_smoked", "synthetic")
LEAST_SIZE = 5.0  # points, of what must not be done on the smallest label
LEAST, WHOLE = -1, 99  # lines of what to do


@dataclass(frozen=True, kw_only=True)
class Described:
    """A piece as a shop names it. `title` its own name, may be empty; `species` as they were typed; `area_text` such as
    "101 dm2", or empty; `hair`: "on", "off" or not said. `brand` is the workshop's name, `maker` the person's, may be empty.
    """

    method: str
    article: str
    kind: str
    species: tuple[str, ...]
    area_text: str
    brand: str
    maker: str
    postal: str
    electronic: str
    title: str = ""
    hair: str = ""
    words: Words = field(default_factory=Words)

    @property
    def headline(self) -> str:
        return species.headline(self.title, self.kind, self.species, self.words)

    @property
    def address(self) -> str:
        return ", ".join(filter(None, (self.maker, one_line(self.postal))))


@dataclass(frozen=True, kw_only=True)
class CareLabel(Described):
    """One piece and how to keep it. `use`: see `Article`. `second`: the language that is printed under the first."""

    batch: str = ""
    finished: date | None = None
    use: str = ""
    origin: str = ""
    textile: bool = False
    fur_origin: bool = False
    second: Words | None = None

    def __post_init__(self) -> None:
        if self.method not in METHODS:
            raise Refused(
                f"There are no care words for the method “{self.method}”. Choose one of: {', '.join(METHODS)}.",
                field="method",
            )
        if self.fur_origin and not self.origin:
            raise Refused(
                f"{self.article} is to say “Fur origin” and a country. Enter the origin of its skin, or take that off its label.",
                field="origin",
            )
        for words in self.languages if self.textile else ():
            if not words.here("care.textile"):
                raise Refused(
                    f"{self.article} is a textile article, and the law's words for it are not known in "
                    f"{LANGUAGES[words.language]}. Print it in en, de, fr or sv, or enter those words under the words of papers.",
                    field="language",
                )

    @property
    def languages(self) -> tuple[Words, ...]:
        return (self.words, self.second) if self.second else (self.words,)

    @property
    def brittle(self) -> bool:
        return any(species.SPECIES[key].brittle for key in map(species.known, self.species) if key)


def one_line(text: str) -> str:
    return ", ".join(line.strip(" ,") for line in text.splitlines() if line.strip())


def method_line(label: Described, words: Words) -> str:
    """ "Hair on, alum-tawed"."""
    hair = {"on": words("care.hair_on"), "off": words("care.hair_off")}.get(label.hair, "")
    method = label.method
    return opened(", ".join(filter(None, (hair, words(f"care.{method}.name")))))


def area_line(label: Described, words: Words) -> str:
    """An area as a label may state it: approximate, because a hand measured it."""
    return words("care.area", area=raised(label.area_text.strip())) if label.area_text.strip() else ""


def species_line(label: CareLabel, words: Words) -> str:
    """ "Sheep (Ovis aries), Finland"."""
    named = dict.fromkeys(species.named(each, words) for each in label.species)
    return ", ".join(filter(None, (opened(", ".join(named)), label.origin)))


def trade_names(label: Described, words: Words) -> str:
    return ", ".join(dict.fromkeys(species.trade_name(each, words) for each in label.species))


def second_facts(label: CareLabel) -> str:
    """Method and species in the second language, in one line."""
    if not label.second:
        return ""
    return f"{method_line(label, label.second)} · {trade_names(label, label.second)}"


def law_lines(label: CareLabel) -> tuple[str, ...]:
    """What a law fixes the words of."""
    textile = [words.here("care.textile") for words in label.languages] if label.textile else []
    fur = [label.words("care.fur_origin", country=label.origin)] if label.fur_origin else []
    return (*textile, *fur)


def numbers(label: CareLabel) -> str:
    """ "No. H03 · batch B1 · finished 22 Feb 2025"."""
    words = label.words
    batch = words("care.batch", batch=label.batch) if label.batch else ""
    finished = words("care.finished", day=words.day(label.finished)) if label.finished else ""
    return " · ".join(filter(None, (words("care.number", number=label.article), batch, finished)))


def do(label: CareLabel, words: Words) -> Iterator[str]:
    """What a buyer can do, by method, hair and use, what matters most first; what is of hair only where hair is said."""
    method, use = label.method, label.use
    if label.hair == "on":
        yield words("care.hair.brittle" if label.brittle else "care.hair.comb")
    elif label.hair == "off":
        yield words("care.hair.off")
    yield from words.lines(f"care.{method}.do")
    if label.hair == "on":
        yield words("care.hair.moth")
    yield from words.here("own.care").splitlines()
    if use:
        yield words(f"care.use.{use}")
    if label.hair == "on":
        yield words("care.hair.store")


@dataclass(frozen=True)
class Said:
    """The care in one language: what never, the most important first, why, and what to do, what matters most first."""

    language: str
    never: tuple[str, ...]
    why: str
    do: tuple[str, ...]


def said(label: CareLabel) -> tuple[Said, ...]:
    """The care in each language of the label."""
    method = label.method
    return tuple(
        Said(words.language, words.lines(f"care.{method}.never"), words(f"care.{method}.why"), tuple(do(label, words)))
        for words in label.languages
    )


def paras(care: Sequence[Said], *, lines: int = WHOLE, second: int = WHOLE) -> Iterator[Para]:
    """In a frame what must never be done and why, then what to do; then the second language in smaller type.

    `lines` of what to do, for both and for the `second`; LEAST leaves nothing but the first prohibition, said however little room
    there is.
    """
    first, *others = care
    yield Para(first.never[0], bold=True, framed=True)
    if lines > LEAST:
        yield from (Para(text, before=1, framed=True) for text in first.never[1:])
        yield Para(first.why, before=2.5, framed=True)
        bullets = first.do[:lines]
        yield from (Para(text, before=3.5 if at == 0 else 1.5, bullet=True) for at, text in enumerate(bullets))
    for other in others:
        yield Para(f"{other.language.upper()} · {other.never[0]}", bold=True, larger=-0.25, before=7, ruled=True)
        if lines > LEAST:
            further = (*other.never[1:], other.why, *other.do[: min(lines, second)])
            yield Para(" ".join(further), larger=-0.25)


def fitted(label: CareLabel, width: float, height: float, *, size: float, smallest: float) -> Stack:
    """As much of the care as there is room for, at the largest size at which it fits; refused where not even the least does."""
    return _fitted(said(label), width, height, size, smallest)


# A run of many labels asks for the same words in the same room over and over.
@lru_cache(maxsize=256)
def _fitted(care: tuple[Said, ...], width: float, height: float, size: float, smallest: float) -> Stack:
    shorter = (paras(care, lines=lines, second=0) for lines in range(len(care[0].do), LEAST, -1))
    for whole in (paras(care), *shorter):
        try:
            return stack.fit(tuple(whole), width, height, size=size, smallest=smallest, whole="care words")
        except TextTooLong:
            continue
    least = tuple(paras(care, lines=LEAST))
    return stack.fit(least, width, height, size=size, smallest=LEAST_SIZE, whole="care words")
