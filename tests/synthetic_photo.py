"""Photographs made up from known reflectances, so that what is read from them can be held against the truth."""

from __future__ import annotations

from pathlib import Path
from typing import NamedTuple

import numpy as np
from PIL import Image

from sortbench.engine.condition.colour import Lab, decode, from_hex, linear_to_xyz, xyz_to_lab
from sortbench.model.photo import Area, Marks

SIDE, GAP = 60, 20
"""Pixels of a square of the scene, and between two of them."""


class Scene(NamedTuple):
    """What lies on the table, and how the picture of it is taken.

    Attributes:
        reference: sRGB of the unaged piece in even white light, six hex digits.
        pieces: the same of the pieces.
        card: reflectance of the card.
        light: what the light makes of each channel, 1 for white light.
        noise: standard deviation of the noise in counts of 255.
        slope: by what share the light falls off from the left edge to the right one.
        glare: share of each piece that mirrors the lamp.
        quality: of the JPEG file; 0 for PNG.
        seed: of the noise.
    """

    reference: str
    pieces: tuple[str, ...]
    card: float = 0.9
    light: tuple[float, float, float] = (1.0, 1.0, 1.0)
    noise: float = 0.0
    slope: float = 0.0
    glare: float = 0.0
    quality: int = 0
    seed: int = 0

    @property
    def marks(self) -> Marks:
        """Card, reference and pieces well inside their edges: the card at the left, then two lines of squares."""
        card, reference, *pieces = (Area(x + 8, y + 8, w - 16, h - 16) for x, y, w, h in self._squares)
        return Marks(card, reference, tuple(pieces))

    @property
    def truth(self) -> tuple[Lab, tuple[Lab, ...]]:
        """Colours of the reference and the pieces as they are."""
        return lab_of(self.reference), tuple(map(lab_of, self.pieces))

    @property
    def _squares(self) -> list[tuple[int, int, int, int]]:
        columns = (len(self.pieces) + 2) // 2
        step = SIDE + GAP
        card = (GAP, GAP, SIDE, 2 * SIDE + GAP)
        return [card] + [
            (GAP + (1 + at // 2) * step, GAP + at % 2 * step, SIDE, SIDE)
            for at in range(min(2 * columns, 1 + len(self.pieces)))
        ]

    def image(self) -> Image.Image:
        """The picture."""
        rng = np.random.default_rng(self.seed)
        squares = self._squares
        width = max(x + w for x, _, w, _ in squares) + GAP
        height = 2 * SIDE + 3 * GAP
        linear = np.full((height, width, 3), 0.12)
        colours = [
            np.full(3, self.card),
            *(np.array([decode(c) for c in from_hex(h)]) for h in (self.reference, *self.pieces)),
        ]
        for (x, y, w, h), colour in zip(squares, colours, strict=True):
            linear[y : y + h, x : x + w] = colour
        linear *= np.array(self.light)
        linear *= 1.0 - self.slope * np.linspace(0.0, 1.0, width)[None, :, None]
        for x, y, w, h in squares[1:]:
            high = round(h * self.glare)
            linear[y + 10 : y + 10 + high, x : x + w] += 0.5
        encoded = 255.0 * encoded_of(linear) + rng.normal(0.0, self.noise, linear.shape)
        return Image.fromarray(np.clip(np.rint(encoded), 0, 255).astype(np.uint8), "RGB")

    def save(self, folder: Path, name: str = "pieces") -> Path:
        """The picture as a file."""
        path = folder / f"{name}.{'jpg' if self.quality else 'png'}"
        self.image().save(path, **({"quality": self.quality} if self.quality else {}))
        return path


def encoded_of(linear: np.ndarray) -> np.ndarray:
    """IEC 61966-2-1 for an array: what a camera that writes sRGB makes of linear light."""
    cut = np.clip(linear, 0.0, 1.0)
    return np.where(cut <= 0.0031308, 12.92 * cut, 1.055 * cut ** (1 / 2.4) - 0.055)


def lab_of(rgb: str) -> Lab:
    """CIELAB of six hex digits."""
    red, green, blue = map(decode, from_hex(rgb))
    return xyz_to_lab(linear_to_xyz((red, green, blue)))
