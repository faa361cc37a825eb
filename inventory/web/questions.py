"""The question before a clearly odd figure is kept: one sentence, then “Keep it” or “Change it”.

Owns how a page asks and how it is answered (decision 0045). What is odd are pure rules beside each noun; a view names them
with the boxes that they are about. Asking writes nothing and uses no request key: the answer is the same form, sent again.
"""

import hashlib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from django.forms import BoundField

# The button's name; its value is the mark of what was asked, so that no other figure is kept by the same answer.
SURE = "sure"

# What may be asked: the box and the sentence, or no sentence where nothing is odd.
Odd = tuple[BoundField, str | None]


@dataclass(frozen=True)
class Asked:
    """What is asked of a form before it is kept: sentences, the first box they are about, and the buttons' values that are to
    come again with the answer."""

    sentences: tuple[str, ...]
    at: BoundField
    carried: tuple[tuple[str, str], ...] = ()

    @property
    def sure(self) -> str:
        """What the answer “Keep it” sends."""
        return hashlib.sha256("\n".join(self.sentences).encode("utf-8", "surrogatepass")).hexdigest()[:16]

    def answered(self, sent: Mapping[str, object]) -> bool:
        return sent.get(SURE) == self.sure


def asked(odd: Iterable[Odd], sent: Mapping[str, str], buttons: Iterable[str] = ()) -> Asked | None:
    """The questions among these; None where nothing is odd."""
    found = [(at, words) for at, words in odd if words]
    if not found:
        return None
    carried = tuple((name, sent[name]) for name in buttons if name in sent)
    return Asked(tuple(dict.fromkeys(words for _, words in found)), found[0][0], carried)
