"""Owns the usual cautions of the shed, by step and by substance, in our own words; papers and pages both show them.

Each ends by giving way to the supplier's safety data sheet, local rules, a doctor or a licensed person. Must not draw, must import
no drawing library, and must not claim to be complete: a safety data sheet that says otherwise is right.
"""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

SHEET = "The supplier's safety data sheet comes first."
RULES = "Local rules come first."
SHEET_AND_RULES = "The supplier's safety data sheet and local rules come first."
MEDIC = "If you are hurt, see a doctor."


@dataclass(frozen=True)
class Caution:
    """One caution: a short name, what to mind, and what it gives way to."""

    key: str
    title: str
    words: str
    defers: str

    @property
    def said(self) -> str:
        """The whole caution as a label or page says it."""
        return f"{self.words} {self.defers}"

    @property
    def short(self) -> str:
        """Name and words, for a row of a card where there is little room."""
        return f"{self.title}: {self.said}"


_ALL = (
    Caution(
        "gloves",
        "Gloves",
        "Waterproof gloves at every bath, brine and paste; salt and alum find each small cut. Wash hands after.",
        SHEET,
    ),
    Caution(
        "eyes",
        "Eyes",
        "Closed eye protection while you weigh, pour and stir. In the eye: rinse at once with running water, go on for"
        " many minutes, and get medical help.",
        SHEET,
    ),
    Caution(
        "gas",
        "Foam and gas",
        "Soda with alum or acid foams and gives off carbon dioxide, which lies low and takes the place of air. Dissolve the"
        " soda, add it a little at a time, leave headroom, keep the vessel open and the door too.",
        SHEET,
    ),
    Caution(
        "acid",
        "Acid",
        "Acid into water, never water into acid, and never near bleach or lime. Salt goes in before the skins, or they swell.",
        SHEET,
    ),
    Caution(
        "lime",
        "Lime",
        "Lime burns eyes, skin and lungs, wet or dry. Eye protection, long gloves, no dust; put lime into water, slowly, and"
        " never the other way round.",
        SHEET,
    ),
    Caution(
        "dust",
        "Dust",
        "Alum, lime, bark and sanding dust hurt the lungs. Pour low, work in moving air, wear a dust mask that fits.",
        SHEET,
    ),
    Caution(
        "raw_hide",
        "Raw skins",
        "A raw skin can carry disease and ticks. Cover cuts, keep food and drink away, wash hands, knives and the bench, and"
        " take fleshings where raw animal waste may go.",
        RULES,
    ),
    Caution(
        "knife",
        "Knife",
        "Push the edge away from you, hold the skin firmly on the beam, lay the knife down with its edge covered.",
        MEDIC,
    ),
    Caution(
        "salt_waste",
        "Salt and waste liquor",
        "Salt and liquor kill plants, harm wells and upset a septic tank. Keep salt under a roof; no liquor into a drain,"
        " ditch or ground without leave.",
        RULES,
    ),
    Caution(
        "rags",
        "Oily rags",
        "Rags with fish, linseed or other drying oil heat up by themselves and can catch fire. Dry them flat outdoors, or keep"
        " them under water in a metal tin with a lid.",
        SHEET_AND_RULES,
    ),
    Caution(
        "lifting",
        "Lifting",
        "A wet skin and a full tub weigh more than they look. Slide, drain or bail first; mind the wet floor.",
        MEDIC,
    ),
    Caution(
        "smoke",
        "Smoke and fire",
        "Smoke only outdoors, with water at hand, and never leave it alone. Wood smoke in a closed room can kill.",
        RULES,
    ),
    Caution(
        "borax",
        "Borax",
        "Borax may harm fertility and an unborn child. Gloves, no dust, locked away from children.",
        SHEET_AND_RULES,
    ),
)

CAUTIONS: Mapping[str, Caution] = MappingProxyType({caution.key: caution for caution in _ALL})

# What stands on every vessel, whatever is in it.
NOT_FOOD = "Not food or drink. Keep from children and animals."
PROTECT = "Wear gloves and eye protection."
NEVER_SEAL = "Never seal while it gasses."
DISPOSAL = "Waste: by local rules."

_STEPS: tuple[tuple[str, tuple[str, ...]], ...] = (
    # The flesh side is where oil goes on, without a knife.
    (r"flesh(?! side)|scrap", ("knife", "raw_hide")),
    (r"unhair|scud", ("knife", "lime")),
    (r"\blim(e|ed|ing)\b", ("lime", "gloves", "salt_waste")),
    (r"delim", ("eyes", "acid")),
    (r"salt|cure|shake", ("raw_hide", "salt_waste")),
    (r"soak|wash|rinse|degrease", ("raw_hide", "lifting")),
    (r"\bmix|\bbath|\btaw|top.?up|paste", ("eyes", "gloves", "gas")),
    (r"pickl|acid", ("acid", "eyes", "gloves")),
    (r"bark|liquor", ("gloves", "dust")),
    (r"turn|handle", ("gloves", "lifting")),
    (r"drain|drip|empty", ("salt_waste", "lifting")),
    (r"neutrali[sz]", ("gas", "eyes")),
    (r"\boil|grease|dress", ("rags",)),
    (r"sand|comb|brush", ("dust",)),
    (r"trim|\bcut", ("knife",)),
    (r"smok", ("smoke",)),
)

_SUBSTANCES: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "aluminium_sulphate_anhydrous": ("eyes", "gloves", "dust"),
        "aluminium_sulphate_14": ("eyes", "gloves", "dust"),
        "aluminium_sulphate_16": ("eyes", "gloves", "dust"),
        "aluminium_sulphate_18": ("eyes", "gloves", "dust"),
        "potash_alum": ("eyes", "gloves"),
        "ammonium_alum": ("eyes", "gloves"),
        "soda_ash": ("eyes", "gas"),
        "soda_monohydrate": ("eyes", "gas"),
        "washing_soda_crystals": ("eyes", "gas"),
        "baking_soda": ("gas",),
        "salt": ("salt_waste",),
        "borax": ("borax",),
        "hydrated_lime": ("lime", "dust"),
        "citric_acid": ("acid", "eyes"),
    }
)


def for_step(words: str) -> tuple[Caution, ...]:
    """The cautions for a step by the trade words in its name; none where no word is known.

    >>> [caution.title for caution in for_step("Flesh and salt")]
    ['Knife', 'Raw skins', 'Salt and waste liquor']
    >>> for_step("Admire")
    ()
    """
    return _told(key for pattern, keys in _STEPS if re.search(pattern, words, re.IGNORECASE) for key in keys)


def for_substances(slugs: Iterable[str]) -> tuple[Caution, ...]:
    """The cautions for exact substances by their slugs (see `inventory.substances`); an unknown one adds none.

    >>> [caution.title for caution in for_substances(["potash_alum", "washing_soda_crystals"])]
    ['Eyes', 'Gloves', 'Foam and gas']
    """
    return _told(key for slug in slugs for key in _SUBSTANCES.get(slug, ()))


def _told(keys: Iterable[str]) -> tuple[Caution, ...]:
    return tuple(CAUTIONS[key] for key in dict.fromkeys(keys))
