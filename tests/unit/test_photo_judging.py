"""Pieces on a photograph: against published and made-up truth, and refused where nothing can be said."""

from __future__ import annotations

import random
from pathlib import Path

import pytest

from sortbench.engine.condition.change_rating import colour_change, grade_of, rating
from sortbench.engine.condition.ciede2000 import ciede2000
from sortbench.engine.condition.colour import Lab, lab_to_hex, lab_to_xyz
from sortbench.engine.condition.photo_areas import check_marks
from sortbench.engine.condition.photo_judging import PhotoResult, judge_photo
from sortbench.engine.condition.yellowness import yellowness_index
from sortbench.model.errors import DataError
from sortbench.model.grade import Grade
from sortbench.model.photo import Area, Channel, Histograms, Marks, Patch
from sortbench.store.photo import Photo
from tests.synthetic_photo import Scene, lab_of

Rgb = tuple[int, int, int]

CARD, REFERENCE, PIECE = Area(0, 0, 40, 40), Area(50, 0, 40, 40), Area(100, 0, 40, 40)
WHITE: Rgb = (243, 243, 243)


def patch(area: Area, *colours: Rgb, shares: tuple[int, ...] = ()) -> Patch:
    """A rectangle of these colours in those shares of it, mixed evenly: no picture is needed for it."""
    parts = shares or (1,) * len(colours)
    pixels = area.width * area.height // 4 // sum(parts)

    def channel(at: int) -> Channel:
        counts = [0] * 256
        for colour, part in zip(colours, parts, strict=True):
            counts[colour[at]] += part * pixels
        return tuple(counts)

    quarter: Histograms = (channel(0), channel(1), channel(2))
    brightest = [0] * 256
    for colour, part in zip(colours, parts, strict=True):
        brightest[max(colour)] += 4 * part * pixels
    return Patch(area, (quarter,) * 4, tuple(brightest))


def of_quarters(area: Area, *colours: Rgb) -> Patch:
    """A rectangle whose quarters are of one colour each."""
    found = [patch(area, colour) for colour in colours]
    brightest = tuple(sum(each) // 4 for each in zip(*(each.brightest for each in found), strict=True))
    first, second, third, fourth = (each.quarters[0] for each in found)
    return Patch(area, (first, second, third, fourth), brightest)


def judged(card: Rgb, piece: Rgb, reflectance: float = 0.9, reference: Rgb = (180, 180, 176)) -> PhotoResult:
    return judge_photo(patch(CARD, card), patch(REFERENCE, reference), [patch(PIECE, piece)], reflectance)


# Against values worked out elsewhere

# Derived, not published: linear light of sRGB (IEC 61966-2-1), scaled to the card, XYZ, CIELAB (CIE 15) and yellowness
# (ASTM E313, D65 for 2 degrees), worked out by two separately written routes that agree to 2e-14. They took the white
# from its chromaticity (0.3127, 0.3290: Z 108.906), the tables of ASTM E308 print 108.883: b* differs by up to 0.014.
SCALED = [
    ((236, 232, 220), 0.9, (228, 220, 190), (74.561, 79.461, 72.668), (91.443, -1.977, 10.478), 18.18),
    ((200, 205, 210), 0.9, (190, 190, 170), (70.367, 75.402, 63.954), (89.581, -2.767, 14.554), 25.04),
    ((243, 243, 243), 0.9, (150, 146, 128), (26.864, 28.719, 24.635), (60.533, -1.751, 10.094), 24.23),
    ((231, 222, 201), 0.9, (231, 222, 201), (85.545, 90.000, 98.010), (95.997, 0.007, 0.003), -0.02),
    ((250, 248, 244), 0.85, (120, 40, 30), (7.794, 5.013, 1.711), (26.771, 32.873, 23.653), 163.22),
]


@pytest.mark.parametrize(("card", "reflectance", "piece", "xyz", "lab", "yellowness"), SCALED)
def test_colours_are_scaled_to_the_card(
    card: Rgb,
    reflectance: float,
    piece: Rgb,
    xyz: tuple[float, ...],
    lab: tuple[float, ...],
    yellowness: float,
) -> None:
    [reading] = judged(card, piece, reflectance).readings
    assert lab_to_xyz(reading.lab) == pytest.approx(xyz, abs=0.001)
    assert reading.lab == pytest.approx(lab, abs=0.014)
    assert yellowness_index(lab_to_xyz(reading.lab)) == pytest.approx(yellowness, abs=0.01)


# Derived likewise: the change of the index per count of blue, by finite differences.
SENSITIVE = [
    ((236, 232, 220), (228, 220, 190), -0.823, 0.711),
    ((221, 226, 233), (205, 203, 184), -0.786, 0.624),
    ((243, 243, 243), (150, 146, 128), -1.102, 0.603),
    ((214, 210, 205), (90, 84, 66), -1.707, 0.615),
]


@pytest.mark.parametrize(("card", "piece", "per_piece", "per_card"), SENSITIVE)
def test_a_count_of_blue_moves_the_yellowness_as_it_should(
    card: Rgb, piece: Rgb, per_piece: float, per_card: float
) -> None:
    def index(card: Rgb, piece: Rgb) -> float:
        return yellowness_index(lab_to_xyz(judged(card, piece).readings[0].lab))

    def by(colour: Rgb, counts: int) -> Rgb:
        return colour[0], colour[1], colour[2] + counts

    assert (index(card, by(piece, 1)) - index(card, by(piece, -1))) / 2 == pytest.approx(per_piece, rel=0.05)
    assert (index(by(card, 1), piece) - index(by(card, -1), piece)) / 2 == pytest.approx(per_card, rel=0.05)


# Against pictures made up from known colours

SHADES = ("f4f4f0", "e8e4d8", "f2cd37", "9ba19d", "6c6e68", "c4281b", "0057a8", "4b9f4a", "e8dcb0", "d9c48f")


def aged(shade: str, rng: random.Random) -> str:
    """A shade that has yellowed and darkened by chance, from not at all to beyond grade 1."""
    lab, by = lab_of(shade), rng.uniform(0.0, 18.0)
    darker, redder = rng.uniform(0.0, 0.4) * by, rng.uniform(-0.1, 0.1) * by
    return lab_to_hex(Lab(lab.lightness - darker, lab.a + redder, lab.b + rng.uniform(0.3, 1.0) * by))


def seen(scene: Scene, folder: Path) -> PhotoResult:
    photo = Photo.open(scene.save(folder))
    card, reference, pieces = check_marks(scene.marks, photo.width, photo.height)
    return judge_photo(photo.patch(card), photo.patch(reference), [photo.patch(each) for each in pieces], scene.card)


def test_grades_are_right_within_half_a_step_whatever_light_noise_and_compression_do(tmp_path: Path) -> None:
    """60 pictures of 5 pieces: coloured light, noise, JPEG of quality 75 to 95 or PNG, light that falls off, glare."""
    rng = random.Random(20261125)
    right = within_band = pieces = apart = sure = 0
    for seed in range(60):
        shade = rng.choice(SHADES)
        red, green, blue = (rng.uniform(0.72, 0.98) for _ in range(3))
        scene = Scene(
            shade,
            tuple(aged(shade, rng) for _ in range(5)),
            card=rng.choice([0.9, 0.85]),
            light=(red, green, blue),
            noise=rng.uniform(0.0, 6.0),
            slope=rng.uniform(0.0, 0.03),
            glare=rng.choice([0.0, 0.0, 0.08, 0.12]),
            quality=rng.choice([0, 75, 85, 95]),
            seed=seed,
        )
        reference, truths = scene.truth
        found = [
            (reading.judgement, truth) for reading, truth in zip(seen(scene, tmp_path).readings, truths, strict=True)
        ]
        for judgement, truth in found:
            pieces += 1
            if judgement is not None:
                grade = grade_of(rating(colour_change(truth, reference)))
                right += abs(judgement.grade - grade) <= 1
                within_band += judgement.worst <= grade <= judgement.best
                difference = ciede2000(truth, reference)
                if difference > 2.0:  # nearer to the reference a difference bends, and only its upper end means much
                    assert judgement.difference_u is not None
                    apart += 1
                    sure += abs(judgement.difference - difference) <= 2.0 * judgement.difference_u
    assert pieces == 300
    assert right >= 0.95 * pieces
    assert within_band >= 0.95 * pieces
    assert apart > 150
    assert sure >= 0.95 * apart


def test_the_worst_pieces_are_ranked_although_they_all_have_grade_1(tmp_path: Path) -> None:
    white = lab_of("d8d8d4")
    pieces = tuple(lab_to_hex(white._replace(b=white.b + by)) for by in (30.0, 18.0, 0.0, 24.0, 3.0))
    result = seen(Scene("d8d8d4", pieces, light=(0.95, 0.9, 0.8), noise=2.0, quality=90), tmp_path)
    assert [reading.rank for reading in result.readings] == [5, 3, 1, 4, 2]
    worst = [reading.judgement for reading in result.readings if reading.rank >= 3]
    assert all(each is not None and each.grade is Grade.G1 and each.saturated for each in worst)


def test_pieces_that_cannot_be_told_apart_share_their_ranks(tmp_path: Path) -> None:
    result = seen(Scene("f4f4f0", ("efe6c4", "efe6c5", "efe6c3", "f4f4f0"), noise=4.0, quality=85), tmp_path)
    assert [reading.ranks for reading in result.readings] == [(2, 4), (2, 4), (2, 4), (1, 1)]


def test_noise_and_uneven_pieces_make_the_band_wider(tmp_path: Path) -> None:
    def u(noise: float) -> float:
        [reading] = seen(Scene("e4e4e0", ("e0dac0",), light=(0.8, 0.8, 0.8), noise=noise), tmp_path).readings
        assert reading.judgement is not None and reading.judgement.difference_u is not None
        return reading.judgement.difference_u

    assert u(0.0) < u(4.0) < u(12.0)
    uneven = of_quarters(PIECE, (228, 220, 190), (230, 222, 192), (226, 218, 188), (232, 224, 194))
    [reading] = judge_photo(patch(CARD, WHITE), patch(REFERENCE, WHITE), [uneven]).readings
    [even] = judged(WHITE, (229, 221, 191)).readings
    assert reading.lab_u.lightness > 1.2 * even.lab_u.lightness


def test_what_is_wrong_with_the_card_weighs_less_in_a_difference_than_in_a_colour() -> None:
    [reading] = judged((236, 232, 220), (228, 220, 190), reference=(230, 226, 214)).readings
    judgement = reading.judgement
    assert judgement is not None and judgement.difference_u is not None
    assert judgement.difference_u < 0.5 * reading.lab_u.lightness


def test_light_that_falls_off_across_the_card_is_noted_and_makes_the_band_wider(tmp_path: Path) -> None:
    even, falling = (seen(Scene("9ba19d", ("9b9c85",) * 5, slope=slope), tmp_path) for slope in (0.0, 0.15))
    far, far_even = falling.readings[-1], even.readings[-1]
    assert far.judgement is not None and far_even.judgement is not None
    assert (far.judgement.difference_u or 0.0) > 2 * (far_even.judgement.difference_u or 0.0)
    assert any("light may differ" in note for note in far.notes)
    assert not any(reading.notes for reading in even.readings)
    assert "light would differ" in seen(Scene("9ba19d", ("9b9c85",) * 7, slope=0.5), tmp_path).readings[-1].why_not


# Refused


@pytest.mark.parametrize(
    ("card", "words"),
    [
        (patch(CARD, (252, 240, 230)), "overexposed"),
        (patch(CARD, (240, 240, 240), (255, 255, 255), shares=(9, 1)), "overexposed"),
        (patch(CARD, (90, 40, 15)), "too dark"),
        (patch(CARD, (240, 200, 140)), "light is coloured"),
        (of_quarters(CARD, (240, 240, 240), (240, 240, 240), (200, 200, 200), (205, 205, 205)), "uneven"),
        (patch(CARD, (200, 200, 200), (60, 60, 60), shares=(3, 1)), "uneven"),
        (patch(CARD, (180, 180, 180), (230, 230, 230), shares=(13, 7)), "glares"),
    ],
)
def test_a_card_that_cannot_be_measured_by_is_refused(card: Patch, words: str) -> None:
    with pytest.raises(DataError, match=words) as found:
        judge_photo(card, patch(REFERENCE, WHITE), [patch(PIECE, WHITE)])
    assert found.value.mend


BAD_PIECES = [
    (patch(PIECE, (230, 230, 230), (255, 255, 250), shares=(1, 1)), "clipped"),
    (patch(PIECE, (255, 255, 250)), "clipped"),
    (patch(PIECE, (120, 110, 90), (240, 240, 240), shares=(13, 7)), "mirrored the light"),
    (patch(PIECE, (6, 5, 5)), "too dark"),
    (patch(PIECE, (200, 190, 150), (60, 60, 60)), "several colours"),
    (patch(PIECE, (200, 190, 150), (60, 60, 60), shares=(3, 1)), "in shadow"),
    (of_quarters(PIECE, (200, 190, 150), (200, 190, 150), (150, 140, 110), (200, 190, 150)), "in shadow"),
]


@pytest.mark.parametrize(("piece", "words"), BAD_PIECES)
def test_a_piece_that_cannot_be_judged_says_why_and_the_others_are_judged(piece: Patch, words: str) -> None:
    good = patch(Area(150, 0, 40, 40), (230, 225, 200))
    bad, fine = judge_photo(patch(CARD, WHITE), patch(REFERENCE, WHITE), [piece, good]).readings
    assert words in bad.why_not
    assert (bad.judgement, bad.rank) == (None, 0)
    assert fine.judgement is not None and (fine.rank, fine.ranks) == (1, (1, 1))
    with pytest.raises(DataError, match=f"reference .* cannot be judged by: .*{words}"):
        judge_photo(patch(CARD, WHITE), piece._replace(area=REFERENCE), [good])


def test_what_would_be_lighter_than_white_is_refused_for_the_card_must_be_another() -> None:
    [reading] = judged((150, 150, 150), (200, 200, 190), reference=(140, 140, 136)).readings
    assert "lighter than white" in reading.why_not and "card" in reading.why_not
    with pytest.raises(DataError, match=r"reference .* lighter than white"):
        judged((150, 150, 150), (140, 140, 136), reference=(200, 200, 190))


def test_a_little_glare_is_left_out() -> None:
    plain = judged(WHITE, (200, 190, 150)).readings[0]
    lamp = patch(PIECE, (200, 190, 150), (255, 255, 255), shares=(17, 3))
    [reading] = judge_photo(patch(CARD, WHITE), patch(REFERENCE, WHITE), [lamp]).readings
    assert reading.lab == pytest.approx(plain.lab, abs=0.01)


def test_dust_is_trimmed_away() -> None:
    plain = judged(WHITE, (200, 190, 150)).readings[0]
    dusty = patch(PIECE, (200, 190, 150), (90, 90, 90), shares=(19, 1))
    [reading] = judge_photo(patch(CARD, WHITE), patch(REFERENCE, WHITE), [dusty]).readings
    assert reading.lab == pytest.approx(plain.lab, abs=0.01)


def test_a_colour_stronger_than_the_picture_can_hold_is_noted() -> None:
    [reading] = judged(WHITE, (0, 87, 168)).readings
    assert reading.judgement is not None
    assert "stronger than the picture" in reading.notes[0]


def test_coloured_light_that_can_be_scaled_away_is_noted() -> None:
    assert "coloured" in " ".join(judged((236, 220, 200), WHITE, reference=(200, 190, 170)).notes)
    assert judged((236, 234, 230), (200, 200, 190), reference=(200, 200, 195)).notes == ()


@pytest.mark.parametrize("reflectance", [0.0, -0.9, 1.2, 90.0, float("nan")])
def test_a_card_reflects_a_share_of_the_light(reflectance: float) -> None:
    with pytest.raises(DataError, match="card that reflects"):
        judged(WHITE, (200, 200, 190), reflectance)


@pytest.mark.parametrize(
    ("marks", "words"),
    [
        (Marks(None, REFERENCE, (PIECE,)), "No white or grey card"),
        (Marks(CARD, None, (PIECE,)), "No unaged piece"),
        (Marks(CARD, REFERENCE), "No piece"),
        (Marks(CARD, REFERENCE, (Area(180, 0, 40, 40),)), r"Piece 1 \(180,0,40,40\) lies outside the picture"),
        (Marks(CARD._replace(height=200), REFERENCE, (PIECE,)), "The card .* outside"),
        (Marks(CARD, REFERENCE, (Area(100, 0, 9, 9),)), "too few pixels"),
        (Marks(CARD, REFERENCE, (Area(100, 0, 40, 5),)), "too few pixels"),
        (Marks(CARD, REFERENCE, (PIECE, Area(30, 30, 25, 25))), "Piece 2 .* shares pixels with the card"),
        (Marks(CARD, Area(39, 39, 40, 40), (PIECE,)), "The reference .* shares pixels with the card"),
        (Marks(CARD, REFERENCE, (PIECE, PIECE)), "Piece 2 .* shares pixels with piece 1"),
        (Marks(CARD, REFERENCE, tuple(Area(0, 41, 10, 10) for _ in range(401))), "At most 400"),
    ],
)
def test_marks_that_cannot_be_are_refused(marks: Marks, words: str) -> None:
    with pytest.raises(DataError, match=words) as found:
        check_marks(marks, 200, 100)
    assert found.value.mend
