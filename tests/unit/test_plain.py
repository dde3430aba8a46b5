"""The line mode: entries and commands by words, one line in and whole sentences out."""

from __future__ import annotations

import io
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from sortbench.bench import Bench
from sortbench.cli.plain import AT_MOST, WORDS, PlainMode
from sortbench.model.catalogue import Kind
from sortbench.model.errors import DataError, WriteError
from sortbench.model.target import Line, Target
from sortbench.store.tally_log import SittingLog

Say = Callable[..., list[str]]


@pytest.fixture
def mode(bench: Bench) -> PlainMode:
    return PlainMode(bench, person=True)


@pytest.fixture
def say(mode: PlainMode) -> Say:
    """Says lines one after another; what was answered to the last."""

    def said(*lines: str) -> list[str]:
        return [list(mode.answer(line)) for line in lines][-1]

    return said


class TestEntries:
    def test_a_receipt_is_one_line_that_says_where_and_for_whom(self, say: Say, bench: Bench) -> None:
        assert say("plate 2x4 red *4") == [
            "Counted 4 plate 2x4, red, into B1. Signal Hut line 1 gets 3. Peat Tramway line 2 gets 1. 4 in all."
        ]
        assert say("plate 2x4 red *2 !3 #crack")[0].startswith(
            "Counted 2 plate 2x4, red, grade 3, cracked, into FLAWED."
        )

    def test_what_overflows_and_what_is_complete_is_said(self, say: Say) -> None:
        assert "B1 overflows" in say("plate 2x4 red *6")[0]
        assert "Signal Hut is complete" in say("brick 2x4 red *2")[0]

    def test_enter_alone_counts_the_same_again_for_a_person_only(self, say: Say, bench: Bench) -> None:
        say("plate 2x4 red", "")
        assert bench.picture.ledger.pieces == 2
        assert list(PlainMode(bench, person=False).answer("\n")) == []
        assert bench.picture.ledger.pieces == 2

    def test_the_entry_line_has_its_whole_grammar(self, say: Say, bench: Bench) -> None:
        say(".red", "plate 2x4 @b2", "*3", "!2", "@B1", "brick 2x4", ".", "+hinge plate 1x2 white *2")
        assert bench.picture.ledger.pieces == 1 + 3 + 1 + 1 + 2
        assert bench.recent(2)[1].bin == "B1"

    def test_a_scanned_label_and_what_it_holds(self, say: Say) -> None:
        assert say("@b2") == ["Held: grade 5; bin B2."]
        assert say("held") == ["Held: grade 5, bin B2."]

    def test_what_is_refused_counts_nothing(self, say: Say, bench: Bench) -> None:
        for line in ("zzzz", "plate 2x4 red *0", "@B99", "", "12", "x" * 2000, "plate 2x4 red !9", "\x1b[2J", "[/]"):
            with pytest.raises(DataError):
                say(line)
        assert bench.picture.ledger.pieces == 0


class TestQuestions:
    def test_where_two_pieces_match_alike_a_number_says_which(self, say: Say, bench: Bench) -> None:
        asked = say("plate white *3")
        assert asked[0].startswith("It could be several pieces.") and bench.picture.ledger.pieces == 0
        assert asked[1:3] == ["1: plate 1x2, white, bin REST.", "2: plate 2x4, white, bin REST."]
        assert say("2")[0].startswith("Counted 3 plate 2x4, white, into REST.")

    def test_any_other_line_lets_the_question_go_and_says_so(self, say: Say, mode: PlainMode, bench: Bench) -> None:
        answers = say("plate white", "plate 2x4 red")
        assert answers[0] == "Not counted: plate white." and answers[1].startswith("Counted 1 plate")
        assert (mode.refused, bench.picture.ledger.pieces) == (1, 1)

    def test_a_number_that_is_not_there_asks_again(self, say: Say, bench: Bench) -> None:
        say("plate white")
        with pytest.raises(DataError, match="no number 77"):
            say("77")
        say("1")
        assert bench.picture.ledger.pieces == 1

    def test_find_counts_nothing_until_a_number_is_said(self, say: Say, mode: PlainMode, bench: Bench) -> None:
        assert len(say("find plate")) > 2
        assert say("held") and mode.refused == 0 and bench.picture.ledger.pieces == 0
        with pytest.raises(DataError, match="A number alone names no piece"):
            say("1")


class TestCommands:
    def test_what_is_still_missing_for_a_target_by_code_or_start_of_its_name(self, say: Say) -> None:
        say("plate 2x4 red")
        told = [
            "T-01 Signal Hut: 4 of 5 missing, 1 to standard, 0 of 2 lines complete.",
            "Line 1: 2 of 3 plate 2x4, red missing.",
            "Line 2: 2 of 2 brick 2x4, red missing.",
        ]
        assert say("missing T-01") == say("missing sig") == say("MISSING signal hut all") == told
        assert len(say("missing")) == 2
        for wrong, why in (("missing zz", "No target"), ("missing all x", "No target")):
            with pytest.raises(DataError, match=why):
                say(wrong)

    def test_a_name_that_several_begin_with_is_asked_for_again(self, say: Say, bench: Bench) -> None:
        bench.add_target(Target("T-09", "Signal House"))
        with pytest.raises(DataError, match="Could be T-01 or T-09"):
            say("missing signal")

    def test_a_long_answer_is_cut_unless_all_is_asked_for(self, say: Say, bench: Bench) -> None:
        lines = tuple(Line(Kind("brick-2x4", shade), 1 + n) for n in range(15) for shade in ("red", "white"))
        bench.add_target(Target("T-30", "Long", 1990, 1, lines))
        cut, everything = say("missing T-30"), say("missing T-30 all")
        assert len(cut) == AT_MOST + 2 and cut[-1] == f"And {30 - AT_MOST} more; say all at the end for every one."
        assert len(everything) == 31 and everything[: AT_MOST + 1] == cut[:-1]

    def test_targets_and_bins(self, say: Say) -> None:
        say("plate 2x4 red *6")
        assert say("targets")[2] == "T-03 Glasshouse: no list yet."
        assert "B1: 6 of 5 pieces, overflows. Takes red; plate." in say("bins")
        assert say("bins b1")[:2] == ["B1: 6 of 5 pieces, overflows. Takes red; plate.", "6 plate 2x4, red."]
        with pytest.raises(DataError, match="No bin"):
            say("bins B99")

    def test_undo_redo_wash_and_discard(self, say: Say, bench: Bench) -> None:
        say("plate 2x4 red *3", "undo")
        assert bench.picture.ledger.pieces == 0
        say("redo")
        assert bench.picture.ledger.pieces == 3
        assert say("wash")[0].startswith("Set aside for the wash: 1 plate 2x4, red.")
        assert say("discard")[0].startswith("Discarded: 1 plate 2x4, red.")

    def test_records_are_voided_and_put_right_by_their_number(self, say: Say, bench: Bench) -> None:
        say("plate 2x4 red *3", "brick 2x4 red *2")
        assert say("last") == ["1: 2 × brick 2x4 red.", "2: 3 × plate 2x4 red."]
        say("void 2", "correct 1 *4 !3")
        assert bench.picture.ledger.pieces == 4
        assert say("last 3")[-1].endswith(", void.")
        for wrong in ("void", "void 9", "void 1 2", "correct 1", "correct x *4", "last 0", "last x"):
            with pytest.raises(DataError):
                say(wrong)

    def test_a_list_is_written_up(self, say: Say, bench: Bench) -> None:
        say("list glass", "tile 2x2 white *2")
        assert [(line.name, line.need) for line in bench.line_rows("T-03")] == [("tile 2x2", 2)]
        assert "Counting into bins again" in say("list")[0]

    def test_a_bench_with_nothing_on_it_begins_with_a_word(self, tmp_path: Path) -> None:
        with Bench.create(tmp_path / "new") as bench:
            mode = PlainMode(bench, person=True)
            assert "the word begin" in refusal(mode, "+red plate 2x4")
            told = [list(mode.answer(line)) for line in ("begin", "+red plate 2x4 *2", "begin T-12 Orchard Gate 1991")]
            assert told[1][0].startswith("Counted 2 plate 2x4, red")
            assert bench.target_name == "Orchard Gate" and told[2][0].startswith("Writing up Orchard Gate")

    def test_a_word_that_takes_nothing_says_so_when_something_follows(self, say: Say, bench: Bench) -> None:
        say("plate 2x4 red")
        with pytest.raises(DataError, match="begin with another of its words"):
            say("undo plate 2x4")
        assert bench.picture.ledger.pieces == 1

    def test_help_tells_every_command_and_the_grammar(self, say: Say) -> None:
        told = "\n".join(say("help"))
        assert all(f"\n{name}" in told for name in WORDS) and "pl24 *12: twelve pieces" in told
        for name in WORDS:
            assert say(f"help {name}")[0].startswith(name)

    def test_no_command_raises_what_it_should_not(self, say: Say) -> None:
        for name in WORDS:
            for rest in ("", " zz", " 1", " all", " [/]", " " + "9" * 50, " \x1b[0m"):
                try:
                    say(name + rest)
                except DataError:
                    continue


def refusal(mode: PlainMode, line: str) -> str:
    """Why a line is refused."""
    with pytest.raises(DataError) as refused:
        list(mode.answer(line))
    return str(refused.value)


def plain(folder: Path, text: str, *args: str) -> subprocess.CompletedProcess[str]:
    """The line mode in a pipe."""
    command = [sys.executable, "-m", "sortbench", "--bench", str(folder), "--plain", *args]
    return subprocess.run(command, input=text, capture_output=True, text=True, encoding="utf-8")


class TestInAPipe:
    def test_answers_stand_on_standard_output_and_nothing_else(self, bench_folder: Path) -> None:
        done = plain(bench_folder, "plate 2x4 red *3\n\nbins B1\nundo\n")
        assert (done.returncode, done.stderr) == (0, "")
        assert [line[:9] for line in done.stdout.splitlines()] == ["Counted 3", "B1: 3 of ", "3 plate 2", "Undone: 3"]
        assert done.stdout.replace("\n", "").isprintable()

    def test_a_refused_entry_is_told_in_its_place_and_the_exit_code_is_1(self, bench_folder: Path) -> None:
        done = plain(bench_folder, "zzzz\nplate 2x4 red\n")
        assert done.returncode == 1
        assert [line[:7] for line in done.stdout.splitlines()] == ["Refused", "Counted"]
        with Bench.open(bench_folder) as bench:
            assert bench.picture.ledger.pieces == 1

    def test_an_entry_whose_question_nobody_answers_is_told(self, bench_folder: Path) -> None:
        done = plain(bench_folder, "plate white")
        assert done.returncode == 1 and done.stdout.splitlines()[-1] == "Not counted: plate white."

    def test_quit_ends_it_and_the_rest_is_not_read(self, bench_folder: Path) -> None:
        assert plain(bench_folder, "quit\nplate 2x4 red\n").stdout == ""

    def test_names_cannot_command_a_terminal(self, bench_folder: Path) -> None:
        done = plain(bench_folder, "\x1b[2J\x07\x9b0m\n+\x1b]0;x\x07 plate 1x9 red\n")
        assert not set(done.stdout) & {"\x1b", "\x07", "\x9b"}

    def test_no_bench_and_a_command_beside_it_are_wrong_usage(self, tmp_path: Path, bench_folder: Path) -> None:
        done = plain(tmp_path, "")
        assert done.returncode == 2 and "No bench lies in" in done.stderr
        assert plain(bench_folder, "", "bins").returncode == 2

    def test_what_the_disk_refuses_ends_a_pipe_and_not_a_person(
        self, bench_folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
    ) -> None:
        from sortbench.cli.plain import run_plain

        def full(*_: object) -> None:
            raise WriteError("The disk is full.", "Make room.")

        class Typed(io.StringIO):
            def isatty(self) -> bool:
                return True

        monkeypatch.setattr(SittingLog, "append", full)
        monkeypatch.setattr("sys.stdin", io.StringIO("plate 2x4 red\nbins\n"))
        with pytest.raises(WriteError):
            run_plain(bench_folder)
        monkeypatch.setattr("sys.stdin", Typed("plate 2x4 red\nbins B1\n"))
        assert run_plain(bench_folder) == 0
        told = capsys.readouterr().out
        assert "Not done: The disk is full. Make room." in told and "B1: 0 of 5 pieces" in told
