"""What if: nothing is written until it is kept, and what is kept is what was shown."""

from __future__ import annotations

from contextlib import AbstractContextManager
from pathlib import Path

import pytest
from reconciling import BRICK, LATE, PLATE, TILE, heap, picture
from small_bench import counted, make_folder, shown

from sortbench.bench import Bench
from sortbench.desks.additions import add_target
from sortbench.desks.reconcile_desk import Outlook, keep
from sortbench.engine.reconciling.reconcile_board import Standing
from sortbench.engine.reconciling.what_if import WhatIf, checked, effects, picture_if, trimmed
from sortbench.model.errors import DataError
from sortbench.model.grade import Grade
from sortbench.model.target import Line, Policy, StandIn, Swap, SwapOf, Target
from sortbench.store.documents import Draft

HUT = Target("T-01", "Signal Hut", 1988, 1, (Line(PLATE, 3),))
TRAM = Target("T-02", "Peat Tramway", 1991, 2, (Line(PLATE, 4, stand_ins=(StandIn(BRICK),)),))
HALT = Target("T-03", "Funicular Halt", 1990, 3, (Line(TILE, 1),))


def test_every_target_is_told_what_a_rank_comes_to() -> None:
    found = picture((HUT, TRAM, HALT), {heap(PLATE): 4, heap(TILE): 1})
    told = effects(found, WhatIf().with_ranks({"T-01": 4}))
    assert [effect.code for effect in told] == ["T-02", "T-03", "T-01"]
    tram, halt, hut = told
    assert (tram.before, tram.after) == (Standing(2, False, 1, 1, 0, False), Standing(2, False, 4, 4, 0, True))
    assert (hut.before, hut.after) == (Standing(1, False, 3, 3, 0, True), Standing(4, False, 0, 0, 0, False))
    assert (halt.changed, halt.need, halt.name) == (False, 1, "Funicular Halt")


def test_parking_gives_the_pieces_to_others() -> None:
    found = picture((HUT, TRAM), {heap(PLATE): 4})
    hut, tram = effects(found, WhatIf().with_parked("T-01", True))
    assert (hut.after.parked, hut.after.present, tram.after.present) == (True, 0, 4)


def test_a_stand_in_is_refused_and_allowed_again() -> None:
    refused = TRAM._replace(refused=((PLATE, BRICK),))
    with_bricks = picture((TRAM,), {heap(BRICK): 2})
    assert effects(with_bricks, WhatIf().with_stand_in("T-02", PLATE, BRICK, False))[0].after.present == 0
    without = picture((refused,), {heap(BRICK): 2})
    (tram,) = effects(without, WhatIf().with_stand_in("T-02", PLATE, BRICK, True))
    assert (tram.before.present, tram.after.present, tram.after.stand_ins) == (0, 2, 2)


def test_another_policy() -> None:
    # The hut takes a 3, the tramway wants a 5: *complete* has both to standard, *showpiece* the best for the hut.
    hut = HUT._replace(lines=(Line(PLATE, 1, Grade.G3, (StandIn(BRICK),)),))
    tram = TRAM._replace(lines=(Line(PLATE, 1, Grade.G5),))
    found = picture((hut, tram), {heap(PLATE): 1, heap(PLATE, Grade.G3): 1})
    told = effects(found, WhatIf().with_policy(Policy.SHOWPIECE))
    assert [effect.before.standard for effect in told] == [1, 1]
    assert [effect.after.standard for effect in told] == [1, 0]
    assert [effect.after.present for effect in told] == [1, 1]


def test_the_picture_that_holds_stays_as_it_is() -> None:
    found = picture((HUT, TRAM), {heap(PLATE): 4})
    before = found.fill, found.targets, found.target_rows(), found.policy
    tried = picture_if(found, WhatIf().with_parked("T-01", True).with_policy(Policy.SHOWPIECE))
    assert (found.fill, found.targets, found.target_rows(), found.policy) == before
    assert tried.target_rows() != found.target_rows()
    assert picture_if(found, WhatIf()) is found


def test_a_change_is_trimmed_to_what_is_not_so_already() -> None:
    found = picture((HUT, TRAM._replace(refused=((PLATE, BRICK),))), {})
    same = WhatIf().with_ranks({"T-01": 1}).with_parked("T-02", False).with_policy(Policy.COMPLETE)
    same = same.with_stand_in("T-02", PLATE, BRICK, False).with_ranks({"T-99": 5})
    assert not same.is_empty
    assert trimmed(found, same).is_empty
    more = same.with_ranks({"T-01": 5}).with_stand_in("T-02", PLATE, BRICK, True)
    assert trimmed(found, more) == WhatIf({"T-01": 5}, {}, (("T-02", PLATE, BRICK, False),), None)


def test_the_last_word_on_a_stand_in_counts() -> None:
    what_if = WhatIf().with_stand_in("T-02", PLATE, BRICK, False).with_stand_in("T-02", PLATE, BRICK, True)
    assert what_if.refused == (("T-02", PLATE, BRICK, False),)
    assert what_if.codes == ("T-02",)


@pytest.mark.parametrize(
    ("what_if", "words"),
    [
        (WhatIf().with_ranks({"T-99": 1}), "No target has the code 'T-99'"),
        (WhatIf().with_parked("T-99", True), "No target has the code 'T-99'"),
        (WhatIf().with_ranks({"T-01": 0}), "There is no rank 0"),
        (WhatIf().with_stand_in("T-01", TILE, BRICK, False), "does not ask for tile-2x2"),
        (WhatIf().with_stand_in("T-01", PLATE, BRICK, False), "does not stand in for plate-2x4"),
        (WhatIf().with_stand_in("T-01", PLATE, BRICK, True), "does not stand in for plate-2x4"),
    ],
)
def test_what_cannot_be_is_refused(what_if: WhatIf, words: str) -> None:
    with pytest.raises(DataError, match=words):
        checked(picture((HUT, TRAM), {}), what_if)


def test_a_refusal_that_no_rule_needs_any_more_can_be_taken_off() -> None:
    old = HUT._replace(refused=((PLATE, LATE),))
    found = picture((old,), {}, swaps=[Swap(SwapOf.PART, "plate-2x4", "brick-2x4")])
    assert checked(found, WhatIf().with_stand_in("T-01", PLATE, LATE, True)).refused == (("T-01", PLATE, LATE, False),)


@pytest.fixture
def bench(tmp_path: Path) -> Bench:
    bench = Bench.open(make_folder(tmp_path / "b"))
    add_target(bench, Target("T-04", "Bell Foundry", 1990, 4, (Line(PLATE, 2, stand_ins=(StandIn(BRICK),)),)))
    counted(bench, "plate 2x4 red *5")
    counted(bench, "brick 2x4 red *5")
    return bench


CHANGE = (
    WhatIf()
    .with_ranks({"T-04": 1, "T-01": 2})
    .with_parked("T-02", True)
    .with_stand_in("T-04", PLATE, BRICK, False)
    .with_policy(Policy.SHOWPIECE)
)


def test_looking_writes_nothing(bench: Bench) -> None:
    with bench:
        before = shown(bench)
        file = bench.folder.documents.path.read_bytes()
        logs = [path.read_bytes() for path in sorted(bench.folder.tallies.iterdir())]
        outlook = Outlook(bench, CHANGE)
        assert any(effect.changed for effect in outlook.effects())
        outlook.targets(), outlook.spares(), [outlook.lines(row.code) for row in outlook.targets()]
        assert bench.folder.documents.path.read_bytes() == file
        assert [path.read_bytes() for path in sorted(bench.folder.tallies.iterdir())] == logs
        assert shown(bench) == before


def test_what_is_kept_is_what_was_shown_in_one_edit(bench: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    with bench:
        told = Outlook(bench, CHANGE)
        after = [(effect.code, effect.after) for effect in told.effects()]
        edits = []
        edit = bench.folder.documents.edit

        def noted(patience_s: float = 1.0) -> AbstractContextManager[Draft]:
            edits.append(1)
            return edit(patience_s)

        monkeypatch.setattr(bench.folder.documents, "edit", noted)
        notice = keep(bench, CHANGE)
        assert edits == [1]
        assert "Peat Tramway is parked" in notice.text
        assert "policy showpiece" in notice.text
        assert [(effect.code, effect.before) for effect in Outlook(bench, WhatIf()).effects()] == after
        assert "nothing to keep" in keep(bench, CHANGE).text
        assert edits == [1]
    with Bench.open(bench.path) as again:
        assert [(effect.code, effect.before) for effect in Outlook(again, WhatIf()).effects()] == after
        assert again.policy is Policy.SHOWPIECE
        assert again.documents.targets["T-04"].refused == ((PLATE, BRICK),)


def test_keeping_all_or_nothing(bench: Bench) -> None:
    with bench:
        file = bench.folder.documents.path.read_bytes()
        with pytest.raises(DataError, match="T-99"):
            keep(bench, CHANGE.with_ranks({"T-99": 1}))
        with Bench.open(bench.path) as other, other.folder.documents.edit() as draft:
            del draft.targets["T-02"]
        changed = bench.folder.documents.path.read_bytes()
        assert changed != file
        with pytest.raises(DataError, match="meanwhile"):
            keep(bench, CHANGE)
        assert bench.folder.documents.path.read_bytes() == changed


def test_what_was_written_up_by_hand_takes_part_and_is_not_kept_twice(bench: Bench) -> None:
    with bench:
        bench.write_up("T-03")
        bench.enter("plate 2x4 red *2")
        bench.write_up("")
        change = WhatIf().with_ranks({"T-03": 1}).with_ranks({"T-01": 4})
        assert Outlook(bench, change).effects()[0].after.present == 2
        keep(bench, change)
        assert bench.picture.fill["T-03"].need == 2
        assert bench.documents.targets["T-03"].lines == ()
