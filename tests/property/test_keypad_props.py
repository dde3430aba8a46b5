"""Whatever comes onto the keypad: nothing moves unasked, nothing lies twice, pins hold."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from sortbench.engine.entering.keypad import FREE_FOR_NEWCOMERS, PER_PAGE, SIZE, Pad, keys_for, pin, place, reshuffle
from sortbench.engine.entering.pad_documents import pad_from_plain, pad_to_plain
from sortbench.engine.entering.pad_hand import Hand, press
from sortbench.engine.entering.ranking import guess_kinds, rank_kinds, rank_shades
from sortbench.engine.entering.shade_tray import ShadeTray, pin_shade, place_shades, reshuffle_shades
from sortbench.model.catalogue import Kind

FAMILY_NAMES = ("brick", "plate", "tile")
FAMILIES = {f"{family}-1x{n}": family for family in FAMILY_NAMES for n in range(40)}
SHADES = ("red", "blue", "grey, early")
kinds = st.builds(Kind, st.sampled_from(sorted(FAMILIES)), st.sampled_from(SHADES))
lists = st.lists(kinds, max_size=130)
held = st.sampled_from(("", *SHADES))


@st.composite
def pads(draw: st.DrawFn) -> Pad:
    pad = reshuffle(Pad(draw(held)), draw(lists), FAMILIES, draw(lists))
    pad = place(pad, draw(lists), FAMILIES)
    taken = [index for index, kind in enumerate(pad.kinds) if kind]
    for index in draw(st.lists(st.sampled_from(taken), max_size=12)) if taken else []:
        pad = pin(pad, index)
    return pad


def sound(pad: Pad) -> None:
    lying = [kind for kind in pad.kinds if kind]
    assert len(pad.kinds) == SIZE
    assert len(set(lying)) == len(lying)
    assert not pad.shade or {kind.shade for kind in lying} <= {pad.shade}
    assert all(pad.kinds[index] is not None for index in pad.pinned)
    assert pad_from_plain(pad_to_plain(pad)) == pad


@given(pads(), lists)
def test_placing_moves_nothing_and_leaves_nobody_out_while_there_is_room(pad: Pad, newcomers: list[Kind]) -> None:
    after = place(pad, newcomers, FAMILIES)
    sound(after)
    assert all(new == old for new, old in zip(after.kinds, pad.kinds, strict=True) if old is not None)
    left_out = [k for k in newcomers if (not pad.shade or k.shade == pad.shade) and after.index_of(k) is None]
    assert not left_out or after.free == 0
    assert place(after, newcomers, FAMILIES) == after


@given(pads(), lists, lists)
def test_a_reshuffle_keeps_pins_and_brings_the_likeliest_forward(
    pad: Pad, ranked: list[Kind], guesses: list[Kind]
) -> None:
    after = reshuffle(pad, ranked, FAMILIES, guesses)
    sound(after)
    assert after.pinned == pad.pinned
    assert all(after.kinds[index] == pad.kinds[index] for index in pad.pinned)
    pinned = {pad.kinds[index] for index in pad.pinned}
    fitting = [k for k in dict.fromkeys(ranked) if (not pad.shade or k.shade == pad.shade) and k not in pinned]
    open_slots = PER_PAGE - sum(index < PER_PAGE for index in pad.pinned)
    assert all(len(keys_for(after, kind)) == 1 for kind in fitting[:open_slots])
    assert all(after.index_of(kind) is not None for kind in fitting[: SIZE - len(pad.pinned)])
    assert reshuffle(after, ranked, FAMILIES, guesses).kinds[:PER_PAGE] == after.kinds[:PER_PAGE] or len(fitting) < 9


@given(held, lists)
def test_guesses_alone_leave_room_for_newcomers(shade: str, guesses: list[Kind]) -> None:
    assert reshuffle(Pad(shade), [], FAMILIES, guesses).free >= FREE_FOR_NEWCOMERS


@given(pads(), kinds, st.integers(0, SIZE - 1))
def test_pinning_loses_nothing_while_a_slot_is_free(pad: Pad, kind: Kind, index: int) -> None:
    if pad.shade and kind.shade != pad.shade:
        kind = Kind(kind.part, pad.shade)
    after = pin(pad, index, kind)
    sound(after)
    assert after.kinds[index] == kind and index in after.pinned
    gone = set(pad.kinds) - set(after.kinds) - {None}
    assert not gone or (pad.free == 0 and gone == {pad.kinds[index]})


uses = st.dictionaries(kinds, st.tuples(st.integers(0, 50), st.integers(1, 500)), max_size=40)
needs = st.dictionaries(kinds, st.integers(0, 50), max_size=40)


@given(held, uses, needs)
def test_ranking_names_every_kind_once_and_guesses_none_of_them(
    shade: str, use: dict[Kind, tuple[int, int]], need: dict[Kind, int]
) -> None:
    ranked, guessed = rank_kinds(shade, use, need), guess_kinds(shade, use, need)
    known = {k for k, (times, _) in use.items() if times} | {k for k, pieces in need.items() if pieces}
    assert sorted(ranked) == sorted(k for k in known if not shade or k.shade == shade)
    assert not set(ranked) & set(guessed) and len(set(guessed)) == len(guessed)
    assert not shade or {k.part for k in ranked + guessed} == {k.part for k in known}
    # Neither the order in which counts came nor that of the lists decides.
    assert ranked == rank_kinds(shade, dict(reversed(use.items())), dict(reversed(need.items())))
    assert sorted(rank_shades(use, need)) == sorted({k.shade for k in known})


names = st.lists(st.sampled_from([f"shade {n}" for n in range(30)]), max_size=40)


@given(names, names, names, st.lists(st.integers(0, 29), max_size=5))
def test_the_tray_keeps_every_shade_in_its_place(
    first: list[str], later: list[str], ranked: list[str], pins: list[int]
) -> None:
    tray = reshuffle_shades(ShadeTray(), first)
    after = place_shades(tray, later)
    assert after.shades[: len(tray.shades)] == tray.shades
    assert set(after.shades) == set(first) | set(later)
    for index in pins:
        if index < len(after.shades):
            after = pin_shade(after, index)
    again = reshuffle_shades(after, ranked)
    assert set(again.shades) == set(after.shades) | set(ranked)
    assert len(set(again.shades)) == len(again.shades)
    assert all(again.shades[index] == after.shades[index] for index in after.pinned)


@given(pads(), kinds, st.sampled_from(("", *SHADES)))
def test_the_keys_named_lead_to_the_kind(pad: Pad, kind: Kind, shade: str) -> None:
    tray = ShadeTray(SHADES)
    hand = Hand(shade)
    keys = keys_for(pad, kind)
    if not keys:
        return
    if pad.shade != shade:
        keys = (tray.keys_for(pad.shade) if pad.shade else "0.") + keys
    for key in keys:
        step = press(hand, key, tray)
        hand = step.hand
    assert step.index is not None and step.shade == pad.shade
    assert pad.kinds[step.index] == kind
    assert hand == (Hand(shade) if pad.shade else Hand())
