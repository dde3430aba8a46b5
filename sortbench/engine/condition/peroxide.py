"""Strengths of hydrogen peroxide and their dilution: arithmetic only, and no advice to use any of it.

Three ways to say a strength are three types, and are never taken for each other: grams in 100 g of solution (% w/w,
what law and hazard classes go by), grams in 100 mL (% w/v, what many labels say), and volumes (litres of oxygen that a
litre gives off). From one to the other leads only the density, or the definition.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from itertools import pairwise
from math import isfinite
from typing import NamedTuple

from sortbench.model.errors import DataError

_MOLAR_G = 34.01468  # of H2O2
_MOLAR_L = 22.414  # of an ideal gas at 0 °C and 101.325 kPa
_WV_OF_VOLUME = 2 * _MOLAR_G / _MOLAR_L / 10
"""% w/v in one volume, from 2 H2O2 -> 2 H2O + O2: a litre of oxygen comes from 3.035 g."""

# Densities in g/mL by % w/w, as an encyclopedia tables them (3 % at 15 °C, the others at 20 °C); water at 20 °C from
# memory. Between them a straight line.
_DENSITIES = ((0.0, 0.9982), (3.0, 1.0095), (27.0, 1.10), (35.0, 1.13), (50.0, 1.20))


@dataclass(frozen=True, slots=True)
class MassShare:
    """A strength in % w/w: grams of peroxide in 100 g of solution, above 0 to 100."""

    pct: float

    def __post_init__(self) -> None:
        _check(self.pct, 100, "% w/w")

    def __str__(self) -> str:
        return f"{self.pct:.5g} % w/w"


@dataclass(frozen=True, slots=True)
class VolumeShare:
    """A strength in % w/v: grams of peroxide in 100 mL of solution, above 0 to 145."""

    pct: float

    def __post_init__(self) -> None:
        _check(self.pct, 145, "% w/v")

    def __str__(self) -> str:
        return f"{self.pct:.5g} % w/v"


@dataclass(frozen=True, slots=True)
class Volumes:
    """A strength in volumes: litres of oxygen (0 °C, 101.325 kPa) from a litre of solution, above 0 to 478."""

    litres: float

    def __post_init__(self) -> None:
        _check(self.litres, 478, "volumes")

    def __str__(self) -> str:
        return f"{self.litres:.5g} volumes"


Strength = MassShare | VolumeShare | Volumes


def _check(value: float, most: float, unit: str) -> None:
    if not (isfinite(value) and 0 < value <= most):
        raise DataError(f"A strength of {value:g} {unit} cannot be.", f"Give above 0 to {most:g}, as the label says.")


_SAID = re.compile(r"\s*([0-9]+(?:[.,][0-9]+)?)\s*(%?\s*w/w|%?\s*w/v|vol|vols|volumes?)\s*", re.ASCII | re.IGNORECASE)


def parse_strength(text: str) -> Strength:
    """A strength as it is typed: ``6 %w/w``, ``6 %w/v``, ``20 vol``. A bare per cent is refused: it may be either.

    Raises:
        DataError: no such strength, or no unit.
    """
    said = _SAID.fullmatch(text)
    if said is None:
        raise DataError(
            f"{text.strip()[:30]!r} is no strength of which the unit is sure.",
            "Write it as 6%w/w (grams in 100 g), 6%w/v (grams in 100 mL) or 20vol, as the label says.",
        )
    value, unit = float(said[1].replace(",", ".")), said[2].lower()
    return Volumes(value) if unit.startswith("vol") else MassShare(value) if "w/w" in unit else VolumeShare(value)


def density(strength: MassShare) -> float:
    """Grams in a millilitre at room temperature; the rounding of the table alone is up to 0.5 %.

    Raises:
        DataError: above 50 % w/w, which the table does not reach.
    """
    for (low, at_low), (high, at_high) in pairwise(_DENSITIES):
        if strength.pct <= high:
            return at_low + (at_high - at_low) * (strength.pct - low) / (high - low)
    raise DataError(f"No density is known for {strength}.", "The table ends at 50 % w/w.")


def mass_share(strength: Strength) -> MassShare:
    """The same strength in % w/w.

    Raises:
        DataError: above what the density table reaches.
    """
    if isinstance(strength, MassShare):
        return strength
    wanted = volume_share(strength).pct
    low, high = 0.0, _DENSITIES[-1][0]
    if wanted > high * density(MassShare(high)):
        raise DataError(f"{strength} cannot be told in % w/w.", "The table of densities ends at 50 % w/w.")
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (low, middle) if middle * density(MassShare(middle)) > wanted else (middle, high)
    return MassShare(high)


def volume_share(strength: Strength) -> VolumeShare:
    """The same strength in % w/v; from volumes by their definition, from % w/w by density.

    Raises:
        DataError: above what the density table reaches.
    """
    if isinstance(strength, VolumeShare):
        return strength
    if isinstance(strength, Volumes):
        return VolumeShare(strength.litres * _WV_OF_VOLUME)
    return VolumeShare(strength.pct * density(strength))


def volumes(strength: Strength) -> Volumes:
    """The same strength in volumes; raises as `volume_share`."""
    return strength if isinstance(strength, Volumes) else Volumes(volume_share(strength).pct / _WV_OF_VOLUME)


class ByMass(NamedTuple):
    """A dilution that is weighed: grams of stock and of water."""

    stock_g: float
    water_g: float


class ByVolume(NamedTuple):
    """A dilution that is measured out: millilitres of stock and of water."""

    stock_ml: float
    water_ml: float


def dilute_by_mass(stock: MassShare, target: MassShare, final_g: float) -> ByMass:
    """By mass balance: the peroxide in the stock is the peroxide in the bath. Exact, whatever the densities.

    Args:
        final_g: grams of the finished bath, above 0.

    Raises:
        DataError: the target is stronger than the stock, the amount cannot be, or a strength is no % w/w.
    """
    if not isinstance(stock, MassShare) or not isinstance(target, MassShare):
        raise DataError("Weighing out needs both strengths in % w/w.", "Convert them first; % w/v is another measure.")
    part = _part(stock.pct, target.pct, final_g, stock, target)
    return ByMass(final_g * part, final_g * (1 - part))


def dilute_by_volume(stock: VolumeShare, target: VolumeShare, final_ml: float) -> ByVolume:
    """C1 V1 = C2 V2, with volumes taken to add up, which for weak solutions they nearly do.

    Args:
        final_ml: millilitres of the finished bath, above 0.

    Raises:
        DataError: the target is stronger than the stock, the amount cannot be, or a strength is no % w/v.
    """
    if not isinstance(stock, VolumeShare) or not isinstance(target, VolumeShare):
        raise DataError("Measuring out needs both strengths in % w/v.", "Convert them first; % w/w is another measure.")
    part = _part(stock.pct, target.pct, final_ml, stock, target)
    return ByVolume(final_ml * part, final_ml * (1 - part))


def _part(stock: float, target: float, final: float, *said: Strength) -> float:
    if target > stock:
        raise DataError(f"{said[1]} cannot be made from {said[0]}: it is stronger.", "Water only makes it weaker.")
    if not (isfinite(final) and 0 < final <= 100_000):
        raise DataError(f"{final:g} g or mL cannot be mixed.", "Give above 0 to 100,000.")
    return target / stock


class Dilution(NamedTuple):
    """A bath from stock and water, weighed or measured out.

    Attributes:
        stock, target: in % w/w.
        mass: grams of each; the exact way.
        volume: millilitres of each by C1 V1 = C2 V2; fill up with water to the whole rather than measure the water.
        final_g, final_ml: the finished bath.
    """

    stock: MassShare
    target: MassShare
    mass: ByMass
    volume: ByVolume
    final_g: float
    final_ml: float


def dilute(stock: Strength, target: Strength, final_ml: float) -> Dilution:
    """How much stock and water make a bath, weighed and measured out; strengths in any of the three measures.

    Args:
        final_ml: millilitres of the finished bath, above 0 to 100,000.

    Raises:
        DataError: as `dilute_by_mass`, `dilute_by_volume` and `mass_share`.
    """
    strong, weak = mass_share(stock), mass_share(target)
    volume = dilute_by_volume(volume_share(stock), volume_share(target), final_ml)
    final_g = final_ml * density(weak)
    mass = dilute_by_mass(strong, weak, final_g)
    return Dilution(strong, weak, mass, volume, final_g, final_ml)
