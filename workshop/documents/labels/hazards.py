"""Owns the hazard words that a vessel or jar carries by default: signal word, then sentences, by exact substance.

Defaults only: the supplier's safety data sheet is right where it differs, and a label takes other words instead. Must not draw,
and must not classify a mixture: a bath gets the words of what went in, undiluted, which errs on the safe side.

Which of them come from a published classification, and from which, `inventory.substances` says beside each substance; the rest
and the statutory wording are from memory, and the label says so. No words stand here for what sheets disagree on.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from types import MappingProxyType

from workshop.documents.words.rules import Words

SIGNALS = ("Danger", "Warning")  # the stronger first
_METAL = "May corrode metals (H290)."
_SKIN = "Causes skin irritation (H315)."
_EYE_DAMAGE = "Causes serious eye damage (H318)."
_EYE = "Causes serious eye irritation (H319)."
_AIRWAYS = "May cause respiratory irritation (H335)."
_UNBORN = "May damage fertility and the unborn child (H360FD)."
_SULPHATE = ("Danger", _EYE_DAMAGE, _METAL)
_SODA = ("Warning", _EYE)

WORDS: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "aluminium_sulphate_anhydrous": _SULPHATE,
        "aluminium_sulphate_14": _SULPHATE,
        "aluminium_sulphate_16": _SULPHATE,
        "aluminium_sulphate_18": _SULPHATE,
        "soda_ash": _SODA,
        "soda_monohydrate": _SODA,
        "washing_soda_crystals": _SODA,
        "hydrated_lime": ("Danger", _SKIN, _EYE_DAMAGE, _AIRWAYS),
        "citric_acid": ("Warning", _EYE),
        "borax": ("Danger", _UNBORN),
        # Usually not classified.
        "potash_alum": (),
        "ammonium_alum": (),
        "baking_soda": (),
        "salt": (),
    }
)


# What each is called among the words of papers.
SAID: Mapping[str, str] = MappingProxyType(
    {
        "Danger": "danger",
        "Warning": "warning",
        _METAL: "metal",
        _SKIN: "skin",
        _EYE_DAMAGE: "eye_damage",
        _EYE: "eye",
        _AIRWAYS: "airways",
        _UNBORN: "unborn",
    }
)


@dataclass(frozen=True)
class Whose:
    """Whose the words on `name` are: `key` of the words of papers, `on` the day of the maker's own data sheet."""

    name: str
    key: str
    on: date | None = None

    def told(self, words: Words) -> str:
        """In the language of the paper: "by your data sheet of 3 Mar 2025"."""
        named = {} if self.on is None else {"day": words.day(self.on)}
        key = self.key
        return words(f"hazard.whose.{key}", **named)


def told(word: str, words: Words) -> str:
    """A default word in the language of the paper; what the maker noted stays as it is.

    >>> told("Danger", Words("fi")), told("Danger: H314", Words("fi"))
    ('Vaara', 'Danger: H314')
    """
    key = SAID.get(word)
    return words(f"hazard.{key}") if key else word


def whose(named: Iterable[Whose], words: Words) -> str:
    """Whose all of the words are; each thing by its name where they are not the same one's.

    >>> lime, borax = Whose("Lime", "usual"), Whose("Borax", "memory")
    >>> whose([borax], Words()), whose([lime, borax], Words())[:43]
    ('Words from memory, check the SDS.', 'Lime: as usually classified: check the SDS.')
    """
    said: dict[str, list[str]] = {}
    for one in named:
        said.setdefault(one.told(words), []).append(one.name)
    if len(said) < 2:
        return "".join(words("hazard.words", whose=own) for own in said)
    return " ".join(f"{', '.join(names)}: {own}." for own, names in said.items())


def split(words: Iterable[str]) -> tuple[str, tuple[str, ...]]:
    """The signal word, or none, and the sentences.

    >>> split(("DANGER!", "Causes serious eye damage (H318)."))
    ('Danger', ('Causes serious eye damage (H318).',))
    >>> split(())
    ('', ())
    """
    kept = [word.strip() for word in words if word.strip()]
    first = kept[0].strip(" .:!").capitalize() if kept else ""
    return (first, tuple(kept[1:])) if first in SIGNALS else ("", tuple(kept))


def together(*labels: Iterable[str]) -> tuple[str, ...]:
    """The words of several substances as one label: the strongest signal word once, then every sentence once.

    A milder sentence on the same eye is dropped beside the stronger one, as on a supplier's label.

    >>> together(WORDS["washing_soda_crystals"], WORDS["aluminium_sulphate_14"])
    ('Danger', 'Causes serious eye damage (H318).', 'May corrode metals (H290).')
    """
    parts = [split(label) for label in labels]
    signal = next((word for word in SIGNALS if any(word == own for own, _ in parts)), "")
    sentences = dict.fromkeys(sentence for _, own in parts for sentence in own)
    if _EYE_DAMAGE in sentences:
        sentences.pop(_EYE, None)
    return (*filter(None, (signal,)), *sentences)


def for_substances(slugs: Iterable[str]) -> tuple[str, ...]:
    """The default words for what went into a bath; a substance without an entry adds none."""
    return together(*(WORDS.get(slug, ()) for slug in slugs))
