"""Photographs: decoded and written anew, so that nothing but the picture is kept."""

import io
import warnings

from django.utils.translation import gettext as _
from PIL import Image, ImageCms, ImageFile, ImageOps, UnidentifiedImageError

from labcases.attachments.choices import Kind
from labcases.attachments.files.content import Content, UnfitFile

FORMATS = ("JPEG", "PNG", "WEBP")
MOST_PIXELS = 40_000_000
LONGEST_SIDE = 20_000
SMALL_SIDE = 480
QUALITY, SMALL_QUALITY = 90, 78
PAPER_WHITE = (255, 255, 255)
UNREADABLE = (
    UnidentifiedImageError,
    Image.DecompressionBombError,
    Image.DecompressionBombWarning,
    OSError,
    SyntaxError,
    ValueError,
    EOFError,
    IndexError,
    KeyError,
    TypeError,
    ZeroDivisionError,
)


def is_picture(head: bytes) -> bool:
    return head.startswith((b"\xff\xd8\xff", b"\x89PNG\r\n\x1a\n")) or (
        head[:4] == b"RIFF" and head[8:12] == b"WEBP"
    )


def read_picture(data: bytes) -> Content:
    """The picture upright, in sRGB and without a word about who took it where, with a small one beside it."""
    picture = _decoded(data)
    small = picture.copy()
    small.thumbnail((SMALL_SIDE, SMALL_SIDE), Image.Resampling.LANCZOS)
    return Content(
        kind=Kind.PHOTOGRAPH,
        data=_encoded(picture, quality=QUALITY),
        small=_encoded(small, quality=SMALL_QUALITY),
        width=picture.width,
        height=picture.height,
    )


def _decoded(data: bytes) -> Image.Image:
    # Other packages switch it on for the whole process; half a photograph would then pass for one.
    ImageFile.LOAD_TRUNCATED_IMAGES = False
    try:
        with warnings.catch_warnings():
            # Pillow warns of a size that its own limit doubles; ours is checked before a pixel is decoded.
            warnings.simplefilter("ignore")
            with Image.open(io.BytesIO(data), formats=FORMATS) as opened:
                _check_size(opened)
                return _plain(opened)
    except UNREADABLE as error:
        raise UnfitFile(
            _("This photograph can’t be read: it is damaged, or larger than it says. Take or save it anew.")
        ) from error


def _check_size(opened: Image.Image) -> None:
    width, height = opened.size
    if width * height > MOST_PIXELS or max(width, height) > LONGEST_SIDE:
        raise UnfitFile(
            _(
                "This photograph has {width} × {height} pixels; {millions} million at most are taken. "
                "Save it smaller and choose it again."
            ).format(width=width, height=height, millions=MOST_PIXELS // 1_000_000)
        )


def _plain(opened: Image.Image) -> Image.Image:
    """Eight bits of red, green and blue as the camera meant them: shades are compared on these pictures."""
    opened.load()
    picture = ImageOps.exif_transpose(opened) or opened
    if picture.mode.startswith(("I", "F")):
        picture = picture.point(lambda value: value / 256).convert("L")
    profile = opened.info.get("icc_profile")
    if profile and picture.mode in ("RGB", "CMYK", "L"):
        picture = _in_srgb(picture, profile)
    if picture.mode in ("RGBA", "LA", "PA") or "transparency" in picture.info:
        picture = picture.convert("RGBA")
        ground = Image.new("RGB", picture.size, PAPER_WHITE)
        ground.paste(picture, mask=picture.getchannel("A"))
        return ground
    picture = picture.convert("RGB")
    picture.info = {}
    return picture


def _in_srgb(picture: Image.Image, profile: bytes) -> Image.Image:
    try:
        source = ImageCms.ImageCmsProfile(io.BytesIO(profile))
        srgb = ImageCms.createProfile("sRGB")
        return ImageCms.profileToProfile(picture, source, srgb, outputMode="RGB") or picture
    except (ImageCms.PyCMSError, OSError):
        # A broken profile says nothing of the colours; the pixels are still the best that is known.
        return picture


def _encoded(picture: Image.Image, *, quality: int) -> bytes:
    out = io.BytesIO()
    # Full colour for every pixel: halved colour blurs the gum line.
    picture.save(out, "JPEG", quality=quality, subsampling=0, optimize=True, exif=b"", icc_profile=None)
    return out.getvalue()
