"""Whether a batch is dry, or when it should be: its trays' weighings against a criterion of constant mass."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime, timedelta
from typing import NamedTuple

from sortbench.engine.washing.constant_mass import DEFAULT, ConstantMass, Criterion, Reading, Verdict, constant_mass
from sortbench.engine.washing.drying import LEAST_READINGS, Fit, NoFit, Remaining, fit_drying, remaining
from sortbench.engine.washing.humidity import first_estimate
from sortbench.engine.washing.wash_clock import Dryness
from sortbench.model.wash import Batch, Stage

WEIGH_EVERY = timedelta(hours=2)
"""Time from one weighing to the next until there are enough for a curve."""

_LONGEST_H = 24.0 * 30
"""Hours beyond which a guess from the air is no guess any more."""


class TrayState(NamedTuple):
    """What the weighings of one tray say.

    Attributes:
        tray: its name, empty for the only one.
        readings: hours since drying began, and grams without the tray; with it where its empty weight is not known.
        tare_g: grams of the empty tray, None if nobody weighed it.
        mass: whether the criterion holds; None without an empty weight, for the criterion is a share of the pieces.
        fit: the drying curve, or why there is none.
        left: when the criterion should hold; None without a curve or an empty weight.
    """

    tray: str
    readings: tuple[Reading, ...]
    tare_g: float | None
    mass: ConstantMass | None
    fit: Fit | NoFit
    left: Remaining | None


def drying_since(batch: Batch) -> datetime | None:
    """When the drying began that a batch is in, or that it went through last; None if it never dried."""
    return max((event.at for event in batch.stages if event.stage is Stage.DRYING), default=None)


def tray_states(batch: Batch, criterion: Criterion = DEFAULT) -> tuple[TrayState, ...]:
    """What was weighed since drying began, tray by tray in the order in which they were first weighed."""
    since = drying_since(batch)
    by_tray: dict[str, list[Reading]] = {}
    for weighing in batch.weighings:
        if since is not None and weighing.at >= since:
            hours = (weighing.at - since).total_seconds() / 3600
            by_tray.setdefault(weighing.tray, []).append(Reading(hours, weighing.grams))
    return tuple(_state(batch, tray, readings, criterion) for tray, readings in by_tray.items())


def _state(batch: Batch, tray: str, gross: list[Reading], criterion: Criterion) -> TrayState:
    tare = batch.tare(tray)
    readings = tuple(Reading(hours, grams - (tare or 0.0)) for hours, grams in gross)
    fit = fit_drying(readings, batch.resolution_g)
    if tare is None:
        return TrayState(tray, readings, None, None, fit, None)
    left = remaining(fit, criterion) if isinstance(fit, Fit) else None
    return TrayState(tray, readings, tare, constant_mass(readings, criterion, batch.resolution_g), fit, left)


def dryness(batch: Batch, criterion: Criterion = DEFAULT) -> Dryness:
    """Whether a batch is dry by a criterion, or when it should be.

    It is dry once every tray that was weighed is. When it should be, the slowest tray says; where no curve can be told,
    the batch's usual hours count from when drying began, carried over to the air of the room where that is told.
    """
    since = drying_since(batch)
    if since is None:
        return Dryness()
    states = tray_states(batch, criterion)
    usual, basis = _usual(batch, since)
    if not states:
        return Dryness(at=usual, basis=basis)
    if all(state.mass is not None and state.mass.verdict is Verdict.DRY for state in states):
        found = max((state.mass for state in states if state.mass), key=lambda mass: mass.scaled)
        return Dryness(dry=True, basis=found.words)
    note = "; ".join(filter(None, map(_note, states)))
    again = _again(batch, states, since)
    ends = [state.left for state in states if state.left is not None]
    if len(ends) < len(states):
        return Dryness(at=usual, again=again, basis=basis, note=note)
    at, low, high = (
        since + timedelta(hours=max(getattr(end.from_h, field) for end in ends)) for field in ("value", "low", "high")
    )
    weighings = sum(len(state.readings) for state in states)
    return Dryness(at=at, low=low, high=high, again=again, basis=f"by {weighings} weighings", note=note)


def tray_words(state: TrayState) -> str:
    """What the weighings of a tray say, in a sentence."""
    name = f"tray {state.tray}" if state.tray else "the tray"
    last = state.readings[-1]
    what = "g of pieces" if state.tare_g is not None else "g with the tray"
    parts = [f"{name}: {last.grams:,.6g} {what} after {last.hours:.1f} h"]
    if state.mass is None:
        parts.append("its empty weight is not known, so no weighing can show that it is dry")
    else:
        parts.append(f"{state.mass.verdict.value}: {state.mass.words}")
    if isinstance(state.fit, NoFit):
        parts.append(state.fit.words)
    else:
        half = state.fit.half_h
        parts.append(f"the water halves every {half.value:.1f} h ({half.low:.1f} to {half.high:.1f})")
    if state.left is not None and (state.mass is None or state.mass.verdict is not Verdict.DRY):
        parts.append(state.left.words)
    return "; ".join(parts)


def _usual(batch: Batch, since: datetime) -> tuple[datetime | None, str]:
    """When it would be dry by the usual time, and what that rests on; None in air that takes up no water."""
    basis = f"by the usual {batch.drying_h:g} h"
    if batch.temp_c is None or batch.rh_percent is None:
        return since + timedelta(hours=batch.drying_h), basis
    hours = first_estimate(batch.temp_c, batch.rh_percent, batch.drying_h).hours
    air = f"air of {batch.temp_c:g} °C and {batch.rh_percent:g} %"
    if hours is None or hours > _LONGEST_H:
        return None, f"{air} takes up next to no water"
    return since + timedelta(hours=hours), f"{basis}, {hours:.1f} h in {air}"


def _note(state: TrayState) -> str:
    """What keeps a tray's dryness from being known."""
    of = f"tray {state.tray}: " if state.tray else ""
    if state.mass is None:
        return f"{of}its empty weight is not known, so no weighing can show that it is dry"
    if state.mass.verdict is Verdict.DRY:
        return ""
    if isinstance(state.fit, NoFit):
        return f"{of}{state.fit.words}"
    # A curve says when; only that no weighing could ever show it is to be said beside it.
    return f"{of}{state.mass.words}" if state.mass.again_h is None else ""


def _again(batch: Batch, states: tuple[TrayState, ...], since: datetime) -> datetime | None:
    """When another weighing would say more."""
    times: list[datetime] = []
    last: Mapping[str, datetime] = {each.tray: each.at for each in batch.weighings}
    for state in states:
        if len(state.readings) < LEAST_READINGS:
            times.append(last[state.tray] + WEIGH_EVERY)
        elif state.mass is not None and state.mass.again_h is not None:
            times.append(since + timedelta(hours=state.mass.again_h))
    return min(times, default=None)
