"""Rectangles as they are written and as they lie on cells; what a start does without; paths as terminals write them."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sortbench.bench import Bench
from sortbench.desks.photo_desk import PhotoDesk
from sortbench.engine.condition.photo_areas import cells, parse_area
from sortbench.engine.condition.photo_board import area_between, cell_marks, cell_size, rim
from sortbench.model.errors import DataError
from sortbench.model.photo import Area, Marks, Preview
from tests.synthetic_photo import Scene

SIZE = (4000, 3000)


def preview(columns: int, colours: int) -> Preview:
    return (("808080",) * columns,) * colours


@settings(max_examples=200, deadline=None)
@given(
    st.tuples(st.integers(1, 120), st.integers(1, 90)),
    st.tuples(st.integers(0, 119), st.integers(0, 44)),
    st.tuples(st.integers(0, 119), st.integers(0, 44)),
    st.tuples(st.integers(200, 9000), st.integers(200, 9000)),
)
def test_what_is_marked_between_two_cells_lies_on_just_these_cells(
    shape: tuple[int, int], one: tuple[int, int], other: tuple[int, int], size: tuple[int, int]
) -> None:
    small = preview(*shape)
    across, down = cell_size(small)
    one, other = ((min(x, across - 1), min(y, down - 1)) for x, y in (one, other))
    area = area_between(one, other, size, small)
    assert area.left >= 0 and area.top >= 0 and area.right <= size[0] and area.bottom <= size[1]
    [mark] = cell_marks(Marks(card=area), size, small)
    assert (mark.left, mark.right) == (min(one[0], other[0]), max(one[0], other[0]))
    assert (mark.top, mark.bottom) == (min(one[1], other[1]), max(one[1], other[1]))
    assert set(rim(mark)) <= {(x, y) for x in range(across) for y in range(down)}


def test_neighbouring_cells_share_no_pixel_and_leave_none_out() -> None:
    small = preview(7, 9)
    columns = [area_between((x, 0), (x, 0), SIZE, small) for x in range(7)]
    lines = [area_between((0, y), (0, y), SIZE, small) for y in range(5)]
    assert [each.left for each in columns[1:]] == [each.right for each in columns[:-1]]
    assert [each.top for each in lines[1:]] == [each.bottom for each in lines[:-1]]
    assert (columns[0].left, columns[-1].right, lines[0].top, lines[-1].bottom) == (0, 4000, 0, 3000)


def test_a_number_of_two_digits_reads_as_one() -> None:
    marks = Marks(pieces=tuple(Area(100 * n, 0, 90, 90) for n in range(12)))
    last = cell_marks(marks, (1200, 100), preview(120, 20))[-1]
    assert [rim(last)[x, last.top] for x in range(last.left, last.left + 3)] == ["1", "2", "·"]


@pytest.mark.parametrize(
    ("text", "area"),
    [
        ("10,20,30,40", Area(10, 20, 30, 40)),
        (" 10%, 10% ,5%,50% ", Area(400, 300, 200, 1500)),
        ("50%,0,50%,100%", Area(2000, 0, 2000, 3000)),
        ("0.5%,10,12.5%,40", Area(20, 10, 500, 40)),
    ],
)
def test_rectangles_are_pixels_or_percent(text: str, area: Area) -> None:
    assert parse_area(text).on(*SIZE) == area


@pytest.mark.parametrize(
    "text", ["", "1,2,3", "1,2,3,4,5", "a,b,c,d", "-1,0,5,5", "1e3,0,5,5", "101%,0,5,5", "1;2;3;4"]
)
def test_what_is_no_rectangle_is_refused(text: str) -> None:
    with pytest.raises(DataError) as found:
        parse_area(text)
    assert "1200,340,200,160" in found.value.mend


def test_a_grid_looks_at_the_middle_of_each_cell_line_by_line() -> None:
    assert cells(Area(100, 200, 400, 100), 4, 1) == tuple(Area(125 + 100 * n, 225, 50, 50) for n in range(4))
    found = cells(Area(0, 0, 90, 61), 3, 2)
    assert [(each.left, each.top) for each in found][::3] == [(8, 8), (8, 38)]
    assert not any(one.overlaps(other) for at, one in enumerate(found) for other in found[:at])


@pytest.mark.parametrize("written", ["{}", " '{}' ", '"{}"', "{}\n"])
def test_a_path_may_be_typed_or_dropped(bench: Bench, tmp_path: Path, written: str) -> None:
    path = Scene("9ba19d", ("9ba19d",)).save(tmp_path, "white plates")
    desk = PhotoDesk(bench)
    assert "white plates.png" in desk.open(written.format(path)).text
    assert "white plates.png" in desk.open(str(path).replace(" ", "\\ ")).text
    with pytest.raises(DataError, match="No picture was named"):
        desk.open("  ")


def test_another_picture_lets_the_marks_of_the_one_before_go(bench: Bench, tmp_path: Path) -> None:
    scene = Scene("9ba19d", ("9ba19d",))
    desk = PhotoDesk(bench)
    desk.open(str(scene.save(tmp_path, "one")))
    desk.marks = scene.marks
    assert [row.grade for row in desk.view(40, 20).rows] == ["5"]
    desk.open(str(scene.save(tmp_path, "two")))
    assert desk.view(40, 20).rows == () and "card" in desk.view(40, 20).missing


def test_before_a_picture_is_in_hand_cautions_are_told(bench: Bench) -> None:
    view = PhotoDesk(bench).view(40, 20)
    assert any("UV lamps" in caution for caution in view.cautions)


def test_a_start_loads_nothing_that_photographs_need(bench_folder: Path) -> None:
    code = f"""
import sys
from pathlib import Path
from sortbench.bench import Bench
import sortbench.tui.app
bench = Bench.open(Path({str(bench_folder)!r}))
bench.target_rows(), bench.bin_rows(), bench.recent(9), bench.enter("plate 2x4 red")
print(*(name for name in sys.modules if name.startswith(("sortbench", "PIL"))))
"""
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    loaded = set(done.stdout.split())
    assert "sortbench.tui.photo_commands" in loaded
    spared = ("PIL", "photo_desk", "engine.photo", "model.photo", "store.photo", "engine.patches", "engine.judging")
    assert not [name for name in loaded if name.removeprefix("sortbench.").startswith(spared)]
