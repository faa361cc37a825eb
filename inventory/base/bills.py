"""The store of suppliers' bills: photos and PDFs beside the books, each named by its own content.

A photo is written anew, large enough to read; a PDF is kept byte by byte, because what it says must stay as it was sent, and is
never opened here. The store does not know whose bill it is: a delivery or a cost does.
"""

import hashlib
import re
from pathlib import Path

from django.conf import settings

from inventory.base import pictures
from inventory.errors import Refused

LONGEST_SIDE = 3000  # a till's long strip is still read
NAME = re.compile(r"[0-9a-f]{32}\.(?:jpg|pdf)")
PDF_START, PDF_END, TAIL = b"%PDF-", b"%%EOF", 2048
KINDS = {"jpg": "image/jpeg", "pdf": "application/pdf"}


def keep(content: bytes) -> str:
    """Keep a bill; answers the name to give to `path`. Refuses what is in it neither a photo nor a whole PDF."""
    refuse_large(len(content))
    if content.startswith(PDF_START):
        if PDF_END not in content[-TAIL:]:
            raise Refused("This PDF is broken off: its end is missing. Save it again, or take a photo.", field="bill")
        kept, ending = content, "pdf"
    else:
        kept, ending = _picture(content), "jpg"
    name = f"{hashlib.sha256(kept).hexdigest()[:32]}.{ending}"
    pictures.write(folder() / name, kept)
    return name


def _picture(content: bytes) -> bytes:
    try:
        return pictures.anew(content, LONGEST_SIDE)
    except Refused as refused:
        raise Refused(f"A bill is a PDF or a photo. {refused}", field="bill") from refused


def path(name: str) -> Path:
    """Where a kept bill lies. `FileNotFoundError` for a name that is not one of the store's, or has no file."""
    file = folder() / name
    if not NAME.fullmatch(name) or not file.is_file():
        raise FileNotFoundError(name)
    return file


def folder() -> Path:
    return Path(settings.DATA_DIR) / "bills"


def refuse_large(size: int) -> None:
    """By its size alone, before a byte of it is looked at."""
    if size > pictures.LARGEST:
        most = pictures.LARGEST // pictures.MEGABYTE
        raise Refused(
            f"A bill of {size / pictures.MEGABYTE:.0f} MB is too large; at most {most} MB. Send it smaller.",
            field="bill",
        )
