"""Puts the CII file into the PDF of the paper: Factur-X, profile EN 16931, on PDF/A-3.

The factur-x package writes metadata, attachment and its relation; it and what it brings are the extra `einvoice`.
What PDF/A-3 asks for besides stands here: an output intent, so that black is black, and a number of the file. Fonts are embedded
by the drawing of the paper, which uses no transparency. The same paper gives the same bytes: every moment that the package wrote
is put to noon of the day of issue.
"""

import hashlib
import re
from datetime import date
from io import BytesIO
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from inventory.errors import Refused

# Where the profile of colours says when it was made, and by which platform: not the same on two days or systems.
_MADE, _PLATFORM = slice(24, 36), slice(40, 44)
_MOMENT = re.compile(rb"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\+00:00")
_WRITER = "pypdf"  # what the package says in the metadata wrote the file; the file must say the same of itself


def write(pdf: bytes, xml: bytes, *, on: date, title: str, author: str, subject: str, language: str) -> bytes:
    """The paper with the file in it. Refused where the package is not installed."""
    facturx = _package()
    told = {"author": author, "keywords": "", "title": title, "subject": subject}
    with TemporaryDirectory(prefix="tawery-") as folder:
        paper, made = Path(folder) / "paper.pdf", Path(folder) / "made.pdf"
        paper.write_bytes(pdf)
        # Its own function for bytes leaves the paper in front of what it makes: two files in one.
        facturx.generate_from_file(
            str(paper),
            xml,
            flavor="factur-x",
            level="en16931",
            check_xsd=True,
            check_schematron=False,  # it asks a server; the tests run the official rules over every kind of paper
            pdf_metadata=told,
            lang=language,
            output_pdf_file=str(made),
            afrelationship="alternative",
            xmp_compression=False,
        )
        return _archived(made.read_bytes(), on, hashlib.sha256(pdf + xml).digest()[:16])


def _package() -> Any:
    try:
        import facturx  # an extra, and slow to load
    except ImportError:
        raise Refused(
            "The PDF with the invoice in it needs one more package. Install it where Tawery runs, by "
            "`.venv/bin/pip install -e '.[einvoice]'`, or take the UBL or CII file, which need none.",
            field="syntax",
        ) from None
    return facturx


def _archived(pdf: bytes, on: date, number: bytes) -> bytes:
    """With an output intent, a number of its own and the day of issue wherever a moment stood."""
    import pypdf  # comes with the extra
    from pypdf import generic

    writer = pypdf.PdfWriter(clone_from=BytesIO(pdf))
    writer.pdf_header = "%PDF-1.7"
    root: Any = writer._root_object  # the library leaves open what stands in it
    name = generic.NameObject
    colours = generic.DecodedStreamObject()
    colours.set_data(_srgb())
    colours[name("/N")] = generic.NumberObject(3)
    intent = {
        "/Type": name("/OutputIntent"),
        "/S": name("/GTS_PDFA1"),
        "/OutputConditionIdentifier": generic.TextStringObject("sRGB"),
        "/Info": generic.TextStringObject("sRGB"),
        "/DestOutputProfile": writer._add_object(colours.flate_encode()),
    }
    kept = writer._add_object(generic.DictionaryObject({name(key): value for key, value in intent.items()}))
    root[name("/OutputIntents")] = generic.ArrayObject([kept])
    moment = f"D:{on:%Y%m%d}120000+00'00'"
    writer.add_metadata({"/CreationDate": moment, "/ModDate": moment, "/Producer": _WRITER})
    (file,) = root["/AF"]
    file.get_object()["/EF"]["/F"]["/Params"][name("/ModDate")] = generic.TextStringObject(moment)
    told = root["/Metadata"].get_object()
    told.set_data(_MOMENT.sub(f"{on:%Y-%m-%d}T12:00:00+00:00".encode(), told.get_data()))
    for page in writer.pages:
        page.pop("/Trans", None)
    twice = generic.ByteStringObject(number)
    writer._ID = generic.ArrayObject([twice, twice])
    buffer = BytesIO()
    writer.write(buffer)
    return buffer.getvalue()


def _srgb() -> bytes:
    """The profile of sRGB that Pillow makes, without the moment and the machine."""
    from PIL import ImageCms  # loads a library of colours that nothing else needs

    made = bytearray(ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes())
    made[_MADE] = bytes([0x07, 0xD0, 0, 1, 0, 1, 0, 0, 0, 0, 0, 0])  # 1 January 2000
    made[_PLATFORM] = bytes(4)
    return bytes(made)
