"""Photographs: read from disk with Pillow, and counted rectangle by rectangle.

Pillow is an extra (``sortbench[photo]``) and imported only when a picture is opened. Pixels never become Python values:
crops and histograms are made inside Pillow.
"""

from __future__ import annotations

import math
import struct
import warnings
import zlib
from collections.abc import Mapping, Sequence
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING, Any

from sortbench.model.errors import DataError, UsageError
from sortbench.model.photo import EIGHT_BITS, Area, Histograms, Patch, Preview
from sortbench.model.text import shown

if TYPE_CHECKING:
    from PIL.Image import Image
    from PIL.ImageCms import ImageCmsTransform

MOST_PIXELS = 100_000_000
"""Larger pictures are refused before they are decoded: a small file may claim to be enormous."""
_FORMATS = ("JPEG", "PNG", "BMP", "TIFF", "WEBP")
"""What is tried, in this order; other decoders stay shut, for the file may come from anywhere."""
_READ_FORMATS = "JPEG, PNG, TIFF, WebP and BMP pictures are read"
_EXIF_DETAILS, _EXIF_INTEROPERABILITY, _COLOUR_SPACE = 0x8769, 0xA005, 0xA001
_UNCALIBRATED = 65535
_OPTION_FILE = "R03"
"""Interoperability index of a DCF optional file: its colours are those of a wider space than sRGB (DCF 2.0; from
memory)."""
_RESAVE = "Save the picture as sRGB."
_ROUNDING = 2
"""Counts of 255 by which two makers' profiles of one colour space differ."""
_ROUNDED = EIGHT_BITS[0]
_BROKEN = (
    *(OSError, EOFError, SyntaxError, ValueError, TypeError, KeyError, IndexError, AttributeError, OverflowError),
    *(MemoryError, struct.error, zlib.error),
)
"""What decoders raise on damaged files, besides errors of their own."""


class Photo:
    """A photograph, upright and decoded. Open it with :meth:`open`.

    Attributes:
        path: where it came from.
        width: columns of pixels.
        height: lines of pixels.
        notes: what was done to it or is doubtful about it, in words.
    """

    def __init__(
        self,
        path: Path,
        image: Image,
        notes: tuple[str, ...],
        transform: ImageCmsTransform | None,
        rounding: tuple[float, float, float],
    ) -> None:
        self.path = path
        self.width, self.height = image.size
        self.notes = notes
        self._image = image
        self._transform = transform
        self._rounding = rounding
        self._patches: dict[Area, Patch] = {}

    @classmethod
    def open(cls, path: Path) -> Photo:
        """Read a picture.

        Its turning mark (EXIF) is obeyed. Colours of another profile than sRGB are converted, and a note says so.

        Raises:
            UsageError: Pillow is not installed.
            DataError: no picture there, damaged, larger than 100 megapixels, without colour, partly transparent, or
                its colours are not those of a screen.
        """
        _require_pillow()
        from PIL import ImageOps

        image = _decoded(path)
        notes, transform = _colours(image, path)
        rounding = _rounding(image)
        try:
            ImageOps.exif_transpose(image, in_place=True)
        except _BROKEN:
            notes = (*notes, "which way up the picture is cannot be read from it; it is taken as it lies")
        image = _plain(image, path)
        return cls(path, image, notes, transform, rounding)

    def patch(self, area: Area) -> Patch:
        """The pixels of a rectangle; counted once, then remembered.

        Args:
            area: at least one pixel wide and high, inside the picture.
        """
        found = self._patches.get(area)
        if found is None:
            found = self._patches[area] = self._count(area)
        return found

    def _count(self, area: Area) -> Patch:
        from PIL import ImageChops

        crop = self._converted(self._image.crop((area.left, area.top, area.right, area.bottom)))
        across, down = area.width // 2, area.height // 2
        boxes = (
            (0, 0, across, down),
            (across, 0, area.width, down),
            (0, down, across, area.height),
            (across, down, area.width, area.height),
        )
        first, second, third, fourth = (_histograms(crop.crop(box)) for box in boxes)
        red, green, blue = crop.split()
        brightest = ImageChops.lighter(ImageChops.lighter(red, green), blue).histogram()
        return Patch(area, (first, second, third, fourth), tuple(brightest), self._rounding)

    def preview(self, columns: int, lines: int) -> Preview:
        """The picture made small, as it is: at most so many colours across and down, its proportions kept."""
        from PIL import Image

        scale = min(columns / self.width, lines / self.height)
        size = max(1, round(self.width * scale)), max(1, round(self.height * scale))
        small = self._converted(self._image.resize(size, Image.Resampling.BOX, reducing_gap=2.0))
        data = small.tobytes()
        return tuple(
            tuple(data[at : at + 3].hex() for at in range(line * size[0] * 3, (line + 1) * size[0] * 3, 3))
            for line in range(size[1])
        )

    def _converted(self, image: Image) -> Image:
        """In sRGB. Only what is looked at is converted, for a whole picture takes a while."""
        if self._transform is None:
            return image
        from PIL import ImageCms

        done = ImageCms.applyTransform(image, self._transform)
        assert done is not None, "a transform that is not in place gives a picture"
        return done


def _histograms(image: Image) -> Histograms:
    counts = image.histogram() if image.width and image.height else [0] * 768
    red, green, blue = (tuple(counts[at : at + 256]) for at in (0, 256, 512))
    return red, green, blue


def _require_pillow() -> None:
    try:
        import PIL  # noqa: F401
    except ImportError:
        raise UsageError(
            "Photographs are read by the package Pillow, which is not installed.",
            "Install it: pip install 'sortbench[photo]' (or pip install pillow).",
        ) from None


def _decoded(path: Path) -> Image:
    from PIL import Image, UnidentifiedImageError

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # a size that Pillow finds suspicious is judged right below
            image = Image.open(path, formats=_FORMATS)
            if image.width * image.height > MOST_PIXELS:
                raise _too_large(path, f"{image.width:,} × {image.height:,} pixels")
            image.load()
    except Image.DecompressionBombError:
        raise _too_large(path, "far too many pixels") from None
    except FileNotFoundError:
        raise DataError(f"There is no file {shown(str(path))}.", "Name the picture as it lies on disk.") from None
    except IsADirectoryError:
        raise DataError(f"{shown(str(path))} is a folder.", "Name one picture in it.") from None
    except PermissionError:
        raise DataError(f"{shown(str(path))} may not be read.", "Mend its rights.") from None
    except UnidentifiedImageError:
        raise DataError(
            f"{shown(path.name)} is no picture that can be read.",
            f"{_READ_FORMATS}; save it as one of them, JPEG at high quality for example.",
        ) from None
    except _BROKEN as error:
        raise DataError(
            f"{shown(path.name)} is damaged or cut off: {shown(str(error))[:120]}.", "Copy it from the camera anew."
        ) from None
    return image


def _too_large(path: Path, how: str) -> DataError:
    return DataError(
        f"{shown(path.name)} has {how}; at most {MOST_PIXELS // 1_000_000} megapixels are read.", "Make it smaller."
    )


def _plain(image: Image, path: Path) -> Image:
    """Red, green and blue of eight bits; refused where that would make colours up."""
    name, mode = shown(path.name), image.mode
    if mode in ("1", "L", "LA", "La", "I", "F") or mode.startswith("I;"):
        raise _no_colour(name)
    if mode not in ("RGB", "RGBA", "RGBX", "P", "PA", "YCbCr"):
        raise DataError(
            f"{name} holds colours for print or measurement ({shown(mode)}), not those of a screen.",
            "Save it from the camera as sRGB.",
        )
    if mode in ("P", "PA"):
        image = image.convert("RGBA")
    if image.mode == "RGBA":
        alpha: Any = image.getchannel("A").getextrema()
        if alpha[0] < 255:
            raise DataError(f"{name} is transparent in places.", "Save it without transparency.")
    image = image if image.mode == "RGB" else image.convert("RGB")
    if _is_grey(image):
        raise _no_colour(name)
    return image


def _rounding(image: Image) -> tuple[float, float, float]:
    """How the file rounds values, as :attr:`Patch.rounding` has it.

    A JPEG file rounds the mean of a block of 8 × 8, eight times over, to a step that its tables tell, for brightness
    and for colour (ITU-T T.81, A.3.3 and A.3.4); brightness and colour are mixed to channels as ITU-T T.871, 7 has it.
    """
    tables: Mapping[int, Sequence[int]] = getattr(image, "quantization", None) or {}
    if 0 not in tables:
        return EIGHT_BITS
    light, colour = (tables[at if at in tables else 0][0] / 8.0 * _ROUNDED for at in (0, 1))
    red, green, blue = (
        math.sqrt(_ROUNDED**2 + light**2 + square * colour**2)
        for square in (1.402**2, 0.344136**2 + 0.714136**2, 1.772**2)
    )
    return red, green, blue


def _is_grey(image: Image) -> bool:
    """Whether a picture has no colour at all: no camera's has none, but one taken in black and white."""
    from PIL import ImageChops

    small = image.reduce(max(1, min(image.size) // 64))
    red, green, blue = small.split()
    return not any(ImageChops.difference(one, other).getbbox() for one, other in ((red, green), (green, blue)))


def _no_colour(name: str) -> DataError:
    return DataError(f"{name} has no colour: it is black and white.", "Take the picture in colour.")


def _colours(image: Image, path: Path) -> tuple[tuple[str, ...], ImageCmsTransform | None]:
    """What is to be said of a picture's colours, and what makes sRGB of them."""
    notes: list[str] = []
    if image.mode in ("P", "PA"):
        notes.append("the picture has a palette: fine steps of colour are lost")
    profile = image.info.get("icc_profile")
    if profile:
        transform = _transform(profile, image.mode, path, notes)
        return tuple(notes), transform
    try:
        exif = image.getexif()
        index = exif.get_ifd(_EXIF_INTEROPERABILITY).get(1)
        space = exif.get_ifd(_EXIF_DETAILS).get(_COLOUR_SPACE)
    except _BROKEN:
        return (*notes, "what the camera says of its colours cannot be read; sRGB is assumed"), None
    if index == _OPTION_FILE:
        raise DataError(
            f"{shown(path.name)} says that its colours are those of a wider space than sRGB, without a profile.",
            "Set the camera to sRGB, or save the picture as sRGB.",
        )
    if space == _UNCALIBRATED:
        notes.append("the camera does not say that its colours are sRGB; it is assumed")
    return tuple(notes), None


def _transform(profile: bytes, mode: str, path: Path, notes: list[str]) -> ImageCmsTransform | None:
    from PIL import ImageCms

    try:
        source = ImageCms.ImageCmsProfile(BytesIO(profile))
        name = ImageCms.getProfileDescription(source).strip()
        if source.profile.xcolor_space.strip() != "RGB":
            if mode in ("RGB", "RGBA", "P", "PA", "YCbCr"):
                raise DataError(f"{shown(path.name)} has a colour profile of another kind than its colours.", _RESAVE)
            return None  # refused for its mode, in words that tell more
        made = ImageCms.buildTransform(source, ImageCms.createProfile("sRGB"), "RGB", "RGB")
        if _changes_nothing(made):
            return None
    except (ImageCms.PyCMSError, *_BROKEN):
        raise DataError(f"The colour profile of {shown(path.name)} cannot be read.", _RESAVE) from None
    notes.append(f"colours were converted from the profile {shown(name)[:60]!r} to sRGB")
    return made


def _changes_nothing(transform: ImageCmsTransform) -> bool:
    """Whether a profile is sRGB by another name: no colour of a lattice moves by more than rounding."""
    from PIL import Image, ImageChops, ImageCms

    steps = range(0, 256, 51)
    lattice = bytes(value for red in steps for green in steps for blue in steps for value in (red, green, blue))
    before = Image.frombytes("RGB", (len(steps) ** 2, len(steps)), lattice)
    after = ImageCms.applyTransform(before, transform)
    assert after is not None, "a transform that is not in place gives a picture"
    moved: Any = ImageChops.difference(before, after).getextrema()
    return bool(max(most for _, most in moved) <= _ROUNDING)
