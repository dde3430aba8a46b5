"""The judge screen: a piece is held against swatches of the nine grades, or its colour reading is typed."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, ClassVar

from sortbench.desks.grade_desk import JudgeView
from sortbench.engine.board import Notice, Receipt
from sortbench.model.errors import SortbenchError
from sortbench.model.grade import Grade
from sortbench.tui.drawing import judge_rows as draw
from sortbench.tui.drawing.bench_rows import answer_rows
from sortbench.tui.keys import Place, Situation
from sortbench.tui.messages import Changed, Entered, Left, RowClicked
from sortbench.tui.screens.listing import ListScreen

if TYPE_CHECKING:
    from sortbench.desks.grade_desk import GradeDesk

_PROMPTS = {
    "=": ("unaged piece: ", "its reading; Enter alone takes the list value again, Esc leaves it"),
    "s": ("shade: ", "the start of its name; Enter shows its steps, Esc leaves it"),
}
_READING = ("reading: ", "#e8dcb0, lab 88.1 -1.2 14, or xyz 80.1 84.2 70.3; Enter judges it")


class JudgeScreen(ListScreen):
    """The steps of one shade, a reading among them, and the last tally to be graded by either."""

    place: Place = "judge"
    type_keys: ClassVar[frozenset[str]] = frozenset("/#=s")
    staying: ClassVar[frozenset[str]] = frozenset({"better", "next", "previous", "worse"})

    def __init__(self) -> None:
        super().__init__()
        self._view = JudgeView()
        self._answer: Receipt | Notice | None = None

    @property
    def _desk(self) -> GradeDesk:
        return self.bench.grading

    @property
    def count(self) -> int:
        """Steps there are; no cursor moves in them."""
        return 0

    @property
    def resting(self) -> tuple[str, str]:
        """What the line can be used for."""
        grades = "{judge.grade.5}-{judge.grade.1} grade, {judge.better} {judge.worse} half steps"
        others = "{judge.reference} unaged piece · {judge.shade} shade · {judge.photo} photo"
        return "", f"{{judge.read}} reading · {grades} · {others}"

    def prompts(self, key: str) -> tuple[str, str]:
        """A reading, that of an unaged piece, or a shade."""
        return _PROMPTS.get(key, _READING)

    # Keys

    def on_mount(self) -> None:
        """Begin with the shade in hand."""
        super().on_mount()
        self._desk.start()

    def situation(self) -> Situation:
        """What can be done now."""
        return Situation(self.bench.has_last, self.bench.can_redo, 1 if self._desk.has_reading else 0)

    def run_own(self, name: str) -> None:
        """Judge, count, grade, take back."""
        desk, bench = self._desk, self.bench
        steps: dict[str, Callable[[], Receipt | Notice]] = {
            "count": desk.count,
            "regrade": desk.regrade,
            "better": lambda: desk.half_step(down=False),
            "worse": lambda: desk.half_step(down=True),
            "undo": bench.undo,
            "redo": bench.redo,
            **{f"grade.{label}": lambda label=label: desk.give(Grade.from_label(label)) for label in "54321"},  # type: ignore[misc]
        }
        if name in steps:
            self._do(steps[name])
        elif name in ("next", "previous"):
            desk.turn(1 if name == "next" else -1)
            self._answer, self._said = None, ""
        elif name == "photo":
            self.desk.show_place("photo")

    def back(self) -> None:
        """Let go of the reading; where there is none, leave the screen."""
        self._answer, self._said = None, ""
        if not self._desk.let_go():
            self.desk.show_place("bench")

    def _do(self, step: Callable[[], Receipt | Notice]) -> bool:
        """Run one step and say what came of it; whether it went well."""
        try:
            answer = step()
        except SortbenchError as error:
            self.say(self.desk.keymap.told(error), wrong=True)
            return False
        self._answer, self._said = answer, ""
        self.draw_soon()
        return True

    # The line

    def on_changed(self, message: Changed) -> None:
        """Nothing is judged before Enter: half a reading is another one."""

    def on_entered(self, message: Entered) -> None:
        """The line is done; one that cannot be meant is given back to be mended."""
        begun, text = self._typed_for, message.text
        steps = {"=": self._desk.refer, "s": self._desk.choose}
        if text.strip() or begun == "=":
            went_well = self._do(lambda: steps.get(begun, self._desk.read)(text))
            if not went_well and self.line.keypad and self.line.give_back(text):
                self.line.keypad = False
        self._rest()

    def on_left(self, message: Left) -> None:
        """Esc: the line is let go."""
        self._rest()

    def on_row_clicked(self, message: RowClicked) -> None:
        """A click means nothing here."""

    # Drawing

    @property
    def _colours(self) -> draw.Colours:
        return draw.colours_of(self.app.console.color_system, self.app.no_color)

    def look(self) -> None:
        """What there is to judge, by now."""
        self._view = self._desk.view(in_256=self._colours is draw.Colours.INDEXED)

    def draw(self) -> None:
        """The shade, its steps with what the reading says, and what was done."""
        view, panel = self._view, self.panels["list"]
        self.show_about(draw.head_rows(view, self.size.width, self.desk.keymap))
        panel.show(draw.judge_rows(view, self._colours, panel.size.width, panel.size.height, self.desk.keymap))
        self.show_said()

    def show_said(self, otherwise: str = "", style: str = "quiet") -> None:
        """What the last key did or why it did nothing, else what there is to know; and the footer."""
        if self._said or self._answer is None:
            super().show_said(otherwise, style)
            return
        self.panels["said"].show(answer_rows(self._answer, "", "", self.panels["said"].size.width))
        self.panels["foot"].show((self.foot_row(),))
