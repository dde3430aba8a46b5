"""Pictures read from disk: which way up, in which colours, and refused in words where they tell nothing."""

from __future__ import annotations

import random
import struct
import sys
import zlib
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from PIL import Image, ImageCms

from sortbench.engine.condition.patches import means_of
from sortbench.model.errors import DataError, UsageError
from sortbench.model.photo import Area
from sortbench.store.photo import MOST_PIXELS, Photo

BLUE, SAND = (30, 60, 150), (230, 220, 180)


def halves(width: int = 60, height: int = 40) -> Image.Image:
    """A picture that is blue at the left and sand at the right."""
    image = Image.new("RGB", (width, height), SAND)
    image.paste(BLUE, (0, 0, width // 2, height))
    return image


def saved(folder: Path, image: Image.Image, name: str = "pieces.png", **options: Any) -> Path:
    path = folder / name
    image.save(path, **options)
    return path


def mean(photo: Photo, *area: int) -> tuple[int, ...]:
    return tuple(round(value) for value in means_of(photo.patch(Area(*area))).encoded)


def test_a_patch_counts_every_pixel_of_its_rectangle_once(tmp_path: Path) -> None:
    patch = Photo.open(saved(tmp_path, halves())).patch(Area(20, 5, 15, 11))
    red, green, blue = patch.whole
    assert sum(red) == sum(green) == sum(blue) == sum(patch.brightest) == 15 * 11
    assert (red[BLUE[0]], red[SAND[0]]) == (10 * 11, 5 * 11)
    assert (patch.brightest[BLUE[2]], patch.brightest[SAND[0]]) == (10 * 11, 5 * 11)
    assert [sum(quarter[0]) for quarter in patch.quarters] == [7 * 5, 8 * 5, 7 * 6, 8 * 6]
    assert patch.quarters[0][0][BLUE[0]] == 7 * 5
    assert patch.quarters[1][0][SAND[0]] == 5 * 5


@pytest.mark.parametrize(
    ("orientation", "size", "sand_at"),
    [(1, (60, 40), (40, 10)), (3, (60, 40), (10, 10)), (6, (40, 60), (10, 40)), (8, (40, 60), (10, 10))],
)
def test_a_picture_is_turned_as_the_camera_says(
    tmp_path: Path, orientation: int, size: tuple[int, int], sand_at: tuple[int, int]
) -> None:
    """EXIF 2.32, tag Orientation (0x0112): 3 half a turn, 6 a quarter clockwise, 8 a quarter back."""
    exif = Image.Exif()
    exif[0x0112] = orientation
    photo = Photo.open(saved(tmp_path, halves(), "turned.jpg", exif=exif, quality=95))
    assert (photo.width, photo.height) == size
    assert mean(photo, *sand_at, 8, 8) == pytest.approx(SAND, abs=2)


def test_a_preview_keeps_the_proportions(tmp_path: Path) -> None:
    photo = Photo.open(saved(tmp_path, halves()))
    preview = photo.preview(30, 30)
    assert (len(preview), len(preview[0])) == (20, 30)
    assert (preview[0][0], preview[-1][-1]) == ("1e3c96", "e6dcb4")
    assert len(photo.preview(200, 10)) == 10


@pytest.mark.parametrize("mode", ["RGB", "RGBA", "P"])
def test_screen_colours_are_read_whatever_holds_them(tmp_path: Path, mode: str) -> None:
    image = halves().quantize() if mode == "P" else halves().convert(mode)
    photo = Photo.open(saved(tmp_path, image))
    assert mean(photo, 40, 5, 12, 12) == pytest.approx(SAND, abs=4)
    assert bool(photo.notes) is (mode == "P")


@pytest.mark.parametrize("name", ["pieces.jpg", "pieces.tif", "pieces.bmp", "pieces.webp"])
def test_the_usual_formats_are_read(tmp_path: Path, name: str) -> None:
    options = {"quality": 95} if name.endswith(("jpg", "webp")) else {}
    assert mean(Photo.open(saved(tmp_path, halves(), name, **options)), 40, 5, 12, 12) == pytest.approx(SAND, abs=3)


def png(width: int, height: int, depth: int, kind: int, rows: bytes) -> bytes:
    """A PNG file put together by hand (W3C, Portable Network Graphics, 5 and 11.2.2)."""

    def chunk(name: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))

    head = chunk(b"IHDR", struct.pack(">IIBBBBB", width, height, depth, kind, 0, 0, 0))
    return b"\x89PNG\r\n\x1a\n" + head + chunk(b"IDAT", zlib.compress(rows)) + chunk(b"IEND", b"")


def test_sixteen_bits_a_channel_are_read_as_eight(tmp_path: Path) -> None:
    line = b"\0" + b"".join(struct.pack(">HHH", 230 * 257, 220 * 257, 180 * 257) for _ in range(20))
    (tmp_path / "deep.png").write_bytes(png(20, 20, 16, 2, line * 20))
    assert mean(Photo.open(tmp_path / "deep.png"), 0, 0, 20, 20) == SAND


def refused(path: Path, words: str) -> None:
    with pytest.raises(DataError, match=words) as found:
        Photo.open(path)
    assert found.value.mend


@pytest.mark.parametrize(("mode", "name"), [("L", "a.png"), ("1", "a.png"), ("I;16", "a.png"), ("LA", "a.png")])
def test_a_picture_without_colour_is_refused(tmp_path: Path, mode: str, name: str) -> None:
    refused(saved(tmp_path, halves().convert("L").convert(mode), name), "black and white")


def test_a_black_and_white_picture_stored_in_colour_is_refused(tmp_path: Path) -> None:
    refused(saved(tmp_path, halves().convert("L").convert("RGB"), "grey.jpg"), "black and white")


@pytest.mark.parametrize(("mode", "name"), [("CMYK", "print.jpg"), ("CMYK", "print.tif"), ("LAB", "lab.tif")])
def test_colours_that_are_not_those_of_a_screen_are_refused(tmp_path: Path, mode: str, name: str) -> None:
    refused(saved(tmp_path, Image.new(mode, (40, 40), 90), name), "not those of a screen")


def test_a_transparent_picture_is_refused(tmp_path: Path) -> None:
    image = halves().convert("RGBA")
    image.putpixel((3, 3), (0, 0, 0, 0))
    refused(saved(tmp_path, image), "transparent")


def test_what_is_no_picture_is_refused(tmp_path: Path) -> None:
    (tmp_path / "notes.jpg").write_text("plates to photograph")
    refused(tmp_path / "notes.jpg", "no picture that can be read")
    refused(tmp_path / "nowhere.jpg", "There is no file")
    refused(tmp_path, "is a folder")
    saved(tmp_path, halves(), "moving.gif")
    refused(tmp_path / "moving.gif", "no picture that can be read")


def test_a_picture_cut_off_is_refused(tmp_path: Path) -> None:
    whole = saved(tmp_path, halves(300, 300), "whole.jpg", quality=95).read_bytes()
    (tmp_path / "half.jpg").write_bytes(whole[: len(whole) // 2])
    refused(tmp_path / "half.jpg", "damaged or cut off")


@pytest.mark.parametrize("side", [10_100, 60_000])
def test_a_picture_that_claims_to_be_enormous_is_refused_before_it_is_decoded(tmp_path: Path, side: int) -> None:
    assert side * side > MOST_PIXELS
    (tmp_path / "large.png").write_bytes(png(side, side, 8, 2, b"\0"))
    refused(tmp_path / "large.png", "at most 100 megapixels")


@pytest.mark.parametrize("name", ["a.jpg", "a.png", "a.tif", "a.webp"])
def test_damage_anywhere_is_refused_in_words_or_does_no_harm(tmp_path: Path, name: str) -> None:
    exif = Image.Exif()
    exif[0x0112] = 6
    options = {"icc_profile": gamma_profile(1.8)} | ({} if name == "a.webp" else {"exif": exif})
    sound = saved(tmp_path, halves(), name, **options).read_bytes()
    rng = random.Random(name)
    for _ in range(60):
        damaged = bytearray(sound)
        for _ in range(rng.choice([1, 3, 20])):
            damaged[rng.randrange(len(damaged))] = rng.randrange(256)
        (tmp_path / name).write_bytes(damaged)
        try:
            photo = Photo.open(tmp_path / name)
        except DataError as error:
            assert str(error)
        else:
            photo.preview(20, 20)
            photo.patch(Area(0, 0, min(20, photo.width), min(20, photo.height)))


@pytest.mark.parametrize(
    ("tables", "expected"),
    [
        # The step of a mean is an eighth of the first entry of a table: 1 count of brightness, 2 of colour here. Red
        # has 1.402 of colour and blue 1.772 (ITU-T T.871, 7): sqrt((1 + 1 + (1.402 * 2)^2) / 12) and so on.
        ([[8] * 64, [16] * 64], (0.9066, 0.6133, 1.1015)),
        ([[1] * 64, [1] * 64], (0.2953, 0.2923, 0.2979)),
    ],
)
def test_what_a_jpeg_file_rounds_away_is_known_from_its_tables(
    tmp_path: Path, tables: list[list[int]], expected: tuple[float, float, float]
) -> None:
    photo = Photo.open(saved(tmp_path, halves(), "coarse.jpg", qtables=tables))
    assert photo.patch(Area(40, 5, 12, 12)).rounding == pytest.approx(expected, rel=0.001)
    plain = Photo.open(saved(tmp_path, halves()))
    assert plain.patch(Area(40, 5, 12, 12)).rounding == pytest.approx((12**-0.5,) * 3, rel=0.001)


# Colour profiles


def gamma_profile(gamma: float, space: bytes = b"RGB ") -> bytes:
    """A display profile with the primaries of sRGB and a plain power curve, put together by hand.

    ICC.1:2004-10, 7.2 (header), 7.3 (tags), 10.5 (curve), 10.26 (XYZ). Primaries adapted to D50 as sRGB profiles have
    them (IEC 61966-2-1 by way of the Bradford transform).
    """

    def fixed(value: float) -> bytes:
        return struct.pack(">i", round(value * 65536))

    def xyz(*values: float) -> bytes:
        return b"XYZ \0\0\0\0" + b"".join(map(fixed, values))

    name = b"made up"
    curve = b"curv\0\0\0\0" + struct.pack(">IH", 1, round(gamma * 256)) + b"\0\0"
    tags = {
        b"desc": b"desc\0\0\0\0" + struct.pack(">I", len(name) + 1) + name + b"\0" * 80,
        b"cprt": b"text\0\0\0\0none\0\0\0\0",
        b"wtpt": xyz(0.9642, 1.0, 0.8249),
        b"rXYZ": xyz(0.4361, 0.2225, 0.0139),
        b"gXYZ": xyz(0.3851, 0.7169, 0.0971),
        b"bXYZ": xyz(0.1431, 0.0606, 0.7141),
        b"rTRC": curve,
        b"gTRC": curve,
        b"bTRC": curve,
    }
    table, data = struct.pack(">I", len(tags)), b""
    for key, value in tags.items():
        value += b"\0" * (-len(value) % 4)
        table += key + struct.pack(">II", 128 + 4 + 12 * len(tags) + len(data), len(value))
        data += value
    size = 128 + len(table) + len(data)
    head = struct.pack(">I", size) + b"\0\0\0\0" + b"\x02\x10\0\0" + b"mntr" + space + b"XYZ " + b"\0" * 12
    head += b"acsp" + b"\0" * 28 + b"".join(map(fixed, (0.9642, 1.0, 0.8249)))
    return head.ljust(128, b"\0") + table + data


def test_other_colours_are_converted_and_a_note_says_so(tmp_path: Path) -> None:
    """A curve of gamma 1.8: the value 230 is the linear light (230/255)^1.8 = 0.8305, which sRGB writes as 235."""
    photo = Photo.open(saved(tmp_path, halves(), icc_profile=gamma_profile(1.8)))
    [note] = photo.notes
    assert "'made up'" in note
    expected = [round(255 * (1.055 * ((value / 255) ** 1.8) ** (1 / 2.4) - 0.055)) for value in SAND]
    assert expected[0] == 235
    assert mean(photo, 40, 5, 12, 12) == pytest.approx(expected, abs=1)
    assert bytes.fromhex(photo.preview(6, 4)[-1][-1]) == pytest.approx(bytes(expected), abs=1)


def test_srgb_by_any_name_is_taken_as_it_is(tmp_path: Path) -> None:
    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    photo = Photo.open(saved(tmp_path, halves(), icc_profile=profile))
    assert (photo.notes, mean(photo, 40, 5, 12, 12)) == ((), SAND)


@pytest.mark.parametrize("profile", [b"no profile", gamma_profile(2.2, b"CMYK")])
def test_a_profile_that_cannot_be_understood_is_refused(tmp_path: Path, profile: bytes) -> None:
    refused(saved(tmp_path, halves(), icc_profile=profile), "profile")


def exif_saying(space: int, index: str = "") -> Image.Exif:
    exif = Image.Exif()
    details = exif.get_ifd(0x8769)
    details[0xA001] = space
    if index:
        details[0xA005] = {1: index}
    out = Image.Exif()
    out.load(exif.tobytes())
    return out


def test_a_camera_that_does_not_claim_srgb_is_noted(tmp_path: Path) -> None:
    photo = Photo.open(saved(tmp_path, halves(), "camera.jpg", exif=exif_saying(65535)))
    assert "does not say" in photo.notes[0]
    assert Photo.open(saved(tmp_path, halves(), "plain.jpg", exif=exif_saying(1))).notes == ()


def test_a_wider_space_without_a_profile_is_refused(tmp_path: Path) -> None:
    refused(saved(tmp_path, halves(), "wide.jpg", exif=exif_saying(65535, "R03")), "wider space than sRGB")


def test_without_pillow_it_says_what_to_install(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = saved(tmp_path, halves())
    monkeypatch.setitem(sys.modules, "PIL", None)
    with pytest.raises(UsageError, match="Pillow") as found:
        Photo.open(path)
    assert "sortbench[photo]" in found.value.mend


def test_pictures_of_several_parts_are_read_by_their_first(tmp_path: Path) -> None:
    """Phones write a JPEG file with a second picture in it (CIPA DC-007, multi-picture format)."""
    buffer = BytesIO()
    halves().save(buffer, "MPO", save_all=True, append_images=[halves(20, 20)], quality=95)
    (tmp_path / "phone.jpg").write_bytes(buffer.getvalue())
    photo = Photo.open(tmp_path / "phone.jpg")
    assert (photo.width, photo.height) == (60, 40)
    assert mean(photo, 40, 5, 12, 12) == pytest.approx(SAND, abs=3)
