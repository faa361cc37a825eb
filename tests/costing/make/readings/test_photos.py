"""The photo store: only pictures come in, small and upright, and nothing of the camera comes along."""

from __future__ import annotations

import struct
import zlib
from io import BytesIO
from pathlib import Path

import pytest
from PIL import Image, ImageCms, PngImagePlugin
from pytest_django import Settings

from costing.make.readings import services as photos
from inventory.base import pictures
from inventory.errors import Refused

GPS = {1: "N", 2: (65.0, 1.0, 2.0), 3: "E", 4: (25.0, 28.0, 9.0)}
TRACES = [b"Exif", b"GPS", b"ICC_PROFILE", b"adobe:ns:meta", b"Photoshop", b"PhoneMaker", b"seen by the river", b"IPTC"]


@pytest.fixture(autouse=True)
def store(settings: Settings, tmp_path: Path) -> Path:
    settings.DATA_DIR = tmp_path
    return tmp_path / "photos"


def picture(size: tuple[int, int] = (40, 30), mode: str = "RGB") -> Image.Image:
    """Left half dark, right half light: what is turned can be seen."""
    image = Image.new(mode, size, _dark(mode))
    if mode == "P":
        image.putpalette([20, 20, 20, 230, 230, 230])
    image.paste(Image.new(mode, (size[0] - size[0] // 2, size[1]), _light(mode)), (size[0] // 2, 0))
    return image


def _dark(mode: str) -> int | tuple[int, ...]:
    return {
        "L": 20,
        "RGB": (20, 20, 20),
        "RGBA": (20, 20, 20, 255),
        "CMYK": (0, 0, 0, 235),
        "P": 0,
        "1": 0,
        "I;16": 900,
    }[mode]


def _light(mode: str) -> int | tuple[int, ...]:
    return {
        "L": 230,
        "RGB": (230, 230, 230),
        "RGBA": (230, 230, 230, 0),
        "CMYK": (0, 0, 0, 25),
        "P": 1,
        "1": 1,
        "I;16": 60000,
    }[mode]


def written(image: Image.Image, kind: str = "JPEG", **more: object) -> bytes:
    out = BytesIO()
    image.save(out, kind, **more)
    return out.getvalue()


def from_a_phone(size: tuple[int, int] = (40, 30), orientation: int = 1) -> bytes:
    """A JPEG that tells where and by what it was taken, in every place a JPEG has for it."""
    exif = Image.Exif()
    exif[0x010F] = "PhoneMaker"
    exif[0x0112] = orientation
    exif.get_ifd(0x8825).update(GPS)
    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    plain = written(
        picture(size), exif=exif, icc_profile=profile, xmp=b"<x:xmpmeta xmlns:x='adobe:ns:meta/'/>",
        comment=b"seen by the river", dpi=(300, 300), quality=95,
    )  # fmt: skip
    iptc = b"Photoshop 3.0\x008BIM\x04\x04IPTC"
    return plain[:2] + b"\xff\xed" + struct.pack(">H", len(iptc) + 2) + iptc + plain[2:]


def kept(content: bytes) -> Image.Image:
    return Image.open(BytesIO(photos.path(photos.keep(content)).read_bytes()))


def test_the_phone_photo_of_these_tests_really_tells_where_it_was_taken() -> None:
    content = from_a_phone()
    assert dict(Image.open(BytesIO(content)).getexif().get_ifd(0x8825))[1] == "N"
    assert [trace for trace in TRACES if trace not in content and trace != b"GPS"] == []


@pytest.mark.parametrize("size", [(40, 30), (2400, 1800)])
def test_nothing_of_camera_place_or_time_is_kept(size: tuple[int, int]) -> None:
    name = photos.keep(from_a_phone(size))
    content = photos.path(name).read_bytes()
    assert [trace for trace in TRACES if trace in content] == []
    image = Image.open(BytesIO(content))
    assert dict(image.getexif()) == {}
    assert set(image.info) <= {"jfif", "jfif_version", "jfif_unit", "jfif_density"}
    segments = [kind for kind, _ in image.applist]  # type: ignore[attr-defined]
    assert segments == ["APP0"]


def test_words_in_a_png_or_webp_do_not_come_along() -> None:
    told = PngImagePlugin.PngInfo()
    told.add_text("Location", "seen by the river")
    exif = Image.Exif()
    exif.get_ifd(0x8825).update(GPS)
    for content in (written(picture(), "PNG", pnginfo=told, exif=exif), written(picture(), "WEBP", exif=exif)):
        kept_bytes = photos.path(photos.keep(content)).read_bytes()
        assert [trace for trace in TRACES if trace in kept_bytes] == []


@pytest.mark.parametrize(
    ("orientation", "size", "light_corner"),
    [(1, (40, 30), (39, 0)), (3, (40, 30), (0, 0)), (6, (30, 40), (29, 39)), (8, (30, 40), (0, 0))],
)
def test_a_photo_is_turned_upright_before_its_orientation_is_forgotten(
    orientation: int, size: tuple[int, int], light_corner: tuple[int, int]
) -> None:
    image = kept(from_a_phone(orientation=orientation))
    assert image.size == size
    assert image.convert("L").getpixel(light_corner) > 200  # type: ignore[operator]


@pytest.mark.thorough(but=1)
@pytest.mark.parametrize(
    ("given", "size"), [((4000, 3000), (1600, 1200)), ((900, 3200), (450, 1600)), ((70, 20), (70, 20))]
)
def test_a_large_photo_is_made_small_and_a_small_one_stays(given: tuple[int, int], size: tuple[int, int]) -> None:
    assert kept(written(picture(given))).size == size


@pytest.mark.parametrize(
    ("kind", "mode"),
    [*[("JPEG", mode) for mode in ("RGB", "L", "CMYK")], *[("WEBP", mode) for mode in ("RGB", "RGBA")]]
    + [("PNG", mode) for mode in ("RGB", "RGBA", "L", "P", "1", "I;16")],
)
def test_every_kind_of_picture_becomes_a_jpeg(kind: str, mode: str) -> None:
    image = kept(written(picture(mode=mode), kind))
    assert image.format == "JPEG"
    assert image.convert("L").getpixel((0, 0)) < 60  # type: ignore[operator]
    assert image.convert("L").getpixel((39, 0)) > 200  # type: ignore[operator]


def test_what_can_be_seen_through_stands_on_white() -> None:
    image = kept(written(picture(mode="RGBA"), "PNG"))
    assert image.getpixel((39, 0)) == (255, 255, 255)
    assert image.getpixel((0, 0))[0] < 60  # type: ignore[index]


def test_a_photo_lies_under_the_name_of_its_content_and_only_the_workshop_reads_it(store: Path) -> None:
    name = photos.keep(from_a_phone())
    file = photos.path(name)
    assert photos.NAME.fullmatch(name)
    assert file.parent == store
    assert (file.stat().st_mode & 0o777, store.stat().st_mode & 0o777) == (0o600, 0o700)
    assert [each.name for each in store.iterdir()] == [name]


def test_the_same_photo_is_kept_once(store: Path) -> None:
    assert photos.keep(from_a_phone()) == photos.keep(from_a_phone())
    assert len(list(store.iterdir())) == 1


@pytest.mark.parametrize("size", [(40, 30), (2000, 1500)])
def test_a_photo_that_came_from_the_store_comes_back_as_it_is(size: tuple[int, int]) -> None:
    name = photos.keep(from_a_phone(size))
    assert photos.keep(photos.path(name).read_bytes()) == name


def test_words_hung_on_a_photo_of_the_store_are_cut_off_again() -> None:
    plain = photos.path(photos.keep(from_a_phone())).read_bytes()
    comment = plain[:2] + b"\xff\xfe" + struct.pack(">H", 19) + b"seen by the river" + plain[2:]
    thumbnail = (
        plain[:2]
        + b"\xff\xe0"
        + struct.pack(">H", 33)
        + b"JFIF\0"
        + b"\1\1\0\0\1\0\1\0\0"
        + b"seen by the river"
        + plain[20:]
    )
    for hung in (plain + b"seen by the river", comment, thumbnail):
        assert Image.open(BytesIO(hung)).size == (40, 30)
        assert b"river" not in photos.path(photos.keep(hung)).read_bytes()


def chunk(kind: bytes, content: bytes) -> bytes:
    return struct.pack(">I", len(content)) + kind + content + struct.pack(">I", zlib.crc32(kind + content))


def huge(side: int) -> bytes:
    """A PNG of a few bytes that says it is `side` pixels wide and high."""
    head = struct.pack(">IIBBBBB", side, side, 1, 0, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(b"\0")) + chunk(b"IEND", b"")


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "no photo"),
        (b"Turned twice today, looks fine.\n", "no photo"),
        (b"<svg xmlns='http://www.w3.org/2000/svg'/>", "no photo"),
        (b"\xff\xd8\xff\xe0" + b"\0" * 200, "no photo|broken off"),
        (written(picture(), "GIF"), "no photo"),
        (written(picture(), "BMP"), "no photo"),
        (written(picture(), "TIFF"), "no photo"),
        (written(picture((400, 300)))[:-400], "broken off"),
        (written(picture((400, 300)), "PNG")[:-40], "broken off"),
        (written(picture((400, 300)), "WEBP")[:-40], "no photo|broken off"),
        (huge(9_000), "more than can be read here"),
        (huge(12_000), "more than can be read here"),
        (huge(60_000), "more than can be read here"),
    ],
)
def test_what_is_no_whole_photo_is_refused_in_words_and_nothing_is_kept(content: bytes, said: str, store: Path) -> None:
    with pytest.raises(Refused, match=said) as refusal:
        photos.keep(content)
    assert refusal.value.field == "photo"
    assert not store.exists()


@pytest.mark.thorough(but=1)
@pytest.mark.parametrize("kind", ["PNG", "WEBP"])
def test_only_a_jpeg_may_have_so_many_pixels_and_no_other_is_read_to_find_out(
    kind: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """8,900 × 8,900 within 20 MB held a server's thread for seconds."""
    content = huge(8_900) if kind == "PNG" else written(Image.new("RGB", (5_100, 5_000)), kind, quality=1, method=0)
    monkeypatch.setattr(pictures, "opened", lambda *_: pytest.fail("it was opened"))
    with pytest.raises(
        Refused, match=rf"pixels, more than can be read here as {kind}\. Save it as JPEG, or take it with fewer\."
    ):
        photos.keep(content)


@pytest.mark.thorough(but=1)
@pytest.mark.slow
@pytest.mark.parametrize("progressive", [False, True])
def test_a_jpeg_of_eighty_million_pixels_is_read_small(progressive: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    seen = []
    convert = Image.Image.convert
    monkeypatch.setattr(Image.Image, "convert", lambda image, mode: (seen.append(image.size), convert(image, mode))[1])
    content = written(Image.new("L", (8_900, 8_900), 90), progressive=progressive)
    assert pictures.opened(content, 2_000).size == (2_000, 2_000)
    assert seen == [(2_225, 2_225)]


def test_a_plain_photo_that_is_read_small_is_not_taken_for_one_of_the_store() -> None:
    """Read at a quarter, 4,000 pixels fit into 1,000: the file itself does not."""
    plain = written(picture((4_000, 300)))
    assert pictures.is_plain(plain)
    assert Image.open(BytesIO(pictures.anew(plain, 1_000))).size == (1_000, 75)


def test_a_photo_of_40_mb_is_refused_by_its_size(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(pictures, "opened", lambda *_: pytest.fail("it was opened"))
    with pytest.raises(Refused, match="A photo of 40 MB is too large; at most 20 MB") as refusal:
        photos.keep(b"\xff" * (40 * pictures.MEGABYTE))
    assert refusal.value.field == "photo"


@pytest.mark.parametrize(
    "name", ["", ".", "../secret.key", "a.jpg", f"{'0' * 32}.jpg", f"../photos/{'0' * 32}.jpg", f"{'0' * 32}.jpg\n"]
)
def test_only_names_that_the_store_made_lead_to_a_file(name: str, store: Path) -> None:
    photos.keep(from_a_phone())
    (store.parent / "secret.key").write_text("s")
    with pytest.raises(FileNotFoundError):
        photos.path(name)


def test_a_photo_that_cannot_be_written_leaves_no_half_of_it(store: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(pictures.os, "fsync", lambda _: (_ for _ in ()).throw(OSError("disk full")))
    with pytest.raises(OSError, match="disk full"):
        photos.keep(from_a_phone())
    assert list(store.iterdir()) == []
