"""The spot check screen: plan a check of a bin, draw it, note what is found, read the verdict."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar, TypeVar

from sortbench.desks.spot_desk import AQL, LEVEL, SpotDesk, curve
from sortbench.engine.board import Notice
from sortbench.model.errors import DataError, SortbenchError
from sortbench.model.spot_check import AQLS, Drawing, Level
from sortbench.tui.drawing import spot_rows as draw
from sortbench.tui.drawing.words import plural
from sortbench.tui.keys import Place
from sortbench.tui.screens.listing import ListScreen
from sortbench.tui.screens.made_for import MadeFor, made_for
from sortbench.tui.widgets.rows import Row

if TYPE_CHECKING:
    from sortbench.desks.spot_desk import Point, SamplingPlan, Verdict
    from sortbench.model.spot_check import Find, SpotCheck

_Choice = TypeVar("_Choice", Level, str, Drawing)

_VIEWS = ("finds", "numbers", "chances")


class SpotScreen(ListScreen):
    """The spot checks of one bin; it lies over the screen that asked for it and leads back there.

    Args:
        label: of the bin.
    """

    place: Place = "spot"
    type_keys: ClassVar[frozenset[str]] = frozenset("*")

    def __init__(self, label: str) -> None:
        self._label = label
        self._planning = False
        super().__init__()
        self._checks: tuple[SpotCheck, ...] = ()
        self._number = ""
        self._choice: tuple[Level, str, Drawing] = LEVEL, AQL, Drawing.COUNTED_OFF
        self._view = "numbers"
        self._plan: SamplingPlan | None = None
        self._wrong_bin = ""
        self._check: SpotCheck | None = None
        self._verdict: Verdict | None = None
        self._points: tuple[Point, ...] = ()
        self._finds: tuple[Find, ...] = ()
        self._made_for: MadeFor | None = None

    @property
    def _desk(self) -> SpotDesk:
        return SpotDesk(self.bench)

    @property
    def count(self) -> int:
        """Rows of the view in sight."""
        return {"finds": len(self._finds), "chances": len(self._points)}.get(self._view, len(self._number_rows()))

    @property
    def resting(self) -> tuple[str, str]:
        """What the line can be used for."""
        if self._planning:
            return "", "{spot.draw} draws · {spot.level} level · {spot.limit} limit · {spot.drawing} how it is drawn"
        notes = "{spot.note} notes pieces · {spot.missing} one is missing · {spot.left-over} one left over"
        return "", f"{notes} · {{spot.on}} numbers, chances"

    def prompts(self, key: str) -> tuple[str, str]:
        """What a piece of the sample is; before the draw, that it is too early to say so."""
        self.look()
        if self._planning:
            return "piece: ", self.with_keys("nothing is drawn yet: Esc, then {spot.draw} draws the check")
        return "piece: ", "what you see, and how many: pl 2x4 red *3 !4; Enter alone ends it"

    # Keys

    def run_own(self, name: str) -> None:
        """Change views and the plan, draw, note, strike."""
        if name in ("on", "back-on"):
            self._turn(1 if name == "on" else -1)
        elif name in ("level", "limit", "drawing"):
            self._choose(name)
        elif name == "new":
            self._planning, self._view, self.cursor, self._said = True, "chances", 0, ""
            self.prompt_at_rest()
        elif name == "older":
            self._older()
        elif name == "draw":
            if self._planning:
                self.do(self._draw_check)
        elif self._planning or self._check is None:
            self.say(self.with_keys("Nothing is drawn yet: {spot.draw} does."), wrong=True)
        else:
            number = self._check.id
            self.do(lambda: self._act(name, number))

    def _act(self, name: str, number: str) -> Notice:
        if name == "missing":
            self._desk.missing(number)
            return Notice("one that was drawn is not there")
        if name == "left-over":
            self._desk.left_over(number)
            return Notice("one piece more lies there than was counted")
        check = self._desk.strike_find(number)
        struck = max((n for n, find in enumerate(check.finds, 1) if find.struck), default=0)
        return Notice(f"find {struck} of {number} struck; it stays on record")

    def _turn(self, by: int) -> None:
        if not self._planning:
            self._view, self.cursor = _VIEWS[(_VIEWS.index(self._view) + by) % len(_VIEWS)], 0

    def _choose(self, name: str) -> None:
        if not self._planning:
            self.say(self.with_keys("That is chosen before a check is drawn; {spot.new} plans a new one."), wrong=True)
            return
        level, aql, drawing = self._choice
        if name == "level":
            level = _next(tuple(Level), level)
        elif name == "limit":
            aql = _next(AQLS, aql)
        else:
            drawing = _next(tuple(Drawing), drawing)
        self._choice = level, aql, drawing

    def _older(self) -> None:
        if not self._checks:
            self.say("The bin has no check yet.", wrong=True)
            return
        at = next((n for n, check in enumerate(self._checks) if check.id == self._number), 0)
        at = len(self._checks) - 1 if self._planning else at - 1
        self._number = self._checks[at % len(self._checks)].id
        self._planning, self.cursor = False, 0
        self.prompt_at_rest()

    def _draw_check(self) -> Notice:
        level, aql, drawing = self._choice
        check = self._desk.begin(self._label, level, aql, drawing)
        self._number, self._planning, self._view, self.cursor = check.id, False, "numbers", 0
        self.prompt_at_rest()
        return Notice(f"{check.id} is drawn; it is kept and can be shown again")

    def typed(self, key: str, text: str) -> None:
        """Pieces of the sample; more can be typed behind them, and a line that is refused is given back."""
        self.look()
        if self.do(lambda: self._note(text)) is None:
            self.line.give_back(text)
        self.line.keypad = False

    def _note(self, text: str) -> Notice:
        if self._planning or self._check is None:
            mend = self.with_keys("Esc, then {spot.draw} draws the check that is planned.")
            raise DataError("Nothing is drawn yet.", mend)
        check = self._desk.note(self._check.id, text)
        self._view, self.cursor = "finds", len(check.finds) - 1
        find, verdict = check.finds[-1], self._desk.verdict(check)
        name = self.bench.picture.name(find.cell) if find.cell else ""
        shade = find.cell.shade if find.cell else ""
        left = f"{plural(verdict.left, 'piece')} to go" if verdict.left else verdict.standing.value
        return Notice(f"{find.quantity:,} × {name}, {shade} · {left}")

    def back(self) -> None:
        """Let go of what is planned, or go back to the screen that lies below."""
        if self._planning and self._checks:
            self._planning, self._view = False, "finds"
            self.prompt_at_rest()
        else:
            self.app.pop_screen()

    # What there is

    def look(self) -> None:
        """The bin's checks as they are now, and the plan."""
        if made_for(self.bench, self._planning, self._number, self._choice).is_same(self._made_for):
            return
        desk = self._desk
        self._checks = tuple(check for check in desk.checks() if check.bin == self._label)
        self._check = next((check for check in self._checks if check.id == self._number), None)
        if self._check is None and self._checks and not self._planning:
            self._check = self._checks[-1]
            self._number = self._check.id
            self._view = "finds" if self._check.finds else "numbers"
        if self._check is None and not self._planning:
            self._planning, self._view = True, "chances"
            self.prompt_at_rest()
        self._take_in(desk)
        self._made_for = made_for(self.bench, self._planning, self._number, self._choice)

    def _take_in(self, desk: SpotDesk) -> None:
        self._plan, self._verdict, self._wrong_bin = None, None, ""
        if self._planning:
            try:
                self._plan = desk.plan(self._label, *self._choice[:2])
            except SortbenchError as error:
                self._wrong_bin = self.desk.keymap.told(error)
            self._finds = ()
        elif self._check is not None:
            self._verdict = desk.verdict(self._check)
            self._plan = self._verdict.plan
            self._finds = self._check.finds
        self._points = curve(self._plan) if self._plan else ()

    def _number_rows(self) -> tuple[Row, ...]:
        if self._planning or self._check is None:
            return ()
        return draw.number_rows(self._desk.numbers(self._check), max(self.panels["list"].size.width, 20))

    def draw(self) -> None:
        """What is planned or found, and the verdict."""
        width, bench = self.size.width, self.bench
        self._show_head(width)
        if self._wrong_bin:
            self.panels["list"].show((), title=draw.FOUND)
            self.show_said(self._wrong_bin, "warning")
            return
        said = ""
        if self._view == "chances":
            points = self._points
            self.show_list(
                lambda index, room: draw.point_row(points[index], index == self.cursor, room),
                title=draw.point_headings(width),
            )
            if points and self._plan:
                said = draw.point_words(points[self.cursor], self._plan.lot)
        elif self._view == "numbers":
            rows = self._number_rows()
            self.show_list(lambda index, room: rows[index], title=(("drawn numbers", "title"),))
        elif self._finds:
            finds, name_of = self._finds, bench.picture.name
            rgbs = [bench.picture.rgb(find.cell.shade) if find.cell else "" for find in finds]
            self.show_list(
                lambda index, room: draw.find_row(finds[index], name_of, rgbs[index], index == self.cursor, room),
                title=draw.FOUND,
            )
        else:
            self.panels["list"].show(self.desk.keymap.said_rows(draw.NO_FINDS), title=draw.FOUND)
        self.show_said(said)

    def _show_head(self, width: int) -> None:
        name_of = self.bench.picture.name
        if self._planning and self._plan is not None:
            self.show_about(draw.plan_rows(self._label, self._plan, self._choice[2].value, width, self.desk.keymap))
        elif self._check is not None and self._verdict is not None:
            at = self._checks.index(self._check) + 1
            place = f"{at} of {len(self._checks)}" if len(self._checks) > 1 else ""
            changed = self._desk.changed_since(self._check)
            self.show_about(draw.check_rows(self._check, self._verdict, place, changed, name_of, width))
        else:
            self.show_about(((("spot check of ", "quiet"), (self._label, "title")),))


def _next(choices: tuple[_Choice, ...], now: _Choice) -> _Choice:
    return choices[(choices.index(now) + 1) % len(choices)]
