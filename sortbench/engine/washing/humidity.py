"""What the air of a room does to drying: vapour pressure, dew point, and a first guess before any weighing."""

from __future__ import annotations

from math import exp, log
from typing import NamedTuple

from sortbench.model.errors import DataError

# Magnus form after Alduchov and Eskridge 1996 (J. Appl. Meteor. 35:601-609), over water: hPa, none, °C.
_A_PA, _B, _C = 610.94, 17.625, 243.04

USUAL_C, USUAL_RH = 20.0, 50.0
"""The room that a usual drying time is meant for: a living room; common practice, no source."""


class FirstEstimate(NamedTuple):
    """A first guess at the time a tray takes.

    Attributes:
        hours: None where the air takes up no water.
        deficit_pa: vapour-pressure deficit of the room, Pa.
        dew_point_c: what is colder than this gets wet, °C.
        words: the same, and what it rests on.
    """

    hours: float | None
    deficit_pa: float
    dew_point_c: float
    words: str


def saturation_pressure(temp_c: float) -> float:
    """Pressure of water vapour over water that air can hold, in Pa: 610.94 exp(17.625 t / (t + 243.04)).

    Alduchov and Eskridge 1996; within 0.3 % of IAPWS-IF97 from 0 to 50 °C.

    Args:
        temp_c: 0 to 50 °C.

    Raises:
        DataError: a temperature out of range.
    """
    if not 0 <= temp_c <= 50:
        raise DataError(f"{temp_c:g} °C is no room to dry in.", "Give 0 to 50 °C.")
    return _A_PA * exp(_B * temp_c / (temp_c + _C))


def vapour_deficit(temp_c: float, humidity_pct: float) -> float:
    """What the air can still take up, as a pressure in Pa: the saturation pressure less the vapour there is.

    Args:
        temp_c: 0 to 50 °C.
        humidity_pct: relative humidity, 1 to 100 %.

    Raises:
        DataError: a value out of range.
    """
    return saturation_pressure(temp_c) * (1 - _share(humidity_pct))


def dew_point(temp_c: float, humidity_pct: float) -> float:
    """The temperature in °C at which the vapour in the air begins to condense: the Magnus form turned round.

    Args, raises: as `vapour_deficit`.
    """
    power = log(saturation_pressure(temp_c) * _share(humidity_pct) / _A_PA)
    return _C * power / (_B - power)


def first_estimate(
    temp_c: float,
    humidity_pct: float,
    usual_h: float = 12.0,
    usual_c: float = USUAL_C,
    usual_humidity_pct: float = USUAL_RH,
) -> FirstEstimate:
    """A usual drying time carried over to the air of a room.

    It takes the speed of drying to go with the vapour-pressure deficit, as that of open water does in air that moves
    alike (Dalton's law of evaporation). Water in hollows and between pieces does not keep to that, so this is no more
    than a guess until the tray was weighed.

    Args:
        temp_c, humidity_pct: the air now; as `vapour_deficit`.
        usual_h: hours that a tray usually takes, above 0 to 1,000; overnight is common practice, no source.
        usual_c, usual_humidity_pct: the air it usually takes them in.

    Raises:
        DataError: a value out of range, or air that usually takes up nothing.
    """
    if not 0 < usual_h <= 1000:
        raise DataError(f"{usual_h:g} h is no usual drying time.", "Give above 0 to 1,000 h.")
    usual = vapour_deficit(usual_c, usual_humidity_pct)
    if usual <= 0:
        raise DataError("Nothing dries in air that is full of vapour.", "Give the humidity of a usual day.")
    deficit, dew = vapour_deficit(temp_c, humidity_pct), dew_point(temp_c, humidity_pct)
    hours = usual_h * usual / deficit if deficit > 0 else None
    air = f"{temp_c:g} °C and {humidity_pct:g} %: deficit {deficit:,.0f} Pa, dew point {dew:.1f} °C"
    if hours is None or hours > 1000:
        return FirstEstimate(None, deficit, dew, f"{air}; nothing to speak of dries in this air")
    return FirstEstimate(
        hours, deficit, dew, f"{air}; about {hours:.0f} h for the usual {usual_h:g}, a guess until weighed"
    )


def _share(humidity_pct: float) -> float:
    if not 1 <= humidity_pct <= 100:
        raise DataError(f"A relative humidity of {humidity_pct:g} % cannot be.", "Give 1 to 100 %.")
    return humidity_pct / 100
