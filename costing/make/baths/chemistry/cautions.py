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
        "A raw skin can carry disease and ticks. Gloves, cuts covered, food and drink away; a mask that fits where dry salt or"
        " hair is shaken off. Wash hands, knives and the bench, and take fleshings where raw animal waste may go. With a"
        " fever or a sore see a doctor, and say what you work with.",
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
        "solvent",
        "Solvents",
        "Petrol, white spirit and their like burn, and their vapour creeps along the floor to any flame or switch. Outdoors, no"
        " flame, spark or smoking, gloves that they do not go through; no skin or rag is shut in while it smells.",
        SHEET_AND_RULES,
    ),
    Caution(
        "bleach",
        "Bleach",
        "Bleach with acid, vinegar or alum gives off chlorine, and with ammonia other poison gas. Nothing else in the vessel,"
        " moving air, closed eye protection and gloves; peroxide burns the skin as well.",
        SHEET,
    ),
    Caution(
        "ammonia",
        "Ammonia",
        "Ammonium alum with lime or strong soda gives off ammonia, which bites eyes and lungs. Outdoors or in a strong draught,"
        " a little at a time, and step back.",
        SHEET,
    ),
    Caution(
        "strain",
        "Strain",
        "Breaking and staking wear out wrists and shoulders. Short sessions, both hands in turn, the blade's edge away from you.",
        MEDIC,
    ),
    Caution(
        "mould",
        "Mould",
        "Mould on a skin throws spores. A mask that fits, outdoors, brushed off damp and not dry; people with asthma leave it.",
        MEDIC,
    ),
    Caution(
        "old_skin",
        "Old skins",
        "An old or antique skin or mount may hold arsenic or mercury. Without a test by somebody who can: do not shake, brush, wet"
        " or work it; gloves, a bag, and children away.",
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

_DEFERS = (SHEET, RULES, MEDIC)


def once(texts: Iterable[str]) -> tuple[str, ...]:
    """The texts of one place, the same text once; what each gives way to is said by the last of those that say it.

    >>> once(["Lime burns. " + SHEET, "Gloves. " + SHEET, "Gloves. " + SHEET])
    ('Lime burns.', "Gloves. The supplier's safety data sheet comes first.")
    >>> once(["Dust. " + SHEET, "Rags. " + SHEET_AND_RULES])
    ('Dust.', "Rags. The supplier's safety data sheet and local rules come first.")
    """
    said: set[str] = set()
    kept = []
    for text in reversed(list(dict.fromkeys(texts))):
        short = text
        for words in said:
            short = short.replace(words, "")
        said.update(words for words in _DEFERS if words in text)
        if SHEET_AND_RULES in text:
            said.update((SHEET, RULES))
        kept.append(short.strip())
    return tuple(filter(None, reversed(kept)))


_STEPS: tuple[tuple[str, tuple[str, ...]], ...] = (
    # The flesh side is where oil goes on, without a knife.
    (r"flesh(?! side)|scrap", ("knife", "raw_hide")),
    (r"unhair|scud", ("knife", "lime")),
    (r"\blim(e|ed|ing)\b", ("lime", "gloves", "salt_waste")),
    (r"delim", ("eyes", "acid")),
    (r"salt|cure|shake", ("raw_hide", "salt_waste")),
    (r"soak|wash|rinse|degrease", ("raw_hide", "lifting")),
    (r"\bmix|\bbath|\btaw|top.?up|paste", ("eyes", "gloves")),
    # Where lime is mixed, no soda foams.
    (r"^(?!.*\blim(e|ed|ing)\b).*(\bmix|\bbath|\btaw|top.?up|paste)", ("gas",)),
    (r"pickl|acid|vinegar", ("acid", "eyes", "gloves")),
    (r"bleach|peroxide", ("bleach", "eyes", "gloves")),
    (r"bark|liquor", ("gloves", "dust")),
    (r"turn|handle", ("gloves", "lifting")),
    (r"take out|lift out", ("gloves", "lifting", "salt_waste")),
    (r"drain|drip|empty", ("salt_waste", "lifting")),
    (r"neutrali[sz]", ("gas", "eyes")),
    (r"\boil|grease|dress", ("rags",)),
    (r"petrol|white spirit|solvent|naphtha", ("solvent",)),
    (r"sand|comb|brush|tumbl", ("dust",)),
    (r"trim|\bcut|shav", ("knife",)),
    (r"\bstak|\bbreak", ("strain",)),
    (r"mou?ld", ("mould",)),
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


# Strong enough to drive ammonia out of ammonium alum.
_DRIVES_OUT_AMMONIA = {"hydrated_lime", "soda_ash", "soda_monohydrate", "washing_soda_crystals"}


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
    >>> for_substances(["ammonium_alum", "hydrated_lime"])[0].title
    'Ammonia'
    """
    known = set(slugs := list(slugs))
    meets = ("ammonia",) if "ammonium_alum" in known and known & _DRIVES_OUT_AMMONIA else ()
    return _told([*meets, *(key for slug in slugs for key in _SUBSTANCES.get(slug, ()))])


def _told(keys: Iterable[str]) -> tuple[Caution, ...]:
    return tuple(CAUTIONS[key] for key in dict.fromkeys(keys))
