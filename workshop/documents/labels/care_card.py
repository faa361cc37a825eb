"""Owns the care label: how to keep a skin, by the way it was tanned, in words.

Words and never care signs: the signs are a trade mark and belong to textiles. Must not read any record.
"""

from dataclasses import dataclass
from functools import partial
from typing import Any

from reportlab.lib.units import mm

from inventory.errors import Refused
from workshop.documents.kit import cards, codes, page, short, stack
from workshop.documents.kit.cards import Card
from workshop.documents.kit.page import Box, Paper
from workshop.documents.kit.stack import Para
from workshop.documents.kit.text import LEADING
from workshop.documents.kit.wording import about, opened

METHODS = {
    "alum_tawed": "Alum-tawed",
    "bark": "Bark-tanned",
    "oil_smoked": "Oil-tanned and smoked",
    "synthetic": "Synthetic or brush-on oil",
}


@dataclass(frozen=True)
class CareWords:
    """What the owner should do, must not do, and the reason, for one way of tanning."""

    title: str
    do: tuple[str, ...]
    do_not: tuple[str, ...]
    why: str


WORDS = {
    "alum_tawed": CareWords(
        title=METHODS["alum_tawed"],
        do=(
            "Shake and brush it outdoors, or vacuum it on low.",
            "Wipe a mark with a cloth that is only just damp. Dry it flat, away from heat.",
            "Keep it dry and airy, out of strong sun.",
            "Check both sides and the folds for moth, spring and autumn.",
        ),
        do_not=(
            "Never wash or soak it, by hand or by machine.",
            "Do not leave it in rain or on a wet floor.",
            "Do not dry it by a stove or radiator.",
        ),
        why="Alum keeps this skin soft, and water takes the alum out. A washed skin dries stiff.",
    ),
    "bark": CareWords(
        title=METHODS["bark"],
        do=(
            "Wipe with a wrung-out sponge, all over, so that no ring is left.",
            "Dry it slowly in the shade, away from heat.",
            "When it feels dry, rub in a thin coat of leather oil. Try a hidden spot first.",
            "If it has hair, check for moth, spring and autumn.",
        ),
        do_not=(
            "Do not soak it or put it in a machine.",
            "Do not dry it by a stove, a radiator or in full sun.",
            "Do not leave wet iron on it: that marks it black.",
        ),
        why="Bark tan stays in when the leather gets damp, but the oil does not. It darkens with light, oil and use.",
    ),
    "oil_smoked": CareWords(
        title=METHODS["oil_smoked"],
        do=(
            "Brush or air it first; often that is enough.",
            "If it must be washed: by hand, cool, with a little mild soap. Rinse well, press out in a towel.",
            "Pull and work it in every direction until it is dry, or it sets hard.",
            "Check for moth, spring and autumn.",
        ),
        do_not=(
            "Not smoked, or not sure? Treat it as alum-tawed and do not wash it.",
            "No hot water, no machine, no tumble dryer.",
            "Do not dry it by a stove or radiator.",
        ),
        why="Smoke sets the oil in the fibres, so the skin can get wet and be worked soft again.",
    ),
    "synthetic": CareWords(
        title=METHODS["synthetic"],
        do=(
            "Follow the sheet of the tan's supplier; ask for it.",
            "Brush, shake or vacuum on low first.",
            "If the sheet allows washing: by hand, cool, with pH-neutral soap, at your own risk.",
            "Dry it flat in the shade; stretch and comb it while damp.",
            "Check for moth, spring and autumn.",
        ),
        do_not=(
            "No washing at all if the sheet does not allow it.",
            "No soaking, hot water, bleach or softener.",
            "No tumble dryer, stove or radiator.",
        ),
        why="These tans differ from one supplier to the next, so the supplier's sheet comes before this card.",
    ),
}


@dataclass(frozen=True)
class CareLabel:
    """One article's care label. `area_text` such as "about 101 dm2 (10.9 sq ft)", or empty; `batch` may be empty."""

    method: str
    article: str
    kind: str
    species: str
    area_text: str
    maker: str
    postal: str
    electronic: str
    batch: str

    def __post_init__(self) -> None:
        if self.method not in WORDS:
            raise Refused(
                f"There are no care words for the method “{self.method}”. Choose one of: {', '.join(METHODS)}.",
                field="method",
            )


MARGIN = 6 * mm
NUMBER_SIZE = 10.2 * mm / page.FIGURE_HEIGHT  # figures of 10 mm and a hair, to be read across a tub
_BODY, _BODY_SMALLEST = 10.5, 6.5
_FOOT = 25 * mm


def render(label: CareLabel, copies: int = 1, sheet: Paper | None = None) -> bytes:
    """The label as PDF: an A6 page a copy, or laid on `sheet` (A4 takes four) to cut apart."""
    return cards.render(card(label), copies, sheet)


def card(label: CareLabel) -> Card:
    return Card(partial(draw, label=label), (page.A6,), f"Care label {label.article}", label.maker)


def draw(on: Any, place: Box, label: CareLabel) -> None:
    """The card in a box of A6 or more; in a smaller one its words in short type, the code in the corner."""
    if not short.roomy(place, page.A6):
        maker = Para(" · ".join(para.words for para in _from(label) if para.words))
        said = (Para(label.kind, bold=True), Para(_facts(label)), *_in_short(WORDS[label.method]), maker)
        short.put(on, place, head=label.article, code=label.article, paras=said, whole="care words")
        return
    rest = place.inset(MARGIN)
    number, rest = rest.cut_top(NUMBER_SIZE * LEADING)
    page.text(
        on, number, label.article, size=NUMBER_SIZE, smallest=14, bold=True, whole="article number", one_line=True
    )
    name, rest = rest.cut_top(8 * mm)
    page.text(on, name, label.kind, size=14, smallest=7, bold=True)
    facts, rest = rest.cut_top(8 * mm, gap=2 * mm)
    page.text(on, facts, _facts(label), size=9, smallest=6)
    words, foot = rest.cut_top(rest.height - _FOOT, gap=3 * mm)
    stack.put(on, words, paras(WORDS[label.method]), size=_BODY, smallest=_BODY_SMALLEST, whole="care words")
    _foot(on, foot, label)


def _facts(label: CareLabel) -> str:
    made = " · ".join(filter(None, (opened(label.species), METHODS[label.method])))
    return "\n".join(filter(None, (made, about(label.area_text))))


def _foot(on: Any, box: Box, label: CareLabel) -> None:
    page.rule(on, box)
    _, box = box.cut_top(0, gap=2 * mm)
    box = codes.beside(on, box, label.article, height=9 * mm)
    said = "\n".join(para.words for para in _from(label) if para.words)
    page.text(on, box, said, size=8.5, smallest=5, whole="maker's address")


def _from(label: CareLabel) -> tuple[Para, ...]:
    batch = f"Batch {label.batch}" if label.batch else ""
    return tuple(Para(words) for words in (batch, label.maker, label.postal, label.electronic))


def _in_short(words: CareWords) -> tuple[Para, ...]:
    """What to do and what not to do, in running text; without the reason."""
    return (Para(f"Do: {' '.join(words.do)}"), Para(f"Do not: {' '.join(words.do_not)}"))


def paras(words: CareWords) -> list[Para]:
    """The reason, what to do, and in a frame what not to do."""
    return [
        Para(words.why),
        Para("Do", bold=True, larger=1, before=4),
        *(Para(text, before=1.5, bullet=True) for text in words.do),
        Para("Do not", bold=True, larger=1, before=5, framed=True),
        *(Para(text, before=1.5, bullet=True, framed=True) for text in words.do_not),
    ]
