"""Writes XML: elements that leave out what is empty, text that a parser takes, amounts and days. It reads none.

Names carry their prefix and the root says what it stands for. What XML 1.0 has no place for (control signs, half a surrogate
pair) is left out of texts; marks such as < and & are escaped by the library.
"""

import re
from collections.abc import Mapping
from datetime import date
from decimal import Decimal
from xml.etree import ElementTree as ET

from inventory.money import half_up
from workshop.documents.einvoice.rules import PLACES

_UNWRITABLE = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
Element = ET.Element
Part = Element | None


def group(name: str, *parts: Part, **attributes: str) -> Part:
    """An element of others; none where all of them are left out."""
    kept = [part for part in parts if part is not None]
    if not kept:
        return None
    found = ET.Element(name, attributes)
    found.extend(kept)
    return found


def text(name: str, words: str, **attributes: str) -> Part:
    """An element with words; none where there are none."""
    words = _UNWRITABLE.sub("", words).strip()
    if not words:
        return None
    found = ET.Element(name, attributes)
    found.text = words
    return found


def on_one_line(words: str) -> str:
    return " ".join(words.split())


def money(amount: Decimal) -> str:
    """An amount with two decimals, as every currency has them there; that it has no more is checked before."""
    return str(half_up(amount, PLACES))


def figure(value: Decimal) -> str:
    """A quantity, a price or a rate, without needless noughts."""
    return f"{value.normalize() + 0:f}"


def day(on: date | None) -> str:
    return on.isoformat() if on else ""


def document(root: str, spaces: Mapping[str, str], *parts: Part) -> bytes:
    """The file, in UTF-8. `spaces` are the namespaces by prefix; the empty one is that of names without."""
    names = {f"xmlns:{prefix}" if prefix else "xmlns": uri for prefix, uri in spaces.items()}
    found = ET.Element(root, names)
    found.extend(part for part in parts if part is not None)
    ET.indent(found)
    body = ET.tostring(found, encoding="unicode")
    return f'<?xml version="1.0" encoding="UTF-8"?>\n{body}\n'.encode()
