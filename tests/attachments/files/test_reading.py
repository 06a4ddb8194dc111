"""What is taken, told by content alone, and what is kept of it."""

import contextlib
import io
import random
import struct
import zlib

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image, ImageCms

from labcases.attachments.choices import Kind
from labcases.attachments.files import LARGEST, UnfitFile, read_content
from labcases.attachments.files.pictures import SMALL_SIDE
from tests.factories.attachments import picture

PAPER = b"%PDF-1.7\n1 0 obj\n<<>>\nendobj\nstartxref\n9\n%%EOF\n"
CORNERS = [((0, 0, 0), (10, 0, 0), (0, 20, 0)), ((0, 0, 0), (10, 0, 0), (0, 0, 5.5))]


def stl(corners=CORNERS, *, header=b"Scan of Jane Doe", count=None) -> bytes:
    body = b"".join(struct.pack("<12fH", 0, 0, 1, *sum(each, ()), 7) for each in corners)
    return header.ljust(80, b"\0") + struct.pack("<I", len(corners) if count is None else count) + body


def text_stl(corners=CORNERS, *, name="Jane Doe", last=True) -> bytes:
    facets = "".join(
        "facet normal 0 0 1\nouter loop\n"
        + "".join(f"vertex {x:e} {y} {z}\n" for x, y, z in each)
        + "endloop\nendfacet\n"
        for each in corners
    )
    return f"solid {name}\n{facets}{f'endsolid {name}' if last else ''}\n".encode()


def read(data: bytes):
    return read_content(io.BytesIO(data), size=len(data))


def opened(data: bytes) -> Image.Image:
    image = Image.open(io.BytesIO(data))
    image.load()
    return image


@pytest.mark.parametrize("form", ["JPEG", "PNG", "WEBP"])
def test_a_photograph_is_kept_as_a_picture_with_a_small_one(form):
    kept = read(picture(form, size=(900, 600)))
    assert (kept.kind, kept.width, kept.height, kept.suffix) == (Kind.PHOTOGRAPH, 900, 600, "jpg")
    assert (opened(kept.data).format, opened(kept.data).size) == ("JPEG", (900, 600))
    assert opened(kept.small).size == (SMALL_SIDE, 320)


def test_where_when_and_by_whose_camera_is_not_kept():
    exif = Image.Exif()
    exif[0x010F] = "Cameramaker"
    exif[0x9003] = "2026:03:02 09:00:00"
    exif.get_ifd(0x8825)[1] = "N"
    exif.get_ifd(0x8825)[2] = (51.0, 30.0, 0.0)
    sent = picture(exif=exif, comment=b"Jane Doe")
    assert b"Cameramaker" in sent
    assert b"Jane Doe" in sent
    kept = read(sent)
    for data in (kept.data, kept.small):
        assert not opened(data).getexif()
        assert not {"exif", "comment", "xmp", "icc_profile"} & set(opened(data).info)
        assert b"Cameramaker" not in data
        assert b"Jane Doe" not in data


def test_a_photograph_taken_on_its_side_is_set_upright():
    image = Image.new("RGB", (60, 40), "#ffffff")
    image.paste("#d02020", (0, 0, 60, 10))
    exif = Image.Exif()
    exif[0x0112] = 6
    out = io.BytesIO()
    image.save(out, "JPEG", exif=exif, quality=95)
    kept = read(out.getvalue())
    assert (kept.width, kept.height) == (40, 60)
    red, green, _ = opened(kept.data).getpixel((36, 30))
    assert red > 150 > green


def test_colours_of_another_space_are_brought_into_the_usual_one():
    """In this profile the numbers of red and blue have changed places."""
    srgb = ImageCms.createProfile("sRGB")
    profile = ImageCms.ImageCmsProfile(srgb).tobytes()
    swapped = profile.replace(b"rXYZ", b"tmp!").replace(b"bXYZ", b"rXYZ").replace(b"tmp!", b"bXYZ")
    kept = read(picture(colour="#e01010", icc_profile=swapped))
    red, _, blue = opened(kept.data).getpixel((5, 5))
    assert blue > red


def test_a_clear_ground_becomes_white():
    kept = read(picture("PNG", mode="RGBA", colour=(10, 10, 10, 0)))
    assert min(opened(kept.data).getpixel((5, 5))) > 250


@pytest.mark.parametrize("mode", ["L", "P", "1", "I;16", "LA", "CMYK"])
def test_pictures_of_other_depths_are_taken_too(mode):
    kept = read(picture("JPEG" if mode == "CMYK" else "PNG", mode=mode, colour=None if mode == "P" else 0))
    assert opened(kept.data).mode == "RGB"


def png_that_claims(width: int, height: int) -> bytes:
    """A small picture whose header says that it is a large one."""
    whole = picture("PNG")
    header = b"IHDR" + struct.pack(">II", width, height) + whole[24:29]
    return whole[:12] + header + struct.pack(">I", zlib.crc32(header)) + whole[33:]


def test_more_pixels_than_a_camera_has_are_refused_before_they_are_decoded(monkeypatch):
    monkeypatch.setattr("PIL.PngImagePlugin.PngImageFile.load", lambda self: pytest.fail("decoded"))
    with pytest.raises(UnfitFile, match="19000 × 2200 pixels"):
        read(png_that_claims(19_000, 2_200))


@pytest.mark.parametrize("size", [(19_000, 19_000), (6_000, 6_000), (2**31 - 1, 2**31 - 1), (0, 5)])
def test_a_picture_that_is_not_as_large_as_it_says_is_refused(size):
    with pytest.raises(UnfitFile, match="can’t be read"):
        read(png_that_claims(*size))


@pytest.mark.parametrize("brand", [b"heic", b"mif1", b"avif"])
def test_what_telephones_write_instead_of_jpeg_is_refused_with_what_to_do(brand):
    with pytest.raises(UnfitFile, match="most compatible format"):
        read(b"\0\0\0\x18ftyp" + brand + b"\0" * 40)


@pytest.mark.parametrize(
    "data",
    [
        b"GIF89a" + b"\0" * 99,
        b"<html><script>alert(1)</script>",
        b"<svg xmlns='x'/>",
        b"PK\3\4",
        b"MZ" + b"\0" * 99,
        b"solid gold",
    ],
)
def test_what_is_none_of_these_is_refused(data):
    with pytest.raises(UnfitFile, match="none of those that are taken"):
        read(data)


def test_an_empty_file_is_refused():
    with pytest.raises(UnfitFile, match="empty"):
        read(b"")


def test_each_kind_has_its_own_largest_size():
    assert [size // 1024**2 for size in LARGEST.values()] == [12, 10, 60]
    for head, kind in ((picture(), Kind.PHOTOGRAPH), (PAPER, Kind.PAPER)):
        with pytest.raises(UnfitFile, match="at most are taken"):
            read_content(io.BytesIO(head), size=LARGEST[kind] + 1)


def test_a_file_that_did_not_arrive_whole_is_refused():
    with pytest.raises(UnfitFile, match="did not arrive whole"):
        read_content(io.BytesIO(PAPER), size=len(PAPER) + 1)


def test_a_paper_is_kept_byte_by_byte():
    kept = read(PAPER)
    assert (kept.kind, kept.data, kept.small) == (Kind.PAPER, PAPER, b"")


@pytest.mark.parametrize("cut", [1, 6, 30])
def test_a_paper_without_its_end_is_refused(cut):
    with pytest.raises(UnfitFile, match="cut short"):
        read(PAPER[:-cut].rstrip(b"\n%EOF"))


def test_a_cast_is_kept_triangle_by_triangle_without_its_header():
    kept = read(stl())
    assert (kept.kind, kept.triangles, kept.extent) == (Kind.CAST, 2, "10.0 × 20.0 × 5.5")
    assert kept.data[80:] == stl()[80:]
    assert b"Jane" not in kept.data


def test_a_binary_cast_whose_header_begins_like_a_text_is_still_binary():
    assert read(stl(header=b"solid scan facet")).triangles == 2


def test_a_cast_in_text_is_kept_as_the_same_triangles():
    kept = read(text_stl())
    assert (kept.triangles, kept.extent) == (2, "10.0 × 20.0 × 5.5")
    assert b"Jane" not in kept.data
    again = read(kept.data)
    assert (again.triangles, again.extent) == (kept.triangles, kept.extent)


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (stl()[:-1], "none of those"),
        (stl(header=b"solid facet")[:-1], "cut short"),
        (stl(count=3), "none of those"),
        (stl([]), "no triangle"),
        (stl([((float("nan"), 0, 0), (1, 0, 0), (0, 1, 0))]), "damaged"),
        (stl([((1e30, 0, 0), (1, 0, 0), (0, 1, 0))]), "damaged"),
        (text_stl(last=False), "cut short"),
        (text_stl().replace(b"endfacet", b"", 1), "three corners"),
        (text_stl().replace(b"20", b"twenty", 1), "no number"),
        (text_stl([]).replace(b"\nend", b"\nfacet\nend"), "no triangle"),
    ],
)
def test_a_damaged_cast_is_refused(data, words):
    with pytest.raises(UnfitFile, match=words):
        read(data)


@given(st.data())
def test_no_damage_is_more_than_a_refusal(data):
    """Cut, flipped and padded anywhere, a file is read as something whole or refused in a sentence."""
    whole = bytearray(data.draw(st.sampled_from(SAMPLES)))
    dice = random.Random(data.draw(st.integers(0, 2**32)))
    for _ in range(dice.randrange(1, 6)):
        whole[dice.randrange(len(whole))] = dice.randrange(256)
    end = data.draw(st.integers(1, len(whole)))
    with contextlib.suppress(UnfitFile):
        assert read(bytes(whole[:end])).data


SAMPLES = [picture("JPEG"), picture("PNG"), picture("WEBP"), PAPER, stl(), text_stl()]
