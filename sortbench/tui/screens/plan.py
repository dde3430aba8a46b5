"""The plan screen: what is kept, treated, moved, bought or left open, with choices locked by hand."""

from __future__ import annotations

from contextlib import suppress
from typing import ClassVar

from sortbench.desks.planning_desk import LONGER_S, SECONDS, Choice, PlanLine, PlanningDesk, PlanView, SpareRow
from sortbench.engine.board import Notice
from sortbench.model.errors import DataError, SortbenchError
from sortbench.model.money import as_amount
from sortbench.tui.drawing import plan_rows as draw
from sortbench.tui.drawing.list_rows import kept_note
from sortbench.tui.drawing.words import plural
from sortbench.tui.keys import Place
from sortbench.tui.messages import Repaint, RowClicked
from sortbench.tui.screens.listing import ListScreen, Question
from sortbench.tui.widgets.rows import Row

_SHOWN: dict[str, Choice | None] = {choice.replace(" ", "-"): choice for choice in Choice} | {"all": None}


class PlanScreen(ListScreen):
    """One row for each choice on each line, the totals above; it lies over the screen that asked for it.

    The search goes on aside, and any number of locks struck meanwhile are one search.
    """

    place: Place = "plan"
    type_keys: ClassVar[frozenset[str]] = frozenset("/m")
    staying: ClassVar[frozenset[str]] = frozenset({"cheaper", "dearer", "lock", "next", "previous"})

    def __init__(self) -> None:
        super().__init__()
        self._only: Choice | None = None
        self._view: PlanView | None = None
        self._lines: tuple[PlanLine, ...] = ()
        self._in_spares = False
        self._spares: tuple[SpareRow, ...] = ()
        self._here: tuple[str, int, Choice] | None = None
        self._anew = 0.0
        """Seconds that a search to be begun with the next frame has; 0 where none is wanted."""
        self._ordered = False

    @property
    def _desk(self) -> PlanningDesk:
        return self.bench.planning

    @property
    def count(self) -> int:
        """Rows in view."""
        return len(self._spares if self._in_spares else self._lines)

    @property
    def resting(self) -> tuple[str, str]:
        """What the line can be used for."""
        choices = "{plan.filter} filters · {plan.show.keep}-{plan.show.on-order} one choice, {plan.show.all} all"
        offers = "{plan.limits} limits · {plan.dearer} {plan.cheaper} offers"
        return "", f"{choices} · {offers} · {{plan.worth}} worth · {{plan.order}} orders"

    def prompts(self, key: str) -> tuple[str, str]:
        """The limits, or a filter."""
        return ("limits: ", "most to pay, most parcels: 40 3; - for none") if key == "m" else super().prompts(key)

    def on_mount(self) -> None:
        """Take the keyboard, and look for the plan where none is known for the bench as it is."""
        super().on_mount()
        if not self._desk.is_current or self._desk.view().failure:
            self._plan_anew()

    def on_screen_resume(self) -> None:
        """Back from the orders: what was ordered is not planned again."""
        super().on_screen_resume()
        if self._ordered:
            self._ordered = False
            self._plan_anew()

    def on_unmount(self) -> None:
        """Nobody looks any more: the best so far will do."""
        self._desk.cancel()

    # Keys

    def run_own(self, name: str) -> None:
        """Lock, show one choice, plan anew."""
        if name == "spares":
            self._turn()
        elif name == "worth":
            self._desk.turn_worth()
            self._plan_anew()
        elif name == "order":
            self.do(self._ask_order)
        elif name == "offers":
            self.desk.over.bring_in("offers", self._brought_in)
        elif name == "sellers":
            self.desk.over.bring_in("sellers", self._brought_in)
        elif self._in_spares and name != "again":
            self.say(self.with_keys("That is for the plan: {plan.spares} shows it."), wrong=True)
        elif name.startswith("show."):
            self._only = _SHOWN[name.removeprefix("show.")]
            self.cursor, self._here = 0, None
        elif name == "again":
            self._plan_anew(LONGER_S)
        elif name == "unlock-all":
            if self._desk.unlock():
                self._plan_anew()
            else:
                self.say("Nothing is locked.")
        elif name == "lock":
            self._lock()
        elif name in ("next", "previous"):
            self._other(1 if name == "next" else -1)
        elif name in ("dearer", "cheaper"):
            self._other_offer(1 if name == "dearer" else -1)

    def _brought_in(self, answer: Notice) -> None:
        self.say(answer.text)
        self._plan_anew()

    def _turn(self) -> None:
        """To the spares, or back to the plan."""
        self._in_spares, self.cursor, self.words = not self._in_spares, 0, ""
        self._here = None
        self.say("")

    def _ask_order(self) -> Notice:
        """Ask whether what the plan buys is to be ordered."""
        bought = self._desk.purchases
        totals = self._desk.view().totals
        pieces = sum(purchase.quantity for purchase in bought)
        parcels = totals.parcels if totals else 0
        text = f"Make {plural(parcels, 'order')} of the plan that is shown, {plural(pieces, 'piece')} in all?"
        self.ask(Question(text, self._order))
        return Notice("")

    def _order(self) -> Notice:
        made = self._desk.order()
        self._ordered = True
        self.desk.over.orders()
        return Notice(f"made {', '.join(order.id for order in made)}; nothing is sent")

    @property
    def _line(self) -> PlanLine | None:
        return self._lines[self.cursor] if not self._in_spares and self.cursor < len(self._lines) else None

    def _lock(self) -> None:
        line = self._line
        if line is None:
            return
        self._hold()
        if self.do(lambda: self._to_lock(line)) is not None:
            self._plan_anew()

    def _to_lock(self, line: PlanLine) -> Notice:
        if self._desk.unlock_one(line.key):
            return Notice(f"{line.target} line {line.number} is let go")
        if line.choice is Choice.AWAIT:
            raise DataError("What is on order comes in any case.", "The orders screen calls an order off.")
        self._desk.lock(line.key, line.choice)
        return Notice(f"{line.target} line {line.number} is locked: {line.choice}")

    def _other_offer(self, by: int) -> None:
        line = self._line
        if line is not None and self.do(lambda: self._to_offer(line, by)) is not None:
            self._plan_anew()

    def _to_offer(self, line: PlanLine, by: int) -> Notice:
        lock, way = self._desk.other_offer(line.key, line.seller, by)
        self._here = (*line.key, lock.choice)
        price = f"{as_amount(way.price, self._view.currency):,} {self._view.currency}" if self._view else ""
        return Notice(
            f"{line.target} line {line.number} is locked: {lock.words} of {way.seller}, {price}, has {way.stock:,}"
        )

    def _other(self, by: int) -> None:
        line = self._line
        if line is not None and self.do(lambda: self._to_other(line, by)) is not None:
            self._plan_anew()

    def _to_other(self, line: PlanLine, by: int) -> Notice:
        lock = self._desk.other(line.key, line.choice, by)
        # The row goes where the choice does, so that a second stroke goes on from there.
        self._here = (*line.key, lock.choice)
        return Notice(f"{line.target} line {line.number} is locked: {lock.words}")

    def typed(self, key: str, text: str) -> None:
        """New limits; what cannot be is given back to be mended."""

        def limit() -> Notice:
            self._desk.limit(text)
            return Notice(f"limits: {text.strip()}")

        if self.do(limit) is not None:
            self._plan_anew()
        elif self.line.give_back(text):
            self.line.keypad = False

    def back(self) -> None:
        """End the search; let go of a filter, of one choice; back to the screen below."""
        if self._desk.is_working:
            self._desk.cancel()
        elif self.words:
            self.filter("")
        elif self._in_spares:
            self._turn()
        elif self._only is not None:
            self._only = None
        else:
            self.app.pop_screen()

    def move(self, by: int) -> None:
        """Move the cursor, and stay on the line from then on, wherever a new plan puts it."""
        super().move(by)
        self._hold()

    def on_row_clicked(self, message: RowClicked) -> None:
        """A click moves the cursor."""
        super().on_row_clicked(message)
        self._hold()

    def filter(self, words: str) -> None:
        """Show only rows that hold these words, from the first."""
        if words != self.words:
            self._here = None
        super().filter(words)

    def _hold(self) -> None:
        line = self._line
        self._here = (*line.key, line.choice) if line is not None else None

    # What there is

    def _plan_anew(self, seconds: float = SECONDS) -> None:
        """Ask for a search; it begins with the next frame, so that keys struck fast are one search."""
        self._anew = max(self._anew, seconds)
        self.draw_soon()

    def redraw(self) -> None:
        """Begin what was asked for, look and draw."""
        seconds, self._anew = self._anew, 0.0
        if seconds:
            try:
                self._desk.begin(self._heard, seconds)
            except SortbenchError as error:
                self.say(self.desk.keymap.told(error), wrong=True)
        super().redraw()

    def _heard(self) -> None:
        """Called from the search's thread."""
        with suppress(RuntimeError):  # the app may have been left meanwhile
            self.post_message(Repaint())

    def look(self) -> None:
        """The plan as it is now; the cursor stays on its line."""
        self._view = view = self._desk.view()
        self._lines = draw.lines_in_view(view.lines, self.words, self._only)
        self._spares = draw.spares_in_view(view.spares, self.words) if self._in_spares else ()
        if self._here is not None and not self._in_spares:
            places = [place for place, line in enumerate(self._lines) if line.key == self._here[:2]]
            same = [place for place in places if self._lines[place].choice is self._here[2]]
            self.cursor = (same or places or [self.cursor])[0]
        self.cursor = max(0, min(self.cursor, self.count - 1))

    def draw(self) -> None:
        """The totals, the rows, the one under the cursor in full."""
        view, width = self._view, self.size.width
        if view is None:
            return
        if self._in_spares:
            self._draw_spares(view, width)
            return
        keys = self.desk.keymap
        about = [*draw.head_rows(view, width, keys), *draw.note_rows(view, self._only, self.count, width, keys)]
        if self.words:
            about.append(kept_note(self.count, len(view.lines), self.words, "row", self.back_key))
        self.show_about([*about, draw.heading_row(self.panels["list"].size.width or width)])
        if view.failure:
            self.panels["list"].show(draw.failure_rows(view, width))
        elif view.lines and not self._lines:
            self.show_instead(draw.NO_MATCH)
        elif not view.lines and view.totals is not None:
            self.show_instead(draw.NOTHING)
        else:
            lines = self._lines
            self.show_list(lambda index, room: draw.plan_row(view, lines[index], index == self.cursor, room))
        line = None if view.failure else self._line
        self.show_said(draw.plan_words(view, line, self.desk.keymap) if line else "")

    def _draw_spares(self, view: PlanView, width: int) -> None:
        """What becomes spare and what is so already."""
        rows, picture = self._spares, self.bench.picture
        keys = self.desk.keymap
        about: list[Row] = [*draw.head_rows(view, width, keys), *draw.spare_rows(view, keys)]
        if self.words:
            about.append(kept_note(self.count, len(view.spares), self.words, "row", self.back_key))
        self.show_about([*about, draw.spare_headings(self.panels["list"].size.width or width)])
        if not rows:
            self.show_instead(draw.NO_MATCH if self.words else draw.NO_SPARES)
            self.show_said()
            return

        def make(index: int, room: int) -> Row:
            kind = rows[index].piece.kind
            name, rgb = picture.catalogue.part_name(kind.part), picture.rgb(kind.shade)
            return draw.spare_row(view, rows[index], name, rgb, index == self.cursor, room)

        self.show_list(make)
        row = rows[self.cursor]
        name = picture.catalogue.part_name(row.piece.kind.part)
        self.show_said(f"{name} · {row.piece.kind.shade}, {row.condition}: {row.why}")
