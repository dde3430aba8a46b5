"""From a bench with nothing on it to the first counted piece: a list, a manual, nothing; and to the demo."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from sortbench.bench import Bench
from sortbench.desks.lists_desk import path_of
from sortbench.model.catalogue import Kind
from sortbench.tui.app import DEMO_INSTEAD, SortbenchApp
from sortbench.tui.screens.bench import BenchScreen
from sortbench.tui.screens.welcome import WelcomeScreen
from tests.tui.golden import assert_golden
from tests.tui.looking import enter, line_with, press, text

FOREIGN = "Teil;Farbe;Anzahl\nplatte 2x4;rot;3\nstein 2x2;blau;10\n"


@pytest.fixture
def bare(tmp_path: Path) -> Iterator[Bench]:
    """Nothing on it."""
    with Bench.create(tmp_path / "bench") as bench:
        yield bench


@pytest.fixture
def app(bare: Bench) -> SortbenchApp:
    """The app on it."""
    return SortbenchApp(lambda: bare)


@pytest.mark.parametrize("size", [(80, 24), (120, 36)], ids=lambda size: f"{size[0]}x{size[1]}")
async def test_a_bench_with_nothing_on_it_asks_what_there_is(app: SortbenchApp, size: tuple[int, int]) -> None:
    async with app.run_test(size=size) as pilot:
        await pilot.pause()
        assert isinstance(app.screen, WelcomeScreen)
        assert_golden(app, f"welcome-{size[0]}x{size[1]}")
        await press(pilot, "escape")
        assert isinstance(app.screen, BenchScreen)
        assert "F3, then a" in " ".join(text(app).split())
        await press(pilot, "f3", "a")
        assert isinstance(app.screen, WelcomeScreen)


async def test_a_list_in_a_file_is_shown_before_it_is_brought_in(
    app: SortbenchApp, bare: Bench, tmp_path: Path
) -> None:
    (tmp_path / "orchard gate.csv").write_text(FOREIGN + "stein 2x2;blau;0\n")
    async with app.run_test(size=(100, 30)) as pilot:
        await pilot.pause()
        await enter(pilot, f"1'{tmp_path}/orchard gate.csv'")
        assert "Anzahl" in line_with(app, "quantity")
        assert "line 4 is left out" in text(app)
        assert bare.documents.targets == {}, "nothing is written yet"
        await press(pilot, "n")
        assert "left as it was" in text(app) and bare.documents.targets == {}
        await press(pilot, "escape")
        await enter(pilot, f"1{tmp_path}/orchard gate.csv")
        await press(pilot, "y")
        assert isinstance(app.screen, BenchScreen)
        (target,) = bare.documents.targets.values()
        assert [line.quantity for line in target.lines] == [3, 10]
        assert "1 row was left out" in text(app)
        await enter(pilot, "platte 2x4 rot")
        assert bare.picture.ledger.pieces == 1
        assert app.screen.place == "typing"


@pytest.mark.parametrize(
    ("typed", "said"), [("none.csv", "There is no file"), ("bad.csv", "no column that could be its")]
)
async def test_a_file_that_is_none_is_told_and_the_line_stays(
    app: SortbenchApp, bare: Bench, tmp_path: Path, typed: str, said: str
) -> None:
    (tmp_path / "bad.csv").write_text("a,b\n1,2\n")
    async with app.run_test(size=(100, 30)) as pilot:
        await pilot.pause()
        await enter(pilot, f"1{tmp_path}/{typed}")
        assert said in " ".join(text(app).split())
        assert typed in line_with(app, "file: ")
        assert bare.documents.targets == {}


async def test_a_manual_is_written_up_at_once(app: SortbenchApp, bare: Bench) -> None:
    async with app.run_test(size=(100, 30)) as pilot:
        await pilot.pause()
        await enter(pilot, "2T-12")
        assert "needs a code and a name" in text(app)
        await enter(pilot, " Orchard Gate 1991")
        assert isinstance(app.screen, BenchScreen)
        await enter(pilot, "+red plate 2x4 *3")
        await enter(pilot, ".")
        await enter(pilot, "red pl 2x4")
        target = bare.documents.targets["T-12"]
        assert target.year == 1991
        (kind,) = bare.picture.ledger.written("T-12")
        assert kind.shade == "red" and bare.picture.ledger.written("T-12")[kind] == 3
        assert bare.picture.ledger.of_kind(kind) and bare.picture.ledger.pieces == 1


async def test_with_nothing_but_the_pile_words_are_learnt(app: SortbenchApp, bare: Bench) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        await press(pilot, "3")
        await enter(pilot, "+yellow arch 1x6x2")
        assert bare.picture.ledger.pieces == 1
        (kind,) = bare.picture.ledger.kinds
        assert isinstance(kind, Kind) and kind.shade == "yellow"


async def test_the_demo_is_opened_in_place_of_the_bench(app: SortbenchApp, bare: Bench) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        await press(pilot, "d")
    assert app.return_code == DEMO_INSTEAD
    assert bare.is_bare


def test_a_file_may_be_named_as_terminals_write_it(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("HOME", str(tmp_path))
    for typed in ("'a b.csv'", '"a b.csv"', r"a\ b.csv", " a b.csv "):
        assert path_of(typed) == Path("a b.csv")
    assert path_of("~/lists/a.csv") == tmp_path / "lists" / "a.csv"


async def test_the_start_of_a_name_is_enough(app: SortbenchApp, tmp_path: Path) -> None:
    (tmp_path / "Glass house.CSV").write_text(FOREIGN)
    (tmp_path / "glass.jpg").write_bytes(b"no list")
    (tmp_path / "glasses").mkdir()
    async with app.run_test(size=(100, 30)) as pilot:
        await pilot.pause()
        await enter(pilot, f"1{tmp_path}/gl")
        assert "Glass house.CSV, 2 rows" in text(app)
        assert "y does it" in text(app)


async def test_a_start_that_several_lists_have_names_them(app: SortbenchApp, bare: Bench, tmp_path: Path) -> None:
    for number in range(6):
        (tmp_path / f"set {number}.csv").write_text(FOREIGN)
    async with app.run_test(size=(100, 30)) as pilot:
        await pilot.pause()
        await enter(pilot, f"1{tmp_path}/set")
        said = " ".join(text(app).split())
        assert "Several lists begin so: set 0.csv, set 1.csv, set 2.csv, set 3.csv, …. Type more of the name." in said
        assert "/set" in line_with(app, "file: ")
        await enter(pilot, " 4.csv")
        assert "set 4.csv, 2 rows" in text(app)
    assert bare.documents.targets == {}


async def test_nothing_but_a_folder_means_no_file(app: SortbenchApp, tmp_path: Path) -> None:
    (tmp_path / "list.csv").write_text(FOREIGN)
    async with app.run_test(size=(100, 30)) as pilot:
        await pilot.pause()
        await enter(pilot, f"1{tmp_path}/")
        assert "There is no file" in text(app)
