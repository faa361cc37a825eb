"""Owns in which order the letters of a line stand: its direction by the first strong letter, and its parts that run the other way.

Unicode's bidirectional algorithm (UAX #9) as python-bidi has it. Must not know a font.
"""

import unicodedata
from collections.abc import Sequence
from typing import Any, TypeVar

LEFT_TO_RIGHT, RIGHT_TO_LEFT = "\u200e", "\u200f"
# Marks that turn text round by force: a name could read as another with them. Isolates only matter around such.
FORCING = dict.fromkeys([*range(0x202A, 0x202F), *range(0x2066, 0x206A)])
_TURNED = ("R", "AL")
_WEIGHTLESS = "BN"
Part = TypeVar("Part")


def right_to_left(text: str) -> bool:
    """Whether the first letter with a direction of its own runs to the left."""
    strong = (direction for direction in map(unicodedata.bidirectional, text) if direction in ("L", *_TURNED))
    return next(strong, "L") in _TURNED


def levels(text: str) -> list[int]:
    """How deep each letter is turned: even ones run to the right, odd ones to the left."""
    if not any(unicodedata.bidirectional(letter) in (*_TURNED, "AN") for letter in text):
        return [0] * len(text)
    from bidi import algorithm  # an extra, which not everybody has

    base = int(right_to_left(text))
    weighty = [letter for letter in text if unicodedata.bidirectional(letter) != _WEIGHTLESS]
    known = algorithm.get_empty_storage()
    known["base_level"], known["base_dir"] = base, "LR"[base]
    algorithm.get_embedding_levels("".join(weighty), known)
    algorithm.explicit_embed_and_overrides(known)
    algorithm.resolve_weak_types(known)
    _bind_brackets(known["chars"], "LR"[base])
    algorithm.resolve_neutral_types(known, False)
    algorithm.resolve_implicit_levels(known, False)
    found, made, level = iter(known["chars"]), [], base
    for letter in text:
        # A joiner between two letters turns with the one before it.
        level = level if unicodedata.bidirectional(letter) == _WEIGHTLESS else next(found)["level"]
        made.append(level)
    return made


def _bind_brackets(letters: list[dict[str, Any]], around: str) -> None:
    """Give both brackets of a pair one direction (UAX #9, rule N0), which python-bidi leaves out: else one of them turns alone."""
    ways = ["R" if each["type"] in ("R", "AN", "EN") else each["type"] for each in letters]
    for start, end in _pairs(letters):
        within = {way for way in ways[start + 1 : end] if way in "LR"}
        if not within:
            continue
        before = next((way for way in reversed(ways[:start]) if way in "LR"), around)
        way = around if around in within or before == around else before
        ways[start] = ways[end] = letters[start]["type"] = letters[end]["type"] = way


def _pairs(letters: list[dict[str, Any]]) -> list[tuple[int, int]]:
    """Places of brackets that belong together, by the place of the first."""
    from bidi.mirror import MIRRORED  # an extra, which not everybody has

    opened: list[tuple[str, int]] = []
    found = []
    for at, letter in enumerate(each["ch"] for each in letters):
        kind = unicodedata.category(letter)
        if kind == "Ps" and letter in MIRRORED:
            opened.append((MIRRORED[letter], at))
        elif kind == "Pe" and any(letter == close for close, _ in opened):
            while (last := opened.pop())[0] != letter:
                pass
            found.append((last[1], at))
    return sorted(found)


def seen(parts: Sequence[Part], at: Sequence[int]) -> list[Part]:
    """The parts from left to right as they are seen; `at` has the level of each (UAX #9, rule L2)."""
    pairs = list(zip(parts, at, strict=True))
    for level in range(max(at, default=0), 0, -1):
        start = 0
        while start < len(pairs):
            end = start
            while end < len(pairs) and pairs[end][1] >= level:
                end += 1
            pairs[start:end] = reversed(pairs[start:end])
            start = end + 1
    return [part for part, _ in pairs]


def mirrored(text: str) -> str:
    """Letter by letter from right to left, brackets turned round."""
    from bidi.mirror import MIRRORED  # an extra, which not everybody has

    return "".join(MIRRORED.get(letter, letter) for letter in reversed(text))
