"""What the pixels of a rectangle come to: its mean in linear light, and what speaks against it.

The picture is taken to have the standard curve of sRGB (IEC 61966-2-1). Means are trimmed: glare, brighter than
the piece and of the colour of the lamp, goes first; then a tenth at either end, where dust, edges and noise are.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

from sortbench.engine.condition.colour import Rgb, decode
from sortbench.model.photo import Area, Channel, Histograms, Patch

TRIMMED = 0.1
"""Share left out at either end."""
OVER, UNDER = 250, 20
"""Values of 255 above which a channel is taken for clipped, and below which a card is too dark to measure by."""
_GLARE_STEP = 10.0
_GLARE_SPREADS = 4.0
"""Glare is brighter than the middle value by more than both of these: counts, and spreads of the darker half."""
_BLOCK = 16
"""Pixels that count as one in a mean, for the noise of neighbours is alike, and JPEG files often keep one colour for
four. Found by trial on pictures made up with noise: at least 95 % of differences lie within twice their uncertainty."""

LINEAR = tuple(decode(value / 255.0) for value in range(256))
"""Linear light of each encoded value."""


class Means(NamedTuple):
    """A rectangle in figures.

    Attributes:
        area: the rectangle.
        linear: mean linear light of each channel, 0 to 1.
        quarters: the same of its four quarters; of the whole where a quarter has too few pixels.
        noise_u: standard uncertainty of each mean from noise and rounding.
        encoded: mean encoded values, 0 to 255.
        clipped: share of pixels with a channel above 250.
        sunk: share of pixels with a channel at 0 or 1, where it cannot go lower.
        glare: share of pixels much brighter than the others.
        spread: spread of the pixels in the channel where it is widest, as a share of the brightest channel's mean.
        uneven: how far the quarters' means lie apart at most, as a share of their mean, in the brightest channel.
    """

    area: Area
    linear: Rgb
    quarters: tuple[Rgb, ...]
    noise_u: Rgb
    encoded: Rgb
    clipped: float
    sunk: float
    glare: float
    spread: float
    uneven: float

    @property
    def brightest(self) -> float:
        """The encoded mean of its brightest channel."""
        return max(self.encoded)


def means_of(patch: Patch) -> Means:
    """The figures of a rectangle with at least one pixel."""
    whole, pixels = patch.whole, sum(patch.brightest)
    glare = _glare(whole)
    kept = [_trimmed(channel, glare) for channel in whole]
    red, green, blue = (_mean(each) for each in kept)
    linear = (red, green, blue)
    quarters = tuple(_quarter(quarter, linear) for quarter in patch.quarters)
    spreads = [_spread(each, mean) for each, mean in zip(kept, linear, strict=True)]
    encoded = [_encoded(each) for each in kept]
    noise = [
        math.hypot(spread / math.sqrt(max(1.0, pixels / _BLOCK)), _slope(value) * rounding / 255.0)
        for spread, value, rounding in zip(spreads, encoded, patch.rounding, strict=True)
    ]
    strongest = max(range(3), key=lambda channel: linear[channel])
    level = max(linear[strongest], LINEAR[1])
    apart = [quarter[strongest] for quarter in quarters]
    return Means(
        patch.area,
        linear,
        quarters,
        (noise[0], noise[1], noise[2]),
        (encoded[0], encoded[1], encoded[2]),
        sum(patch.brightest[OVER + 1 :]) / pixels,
        max(sum(channel[:2]) for channel in whole) / pixels,
        glare,
        max(spreads) / level,
        (max(apart) - min(apart)) / level,
    )


def _quarter(quarter: Histograms, otherwise: Rgb) -> Rgb:
    if not sum(quarter[0]):
        return otherwise
    # A lamp is seen in one quarter and not in another, so each has a share of glare of its own.
    glare = _glare(quarter)
    red, green, blue = (_mean(_trimmed(channel, glare)) for channel in quarter)
    return red, green, blue


def _glare(channels: Histograms) -> float:
    """Share of pixels much brighter than the others, in the channel where it is largest."""
    return max(map(_glare_of, channels))


def _glare_of(channel: Channel) -> float:
    """The darker half tells how far pixels usually lie apart, for glare has no part in it."""
    middle, low = _quantile(channel, 0.5), _quantile(channel, 0.16)
    edge = middle + max(_GLARE_STEP, _GLARE_SPREADS * (middle - low))
    return sum(channel[math.floor(edge) + 1 :]) / sum(channel)


def _quantile(channel: Channel, share: float) -> float:
    """The value below which that share of the pixels lies, between values in proportion."""
    wanted, passed = share * sum(channel), 0
    for value, count in enumerate(channel):
        if count and passed + count >= wanted:
            return value - 0.5 + (wanted - passed) / count
        passed += count
    return 255.0


Weighed = list[tuple[int, float]]
"""Encoded values and how many pixels have each; the outermost may count in part."""


def _trimmed(channel: Channel, glare: float) -> Weighed:
    pixels = float(sum(channel))
    rest = pixels * (1.0 - glare)
    return _cut(channel, rest * TRIMMED, pixels * glare + rest * TRIMMED)


def _cut(channel: Sequence[int], below: float, above: float) -> Weighed:
    """The values without so many pixels at either end."""
    counted = [(value, float(count)) for value, count in enumerate(channel) if count]
    return _without_first(_without_first(counted, below)[::-1], above)


def _without_first(counted: Weighed, pixels: float) -> Weighed:
    """Without so many pixels from the start on, but never without all of them."""
    kept: Weighed = []
    for value, count in counted:
        taken = min(count, pixels)
        pixels -= taken
        if count > taken:
            kept.append((value, count - taken))
    return kept or counted[-1:]


def _mean(kept: Weighed) -> float:
    return sum(LINEAR[value] * count for value, count in kept) / sum(count for _, count in kept)


def _encoded(kept: Weighed) -> float:
    return sum(value * count for value, count in kept) / sum(count for _, count in kept)


def _spread(kept: Weighed, mean: float) -> float:
    """Standard deviation in linear light of what is kept, and more: trimming a tenth of a normal spread at either end
    leaves 0.66 of it (variance 0.4377)."""
    square = sum(count * (LINEAR[value] - mean) ** 2 for value, count in kept) / sum(count for _, count in kept)
    return math.sqrt(square / 0.4377)


def _slope(encoded: float) -> float:
    """How fast linear light grows with the encoded value, per whole range, at a value of 0 to 255."""
    value = encoded / 255.0
    return 1.0 / 12.92 if value <= 0.04045 else 2.4 / 1.055 * ((value + 0.055) / 1.055) ** 1.4
