"""A photograph as it is judged: rectangles of it, and what the pixels of one are."""

from __future__ import annotations

from typing import NamedTuple

Channel = tuple[int, ...]
"""How many pixels have each of the 256 values of one encoded sRGB channel."""
Histograms = tuple[Channel, Channel, Channel]
"""Red, green, blue."""
EIGHT_BITS = (0.2887, 0.2887, 0.2887)
"""Standard uncertainty of a value that was rounded to a whole count, 1 / sqrt(12), in each channel (JCGM 100:2008,
F.2.2.1)."""


class Area(NamedTuple):
    """A rectangle of a picture that stands upright, in pixels from its upper left corner."""

    left: int
    top: int
    width: int
    height: int

    @property
    def right(self) -> int:
        """The first column behind it."""
        return self.left + self.width

    @property
    def bottom(self) -> int:
        """The first line below it."""
        return self.top + self.height

    @property
    def middle(self) -> tuple[float, float]:
        """Where its middle lies."""
        return self.left + self.width / 2.0, self.top + self.height / 2.0

    def overlaps(self, other: Area) -> bool:
        """Whether the two share a pixel."""
        across = self.left < other.right and other.left < self.right
        return across and self.top < other.bottom and other.top < self.bottom

    def __str__(self) -> str:
        return f"{self.left},{self.top},{self.width},{self.height}"


class Patch(NamedTuple):
    """The pixels of a rectangle, counted; where each of them lies is known to a quarter of it.

    Attributes:
        area: the rectangle.
        quarters: upper left, upper right, lower left, lower right. Rectangles of odd size share the middle line or
            column out to the right and lower quarters.
        brightest: pixels by the largest of their three values: clipping and glare show in it.
        rounding: standard uncertainty in counts of 255, for each channel, from how the file rounds them; a mean of many
            pixels has it too, for even surfaces are rounded alike all over.
    """

    area: Area
    quarters: tuple[Histograms, Histograms, Histograms, Histograms]
    brightest: Channel
    rounding: tuple[float, float, float] = EIGHT_BITS

    @property
    def whole(self) -> Histograms:
        """All its pixels."""
        red, green, blue = (
            tuple(map(sum, zip(*(quarter[channel] for quarter in self.quarters), strict=True))) for channel in range(3)
        )
        return red, green, blue


class Marks(NamedTuple):
    """What is what on a photograph.

    Attributes:
        card: the white or grey card.
        reference: the unaged piece.
        pieces: the pieces to be judged, in the order of their numbers from 1.
    """

    card: Area | None = None
    reference: Area | None = None
    pieces: tuple[Area, ...] = ()


Preview = tuple[tuple[str, ...], ...]
"""A picture made small: rows of six hex digits of sRGB."""
