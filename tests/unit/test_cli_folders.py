"""Commands that make, hand on, read back and mend: new, add, export, import counts, check, demo."""

from __future__ import annotations

from pathlib import Path

import frictionless
import pytest

from sortbench.bench import Bench
from tests.unit.cli_bench import OPENED, call, make_bench, rows


@pytest.fixture
def bench(tmp_path: Path) -> Path:
    folder = make_bench(tmp_path / "b")
    call("--bench", folder, "tally", "plate 2x4 white *14 !4", "brick 2x4 grey late #crack *2", "bell grey late")
    return folder


def heaps(bench: Path) -> list[dict[str, object]]:
    return rows(call("--bench", bench, "counts", "--json"), "counts")


class TestNew:
    def test_makes_a_bench_and_names_it(self, tmp_path: Path) -> None:
        result = call("new", tmp_path / "a" / "b")
        assert result.exit_code == 0
        assert result.stdout.strip() == str((tmp_path / "a" / "b").resolve())
        assert call("--bench", tmp_path / "a" / "b", "check").exit_code == 0

    def test_never_into_a_folder_with_other_things(self, tmp_path: Path) -> None:
        (tmp_path / "notes.txt").write_text("mine")
        result = call("new", tmp_path)
        assert result.exit_code == 2
        assert "notes.txt" in result.stderr
        assert [path.name for path in tmp_path.iterdir()] == ["notes.txt"]


class TestAdd:
    def test_all_four(self, tmp_path: Path) -> None:
        folder = tmp_path / "b"
        call("new", folder)
        for args in (
            ["part", "reed", "reed leaf", "--family", "plant", "--mass", "0.4", "--alias", "leaf", "--care", "foliage"],
            ["shade", "green", "--rgb", "#2F7A3C", "--first-year", "1970", "--last-year", "1999"],
            ["target", "T-05", "Signal Hut", "--year", "1991"],
            ["bin", "REST"],
            ["bin", "B1", "--shade", "green", "--lowest", "4", "--holds", "50"],
        ):
            result = call("--bench", folder, "add", *args)
            assert result.exit_code == 0, result.stderr
        with Bench.open(folder) as bench:
            assert bench.catalogue.parts["reed"].mass_g == 0.4
            assert bench.catalogue.shades["green"].rgb == "2f7a3c"
            assert bench.documents.targets["T-05"].year == 1991
            assert [each.label for each in bench.documents.bins] == ["B1", "REST"], "the catch-all stays last"
        assert call("--bench", folder, "tally", "leaf green").stdout.startswith("1 × reed leaf, green -> B1")

    @pytest.mark.parametrize(
        "args",
        [
            ["shade", "x", "--rgb", "12345"],
            ["shade", "white", "--rgb", "123456"],
            ["part", "p", "p", "--mass", "-1"],
            ["part", "plate-2x4", "another"],
            ["part", "p", "a\x1bb"],
            ["bin", "b1"],
            ["bin", "ALL"],
            ["bin", "X", "--lowest", "9"],
            ["bin", "X", "--shade", "white", "--holds", "0"],
            ["target", "T-03", "another"],
            ["part", "p", "p", "--first-year", "2000", "--last-year", "1990"],
        ],
        ids=" ".join,
    )
    def test_refused_with_a_reason(self, bench: Path, args: list[str]) -> None:
        before = (bench / "bench.json").read_bytes()
        result = call("--bench", bench, "add", *args)
        assert result.exit_code == 1
        assert result.stderr.startswith("sortbench: ")
        assert (bench / "bench.json").read_bytes() == before

    def test_the_same_again_changes_nothing(self, bench: Path) -> None:
        args = ("--bench", bench, "add", "shade", "teal", "--rgb", "008080")
        assert call(*args).exit_code == 0
        assert call(*args).exit_code == 0


def test_a_bin_for_what_is_not_known_yet_is_put_up_with_a_note(bench: Path) -> None:
    result = call("--bench", bench, "add", "bin", "B9", "--shade", "whte", "--family", "arch", "--part", "plate-2x4")
    assert result.exit_code == 0, result.stderr
    assert "No shade 'whte' is known yet. Did you mean 'white'?" in result.stderr
    assert result.stderr.count("Note:") == 1


def test_a_part_of_a_family_that_is_new_is_added_with_a_note(bench: Path) -> None:
    result = call("--bench", bench, "add", "part", "arch-1x8", "arch 1x8", "--family", "arhc")
    assert result.exit_code == 0, result.stderr
    assert "No shape family 'arhc' is known yet. Did you mean 'arch'?" in result.stderr


class TestExport:
    def test_valid_by_the_standard(self, bench: Path, tmp_path: Path) -> None:
        result = call("--bench", bench, "export", tmp_path / "out")
        assert result.exit_code == 0, result.stderr
        report = frictionless.validate(result.stdout.strip())
        assert report.valid, report.flatten(["title", "message"])
        assert "17 pieces" in result.stderr

    def test_other_things_stay_unless_told(self, bench: Path, tmp_path: Path) -> None:
        (tmp_path / "out").mkdir()
        (tmp_path / "out" / "counts.csv").write_text("mine")
        result = call("--bench", bench, "export", tmp_path / "out")
        assert result.exit_code == 2
        assert "--overwrite" in result.stderr
        assert (tmp_path / "out" / "counts.csv").read_text() == "mine"
        assert call("--bench", bench, "export", tmp_path / "out", "--overwrite").exit_code == 0
        assert call("--bench", bench, "export", tmp_path / "out").exit_code == 0


class TestImportCounts:
    @pytest.fixture
    def sheet(self, bench: Path, tmp_path: Path) -> Path:
        call("--bench", bench, "export", tmp_path / "out")
        return tmp_path / "out"

    @pytest.fixture
    def other(self, tmp_path: Path) -> Path:
        call("new", tmp_path / "other")
        return tmp_path / "other"

    def test_counts_in_are_counts_out(self, bench: Path, sheet: Path, other: Path, tmp_path: Path) -> None:
        result = call("--bench", other, "import", "counts", sheet, "--yes")
        assert result.exit_code == 0, result.stderr
        assert heaps(other) == sorted(heaps(bench), key=lambda row: str(row["bin"]))
        call("--bench", other, "export", tmp_path / "again")
        one, two = (sorted((folder / "counts.csv").read_text().splitlines()) for folder in (sheet, tmp_path / "again"))
        assert one == two

    def test_again_adds_nothing(self, sheet: Path, other: Path) -> None:
        call("--bench", other, "import", "counts", sheet, "--yes")
        before = heaps(other)
        result = call("--bench", other, "import", "counts", sheet, "--yes")
        assert result.exit_code == 0
        assert "17 pieces of this sheet are counted here already" in result.stderr
        assert heaps(other) == before

    def test_what_was_cut_short_is_made_up(self, bench: Path, sheet: Path, other: Path) -> None:
        from sortbench.desks.sheet_intake import preview_sheet, take_in

        class CutError(Exception):
            pass

        def cut(done: int, _: int) -> None:
            if done >= 2:
                raise CutError

        with Bench.open(other) as opened, pytest.raises(CutError):
            take_in(opened, preview_sheet(opened, sheet), cut)
        assert 0 < sum(int(str(row["quantity"])) for row in heaps(other)) < 17
        assert call("--bench", other, "import", "counts", sheet, "--yes").exit_code == 0
        assert sum(int(str(row["quantity"])) for row in heaps(other)) == 17

    def test_not_into_the_bench_it_came_from(self, bench: Path, sheet: Path) -> None:
        before = heaps(bench)
        result = call("--bench", bench, "import", "counts", sheet, "--yes")
        assert result.exit_code == 1
        assert "was exported from this bench" in result.stderr
        assert heaps(bench) == before

    def test_off_a_terminal_nothing_is_written_without_yes(self, sheet: Path, other: Path) -> None:
        result = call("--bench", other, "import", "counts", sheet)
        assert result.exit_code == 1
        assert "--yes" in result.stderr
        assert heaps(other) == []

    def test_dry_run(self, sheet: Path, other: Path) -> None:
        result = call("--bench", other, "import", "counts", sheet, "--dry-run")
        assert result.exit_code == 0
        assert "17 pieces in 3 heaps" in result.stderr
        assert heaps(other) == []

    def test_changed_table(self, sheet: Path, other: Path) -> None:
        path = sheet / "counts.csv"
        path.write_bytes(path.read_bytes().replace(b",14,", b",15,"))
        assert call("--bench", other, "import", "counts", sheet, "--yes").exit_code == 1
        assert call("--bench", other, "import", "counts", sheet, "--yes", "--changed").exit_code == 0
        assert sum(int(str(row["quantity"])) for row in heaps(other)) == 18

    def test_no_sheet(self, other: Path, tmp_path: Path) -> None:
        assert call("--bench", other, "import", "counts", tmp_path / "none").exit_code == 1


class TestCheck:
    def test_sound(self, bench: Path) -> None:
        result = call("--bench", bench, "check")
        assert result.exit_code == 0
        assert "sound" in result.stderr
        assert rows(call("--bench", bench, "check", "--json"), "findings") == []

    def test_damage_is_named_and_mended(self, bench: Path) -> None:
        (log,) = (bench / "tallies").glob("*.jsonl")
        lines = log.read_bytes().splitlines(keepends=True)
        lines[1] = lines[1].replace(b"1", b"7", 1)
        log.write_bytes(b"".join(lines))
        refused = call("--bench", bench, "counts")
        assert refused.exit_code == 3
        assert "check --repair" in refused.stderr
        found = call("--bench", bench, "check")
        assert found.exit_code == 3
        assert f"{log.name}, line 2" in found.stdout
        mended = call("--bench", bench, "check", "--repair")
        assert mended.exit_code == 0, mended.stdout
        assert [row["part"] for row in heaps(bench)] == ["bell", "brick-2x4"]

    def test_what_a_crash_left_is_told_but_is_no_damage(self, bench: Path) -> None:
        (log,) = (bench / "tallies").glob("*.jsonl")
        (bench / "tallies" / f".{log.stem}.lock").touch()
        found = call("--bench", bench, "check")
        assert found.exit_code == 0
        assert "trace:" in found.stdout
        assert "do no harm" in found.stderr
        assert call("--bench", bench, "check", "--repair").exit_code == 0
        assert "The bench is sound." in call("--bench", bench, "check").stderr

    def test_bench_that_lost_its_documents_is_still_looked_at(self, bench: Path) -> None:
        (bench / "bench.json").unlink()
        assert call("--bench", bench, "check").exit_code == 3


class TestDemo:
    def test_kept(self, tmp_path: Path) -> None:
        result = call("demo", "--keep", tmp_path / "demo")
        assert result.exit_code == 0, result.stderr
        assert str(tmp_path / "demo") in result.stderr
        assert OPENED == [], "there is no terminal"
        assert len(rows(call("--bench", tmp_path / "demo", "targets", "--json"), "targets")) == 6
        pile = rows(call("--bench", tmp_path / "demo", "pile", "--json"), "pile")[0]
        assert pile["counted"] == pile["quantity"] // 2

    def test_scratch_is_named_and_removed_at_the_end(self, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.setattr("sortbench.cli.demo.require_terminal", lambda: None)
        result = call("demo", "--play", "--speed", "600")
        assert result.exit_code == 0, result.stderr
        (scratch,) = OPENED
        assert str(scratch) in result.stderr
        assert not scratch.parent.exists()

    def test_scratch_needs_a_terminal(self) -> None:
        assert call("demo").exit_code == 2

    def test_player_counts_beside_an_open_bench(self, tmp_path: Path) -> None:
        from sortbench.demo_bench import Player

        call("demo", "--keep", tmp_path / "demo")
        with Bench.open(tmp_path / "demo") as bench:
            before = sum(bench.picture.ledger.counts.values())
            with Player(tmp_path / "demo", 60_000) as player:
                while not bench.refresh():
                    assert player.error is None
            bench.refresh()
            after = sum(bench.picture.ledger.counts.values())
        assert after > before
        assert sum(int(str(row["quantity"])) for row in heaps(tmp_path / "demo")) == after
