"""The keypad: where kinds lie, and that they stay there."""

from __future__ import annotations

import pytest

from sortbench.engine.entering.keypad import (
    FREE_FOR_NEWCOMERS,
    PAGES,
    PER_PAGE,
    ROWS,
    SIZE,
    SLOTS,
    Pad,
    keys_for,
    natural,
    page_groups,
    pin,
    place,
    reshuffle,
    unpin,
)
from sortbench.engine.entering.pad_documents import pad_from_plain, pad_to_plain, tray_from_plain, tray_to_plain
from sortbench.engine.entering.pad_hand import Hand, press
from sortbench.engine.entering.ranking import guess_kinds, rank_kinds, rank_shades
from sortbench.engine.entering.shade_tray import ShadeTray, pin_shade, place_shades, reshuffle_shades, unpin_shade
from sortbench.model.catalogue import Kind
from sortbench.model.errors import DataError

FAMILIES = {f"{family}-1x{n}": family for family in ("brick", "plate", "tile", "slope") for n in range(1, 31)}


def greys(family: str, *numbers: int) -> list[Kind]:
    return [Kind(f"{family}-1x{n}", "grey, late") for n in numbers]


class TestPad:
    def test_the_block_lies_as_on_a_keyboard(self) -> None:
        assert ROWS == ("789", "456", "123")
        assert (len(SLOTS), len(PAGES), SIZE) == (9, 9, 81)

    def test_first_page_takes_one_stroke_and_further_pages_two(self) -> None:
        kinds = greys("brick", *range(1, 31))
        pad = reshuffle(Pad("grey, late"), kinds, FAMILIES)
        assert {len(keys_for(pad, kind)) for kind in kinds[:9]} == {1}
        assert {len(keys_for(pad, kind)) for kind in kinds[9:]} == {2}
        assert keys_for(pad, Kind("brick-1x1", "red")) == ""

    def test_the_likeliest_lies_under_the_resting_finger(self) -> None:
        kinds = greys("brick", 4, 2, 9)
        pad = reshuffle(Pad("grey, late"), kinds, FAMILIES)
        assert [keys_for(pad, kind) for kind in kinds] == ["5", "4", "6"]

    def test_a_newcomer_moves_nothing(self) -> None:
        pad = reshuffle(Pad("grey, late"), greys("brick", *range(1, 13)), FAMILIES)
        after = place(pad, greys("tile", 3), FAMILIES)
        assert [a for a, b in zip(after.kinds, pad.kinds, strict=True) if b is not None] == [
            kind for kind in pad.kinds if kind is not None
        ]
        assert after.index_of(greys("tile", 3)[0]) is not None

    def test_a_newcomer_goes_to_the_first_page_while_it_has_room(self) -> None:
        pad = place(Pad("grey, late"), greys("brick", 1, 2), FAMILIES)
        assert {len(keys_for(pad, kind)) for kind in greys("brick", 1, 2)} == {1}

    def test_past_the_first_page_it_goes_to_its_family_then_to_an_empty_page_then_anywhere(self) -> None:
        pad = place(Pad("grey, late"), greys("brick", *range(1, 10)), FAMILIES)
        pad = place(pad, greys("plate", 1) + greys("tile", 1) + greys("plate", 2) + greys("tile", 2), FAMILIES)
        assert page_groups(pad, FAMILIES)[:4] == ("brick", "plate", "tile", "")
        plates = greys("plate", *range(3, 11))
        assert len({keys_for(place(pad, plates, FAMILIES), kind)[0] for kind in plates}) == 2

    def test_with_all_slots_taken_the_rest_is_reached_by_typing(self) -> None:
        kinds = greys("brick", *range(1, 31)) + greys("plate", *range(1, 31)) + greys("tile", *range(1, 31))
        pad = place(Pad("grey, late"), kinds, FAMILIES)
        assert pad.free == 0
        assert keys_for(pad, kinds[80]) != "" and keys_for(pad, kinds[81]) == ""
        assert place(pad, kinds, FAMILIES) is pad

    def test_kinds_of_another_shade_are_passed_over(self) -> None:
        assert place(Pad("red"), greys("brick", 1), FAMILIES) == Pad("red")

    def test_the_pad_of_no_shade_held_mixes_shades_and_groups_by_them(self) -> None:
        kinds = [Kind(f"brick-1x{n}", shade) for n in range(1, 16) for shade in ("red", "blue")]
        pad = reshuffle(Pad(), kinds, FAMILIES)
        assert all(keys_for(pad, kind) for kind in kinds)
        for number in range(1, len(PAGES)):
            assert len({kind.shade for kind in pad.page(number) if kind}) <= 1 or pad.page(number).count(None) == 0

    def test_a_reshuffle_groups_families_and_counts_sizes_up(self) -> None:
        kinds = greys("slope", *range(1, 10)) + greys("tile", 10, 2, 1) + greys("plate", *range(1, 10))
        pad = reshuffle(Pad("grey, late"), kinds, FAMILIES)
        groups = page_groups(pad, FAMILIES)
        tiles = pad.page(groups.index("tile"))
        assert [tiles[SLOTS.index(key)] for key in "789"] == greys("tile", 1, 2, 10)
        plates = pad.page(groups.index("plate"))
        assert None not in plates and {FAMILIES[kind.part] for kind in plates if kind} == {"plate"}

    def test_pins_stay_through_a_reshuffle(self) -> None:
        first, other = greys("brick", 1)[0], greys("tile", 7)[0]
        pad = pin(place(Pad("grey, late"), [first, other], FAMILIES), 4)
        pad = reshuffle(pad, [other, *greys("plate", *range(1, 20))], FAMILIES)
        assert pad.kinds[4] == first and 4 in pad.pinned
        assert reshuffle(unpin(pad, 4), [other], FAMILIES).kinds[4] == other

    def test_what_lay_on_the_pad_stays_on_it_though_nobody_ranks_it(self) -> None:
        forgotten = greys("brick", 1)[0]
        pad = place(Pad("grey, late"), [forgotten], FAMILIES)
        assert reshuffle(pad, greys("tile", 1, 2), FAMILIES).index_of(forgotten) is not None

    def test_guesses_leave_room_for_newcomers(self) -> None:
        guesses = greys("brick", *range(1, 31)) + greys("plate", *range(1, 31)) + greys("tile", *range(1, 31))
        assert reshuffle(Pad("grey, late"), [], FAMILIES, guesses).free == FREE_FOR_NEWCOMERS
        assert reshuffle(Pad("grey, late"), guesses, FAMILIES).free == 0

    def test_pinning_a_kind_that_lies_elsewhere_changes_places(self) -> None:
        a, b = greys("brick", 1, 2)
        pad = place(Pad("grey, late"), [a, b], FAMILIES)
        was_a, was_b = pad.kinds.index(a), pad.kinds.index(b)
        swapped = pin(pad, was_a, b)
        assert (swapped.kinds[was_a], swapped.kinds[was_b], swapped.pinned) == (b, a, frozenset({was_a}))

    def test_pinning_a_newcomer_keeps_what_lay_there(self) -> None:
        a, b = greys("brick", 1, 2)
        pad = pin(place(Pad("grey, late"), [a], FAMILIES), 4, b)
        assert pad.kinds[4] == b and pad.index_of(a) is not None

    def test_pins_that_cannot_be_are_refused(self) -> None:
        with pytest.raises(ValueError, match="nothing lies"):
            pin(Pad("red"), 0)
        with pytest.raises(ValueError, match="this pad holds red"):
            pin(Pad("red"), 0, greys("brick", 1)[0])
        with pytest.raises(IndexError):
            pin(Pad("red"), SIZE)

    def test_numbers_in_codes_sort_as_numbers(self) -> None:
        assert sorted(greys("plate", 10, 2, 1), key=natural) == greys("plate", 1, 2, 10)


class TestRanking:
    brick, plate, tile = Kind("brick-1x1", "red"), Kind("plate-1x1", "red"), Kind("tile-1x1", "blue")

    def test_counted_and_needed_pieces_weigh_alike(self) -> None:
        assert rank_kinds("red", {self.brick: (3, 1)}, {self.plate: 9, self.tile: 99}) == [self.plate, self.brick]
        assert rank_kinds("", {self.brick: (3, 1)}, {self.plate: 9, self.tile: 99})[0] == self.tile

    def test_of_two_counted_alike_the_later_comes_first(self) -> None:
        assert rank_kinds("red", {self.brick: (5, 10), self.plate: (5, 200)}, {})[0] == self.plate

    def test_what_was_taken_back_or_filled_does_not_count(self) -> None:
        assert rank_kinds("red", {self.brick: (0, 4)}, {self.plate: 0}) == []

    def test_guesses_are_parts_known_in_other_shades(self) -> None:
        use, needs = {self.brick: (3, 1)}, {self.tile: 2, self.plate: 1}
        assert guess_kinds("blue", use, needs) == [Kind("brick-1x1", "blue"), Kind("plate-1x1", "blue")]
        assert guess_kinds("", use, needs) == []

    def test_shades_by_pieces(self) -> None:
        assert rank_shades({self.brick: (3, 1)}, {self.tile: 9}) == ["blue", "red"]


class TestShadeTray:
    names = tuple(f"shade {n:02d}" for n in range(14))

    def test_second_page_takes_another_stroke(self) -> None:
        tray = reshuffle_shades(ShadeTray(), self.names)
        assert tray.pages == 2
        assert tray.keys_for("shade 00") == "01"
        assert tray.keys_for("shade 09") == "001"
        assert tray.keys_for("unheard of") == tray.keys_for("") == ""

    def test_a_newcomer_moves_nothing(self) -> None:
        tray = place_shades(reshuffle_shades(ShadeTray(), self.names), ["puce", "shade 03", "puce"])
        assert tray.shades == (*self.names, "puce")
        assert place_shades(tray, ["puce"]) is tray

    def test_a_reshuffle_keeps_pins_and_every_shade(self) -> None:
        tray = pin_shade(reshuffle_shades(ShadeTray(), self.names), 0)
        again = reshuffle_shades(tray, self.names[::-1])
        assert again.shades[0] == "shade 00" and again.shades[1] == "shade 13"
        assert set(again.shades) == set(self.names)
        assert reshuffle_shades(unpin_shade(again, 0), self.names[::-1]).shades[0] == "shade 13"

    def test_pinning_changes_places(self) -> None:
        tray = pin_shade(reshuffle_shades(ShadeTray(), self.names), 2, "shade 11")
        assert (tray.shades[2], tray.shades[11]) == ("shade 11", "shade 02")

    def test_a_pin_far_off_leaves_free_slots_that_newcomers_fill(self) -> None:
        tray = pin_shade(ShadeTray(("red", "blue")), 8, "grey")
        assert tray.page(0) == ("red", "blue", "", "", "", "", "", "", "grey")
        assert place_shades(tray, ["green"]).shades[2] == "green"
        assert reshuffle_shades(tray, ["blue"]).page(0) == ("blue", "red", "", "", "", "", "", "", "grey")

    def test_pins_that_cannot_be_are_refused(self) -> None:
        with pytest.raises(ValueError, match="nothing lies"):
            pin_shade(ShadeTray(), 3)
        with pytest.raises(IndexError):
            pin_shade(ShadeTray(), 9, "red")


class TestHand:
    tray = ShadeTray(tuple(f"shade {n:02d}" for n in range(14)))

    def reach(self, keys: str, hand: Hand | None = None) -> tuple[Hand, int | None, str]:
        hand = hand or Hand()
        step = None
        for key in keys:
            step = press(hand, key, self.tray)
            hand = step.hand
        assert step is not None
        return hand, step.index, step.shade

    def test_slot(self) -> None:
        assert self.reach("5") == (Hand(), 4, "")

    def test_page_serves_once(self) -> None:
        assert self.reach("d5") == (Hand(), 2 * PER_PAGE + 4, "")
        assert self.reach("sd5")[1] == 2 * PER_PAGE + 4, "the last page key counts"

    def test_shade_for_one_piece(self) -> None:
        assert self.reach("025") == (Hand(), 4, "shade 01")
        assert self.reach("002s5") == (Hand(), PER_PAGE + 4, "shade 10")
        assert self.reach("025", Hand("red")) == (Hand("red"), 4, "shade 01")

    def test_shade_held(self) -> None:
        assert self.reach("020") == (Hand("shade 01"), None, "")
        assert self.reach("0205") == (Hand("shade 01"), 4, "shade 01")
        assert self.reach("030", Hand("shade 01"))[0] == Hand("shade 02")

    def test_letting_go(self) -> None:
        assert self.reach("0.", Hand("red"))[0] == Hand()

    def test_the_tray_turns_round(self) -> None:
        assert self.reach("0002") == self.reach("02")

    def test_an_empty_slot_of_the_tray_keeps_it_open(self) -> None:
        step = press(Hand(tray=2), "9", self.tray)
        assert step.empty and step.hand.tray == 2 and step.index is None

    def test_escape_lets_pending_keys_go_and_is_not_ours_otherwise(self) -> None:
        assert press(Hand("red", once="blue"), "escape", self.tray).hand == Hand("red")
        assert press(Hand("red", tray=1), "escape", self.tray).ours
        assert not press(Hand("red"), "escape", self.tray).ours

    @pytest.mark.parametrize("key", ["+", "-", "enter", "x", "r", "as", "12", ""])
    @pytest.mark.parametrize("hand", [Hand("red"), Hand("red", page=3), Hand("red", tray=1), Hand("red", once="blue")])
    def test_other_keys_are_somebody_elses(self, hand: Hand, key: str) -> None:
        step = press(hand, key, self.tray)
        assert not step.ours and step.hand == Hand("red") and step.index is None


class TestDocuments:
    def test_pads_and_trays_come_back(self) -> None:
        pad = pin(place(Pad("grey, late"), greys("brick", 1, 2, 3), FAMILIES), 4)
        assert pad_from_plain(pad_to_plain(pad)) == pad
        tray = pin_shade(ShadeTray(("red", "blue")), 1)
        assert tray_from_plain(tray_to_plain(tray)) == tray

    @pytest.mark.parametrize(
        "change",
        [
            {"kinds": []},
            {"kinds": None},
            {"kinds": [["brick-1x1", "red"]] * SIZE},
            {"kinds": [["brick-1x1", "blue"]] + [None] * 80},
            {"kinds": [["brick-1x1"]] + [None] * 80},
            {"kinds": [[1, "red"]] + [None] * 80},
            {"shade": 3},
            {"pinned": [81]},
            {"pinned": [0]},
            {"pinned": ["x"]},
        ],
    )
    def test_what_is_no_pad_is_refused(self, change: dict[str, object]) -> None:
        with pytest.raises(DataError, match="keypad"):
            pad_from_plain({**pad_to_plain(Pad("red")), **change})

    @pytest.mark.parametrize("change", [{"shades": ["red", "red"]}, {"shades": [1]}, {"pinned": [4]}, {"pinned": None}])
    def test_what_is_no_tray_is_refused(self, change: dict[str, object]) -> None:
        with pytest.raises(DataError, match="shade tray"):
            tray_from_plain({**tray_to_plain(ShadeTray(("red",))), **change})
