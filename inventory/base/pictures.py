"""Files that people send: pictures opened warily and written anew, and a file written all or nothing. No request, no table.

A picture is opened, checked, turned upright, made small and written anew, so that nothing of the camera comes along: no place,
no time, no name. What the file's name or the browser says about it counts for nothing.
"""

from __future__ import annotations

import os
import re
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING

from inventory.errors import Refused

if TYPE_CHECKING:
    from PIL import Image

MEGABYTE = 1024 * 1024
LARGEST = 20 * MEGABYTE

# A phone takes 12 to 50 million pixels. Far more from a small file is made to fill the memory.
MOST_PIXELS = 80_000_000
# Of a JPEG that many are read small at once; every other format is read pixel by pixel, a second for each 20 million.
MOST_WHOLE = 25_000_000
GAP = 2  # the picture is averaged down to twice its new size before it is smoothed
QUALITY = 82
FORMATS = ("JPEG", "PNG", "WEBP")

# How a picture is turned upright, by what its head says (Exif 2.32, tag 0x0112).
ORIENTATION = 0x0112
TURNS = {
    2: "FLIP_LEFT_RIGHT",
    3: "ROTATE_180",
    4: "FLIP_TOP_BOTTOM",
    5: "TRANSPOSE",
    6: "ROTATE_270",
    7: "TRANSVERSE",
    8: "ROTATE_90",
}

# What phones save instead of a JPEG, by the brand in its head (ISO/IEC 23008-12, from memory): not read here.
HEIC = frozenset({b"heic", b"heix", b"hevc", b"heim", b"heis", b"heif", b"mif1", b"msf1"})

# Segments of a JPEG that hold the picture: frames, tables, scans, restart interval, and the JFIF head.
PICTURE_DATA = frozenset({0xC0, 0xC2, 0xC4, 0xDA, 0xDB, 0xDD, 0xE0})

# What the many ways of a broken or wicked file raise in the reader.
_BROKEN = (OSError, SyntaxError, ValueError, TypeError, EOFError, KeyError, IndexError, ArithmeticError)


def anew(content: bytes, longest: int) -> bytes:
    """The picture as it is kept, no side longer than so many pixels. One that came from here stays as it is, byte by byte."""
    refuse_large(len(content))
    size = measured(content)
    image = opened(content, longest)
    return content if max(size) <= longest and is_plain(content) else painted(image)


def refuse_large(size: int) -> None:
    """By its size alone, before a byte of it is looked at."""
    if size > LARGEST:
        raise Refused(
            f"A photo of {size / MEGABYTE:.0f} MB is too large; at most {LARGEST // MEGABYTE} MB. Take it with fewer pixels, "
            "or send it smaller.",
            field="photo",
        )


@contextmanager
def _in_words() -> Iterator[None]:
    """What the reader of pictures raises over a broken or wicked file, as a refusal."""
    from PIL import Image, UnidentifiedImageError  # only when somebody sends a picture

    try:
        yield
    except (Image.DecompressionBombError, Image.DecompressionBombWarning):
        raise _too_many("more pixels than any camera takes") from None
    except UnidentifiedImageError:
        raise Refused(
            "This file is no photo: what is in it is neither JPEG, PNG nor WebP. Take the photo again, or choose another.",
            field="photo",
        ) from None
    except _BROKEN:
        raise Refused("This photo is broken off or damaged. Take it again, or choose another.", field="photo") from None


def measured(content: bytes) -> tuple[int, int]:
    """Width and height by the head of the file, before a pixel is read: of too many none is."""
    from PIL import Image  # only when somebody sends a picture

    if content[4:8] == b"ftyp" and content[8:12] in HEIC:
        raise Refused(
            "This photo is saved as HEIC, which is not read here. Set the camera of the phone to JPEG (“Most compatible”), or send "
            "a copy saved as JPEG.",
            field="photo",
        )
    with _in_words():
        found = Image.open(BytesIO(content), formats=FORMATS)
        pixels = found.width * found.height
        if pixels > MOST_PIXELS:
            raise _too_many(f"{found.width} × {found.height} pixels")
        if found.format != "JPEG" and pixels > MOST_WHOLE:
            raise _too_many(f"{found.width} × {found.height} pixels", f" as {found.format}. Save it as JPEG, or take")
        found.verify()
        return found.size


def opened(content: bytes, longest: int) -> Image.Image:
    """The picture, wholly read, made small and turned upright."""
    from PIL import Image  # only when somebody sends a picture

    with _in_words():
        image: Image.Image = Image.open(BytesIO(content), formats=FORMATS)
        image.draft(
            "RGB", (longest, longest)
        )  # a JPEG is read at a half, a quarter or an eighth, sparing time and memory
        upside, deep = image.getexif().get(ORIENTATION), image.mode.startswith("I;16")
        if deep:  # grey in 65,536 steps, of which the reader would cut off all but the darkest
            image = image.point(lambda grey: grey * (1 / 256))
        see_through = "A" in image.getbands() or "transparency" in image.info
        image = image.convert("RGBA" if see_through else "RGB")
        image.thumbnail((longest, longest), Image.Resampling.LANCZOS, reducing_gap=GAP)
        return image.transpose(Image.Transpose[TURNS[upside]]) if upside in TURNS else image


def _too_many(pixels: str, here: str = ". Take") -> Refused:
    return Refused(f"This photo has {pixels}, more than can be read here{here} it with fewer.", field="photo")


def painted(image: Image.Image) -> bytes:
    """As a JPEG painted onto a new sheet: no word that the old file carried can come along."""
    from PIL import Image  # only when somebody sends a picture

    clean = Image.new("RGB", image.size, "white")
    clean.paste(image, mask=image.getchannel("A") if image.mode == "RGBA" else None)
    written = BytesIO()
    clean.save(written, "JPEG", quality=QUALITY, optimize=True)
    return written.getvalue()


def is_plain(content: bytes) -> bool:
    """A JPEG of picture data alone: no segment that could hold words, and nothing after its end.

    Markers by ITU-T T.81, annex B: of the application segments only the bare 16-byte JFIF head, no comment.
    """
    if not content.startswith(b"\xff\xd8"):
        return False
    place = 2
    while place + 4 <= len(content) and content[place] == 0xFF:
        marker, length = content[place + 1], int.from_bytes(content[place + 2 : place + 4], "big")
        if marker not in PICTURE_DATA or length < 2 or (marker == 0xE0 and length != 16):
            return False
        place += 2 + length
        if marker == 0xDA:
            after = re.compile(rb"\xff[^\x00\xd0-\xd7]").search(content, place)
            if after is None:
                return False
            place = after.start()
            if content[place + 1] == 0xD9:
                return place + 2 == len(content)
    return False


def write(file: Path, content: bytes) -> None:
    """All or nothing, readable by the workshop alone. The same content is there already under its name."""
    if file.is_file():
        return
    file.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    handle, draft = tempfile.mkstemp(dir=file.parent, suffix=".part")  # mode 0600
    try:
        with os.fdopen(handle, "wb") as out:
            out.write(content)
            out.flush()
            os.fsync(out.fileno())
        Path(draft).replace(file)
    except BaseException:
        Path(draft).unlink(missing_ok=True)
        raise
