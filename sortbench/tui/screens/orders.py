"""The orders screen: what was ordered, ticked in against the parcel; and what cannot be had."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from sortbench.desks.orders_desk import OrdersDesk
from sortbench.desks.orders_entry import read_some
from sortbench.engine.board import Notice
from sortbench.model.errors import DataError
from sortbench.model.order import Outcome
from sortbench.papers.order_files import keep_files, total_words
from sortbench.tui.drawing import order_rows as draw
from sortbench.tui.drawing.list_rows import kept_note
from sortbench.tui.drawing.words import plural
from sortbench.tui.keys import Place
from sortbench.tui.screens.listing import ListScreen, Question
from sortbench.tui.screens.made_for import MadeFor, made_for
from sortbench.tui.widgets.rows import Row

if TYPE_CHECKING:
    from sortbench.desks.orders_desk import OrderState, StandingRow
    from sortbench.engine.board import Receipt

_TOLD = {"short": Outcome.SHORT, "wrong": Outcome.WRONG, "damaged": Outcome.DAMAGED}


class OrdersScreen(ListScreen):
    """Orders with their lines, or the standing list; it lies over the screen that asked for it and leads back there."""

    place: Place = "orders"
    type_keys: ClassVar[frozenset[str]] = frozenset("/*")

    def __init__(self) -> None:
        self._in_standing = False
        super().__init__()
        self._states: tuple[OrderState, ...] = ()
        self._all_standing: tuple[StandingRow, ...] = ()
        self._standing: tuple[StandingRow, ...] = ()
        self._all_items: tuple[draw.Item, ...] = ()
        self._items: tuple[draw.Item, ...] = ()
        self._made_for: MadeFor | None = None

    @property
    def count(self) -> int:
        """Rows of the list in sight."""
        return len(self._standing if self._in_standing else self._items)

    @property
    def resting(self) -> tuple[str, str]:
        """What the line can be used for."""
        if self._in_standing:
            return "", "{orders.standing} shows the orders · {orders.filter} filters"
        came = "{orders.all} all · {orders.good} one · {orders.some} some · {orders.short} short · {orders.wrong} wrong"
        return "", f"{came} · {{orders.damaged}} damaged · {{orders.sent}} sent · {{orders.files}} files"

    def prompts(self, key: str) -> tuple[str, str]:
        """How many came and as what, or a filter."""
        if key == "*":
            return "came: ", "how many, then what is other: 3, or 1 !3 #cracked, or 2 tile 2x2 white"
        return super().prompts(key)

    @property
    def _desk(self) -> OrdersDesk:
        return OrdersDesk(self.bench)

    # Keys

    def run_own(self, name: str) -> None:
        """Switch lists, tick in, note, strike, write."""
        if name == "standing":
            self._switch()
        elif name == "undo":
            self.do(self.bench.undo)
        elif name == "offers":
            self.desk.over.bring_in("offers", self._brought_in)
        elif name == "sellers":
            self.desk.over.bring_in("sellers", self._brought_in)
        elif self._in_standing or not self._items:
            orders = self.with_keys("That is for orders: {orders.standing} shows them.")
            self.say(orders if self._in_standing else "No order is in sight.", wrong=True)
        else:
            item = self._items[self.cursor]
            if name == "call-off":
                self._call_off(item)
            else:
                self.do(lambda: self._act(name, item))

    def _brought_in(self, answer: Notice) -> None:
        self.say(answer.text)

    def _switch(self) -> None:
        if not self._in_standing:
            self._desk.note_standing()
        self._in_standing, self.cursor, self.words = not self._in_standing, 0, ""
        self._said = ""
        self.prompt_at_rest()

    def _act(self, name: str, item: draw.Item) -> Notice:
        desk, order = self._desk, item.state.order
        if name == "sent":
            state = desk.sent(order.id, back=bool(order.placed))
            return Notice(
                f"{order.id}: {'sent' if state.order.placed else 'not sent yet'}{draw.spent(desk.expenses(order.id))}"
            )
        if name == "files":
            files = keep_files(self.bench.path, order, lambda kind: self.bench.catalogue.part_name(kind.part))
            return Notice(f"{', '.join(path.name for path in files)} written into {files[0].parent}")
        if name == "all" and item.line is None:
            receipts = desk.arrive_all(order.id)
            return Notice(f"{plural(sum(receipt.quantity for receipt in receipts), 'piece')} of {order.id} counted")
        if item.line is None:
            raise DataError(
                "That is for a line of the order, not for its head.", self.with_keys("{orders.down} leads there.")
            )
        number = item.line.number
        if name in ("all", "good"):
            pieces = item.line.awaited if name == "all" else 1
            if not item.line.awaited:
                mend = self.with_keys("{orders.some} counts what came besides.")
                raise DataError(f"Nothing is awaited on line {number} of {order.id}.", mend)
            return Notice(_receipt_words(*desk.arrive(order.id, number, pieces)))
        if name == "strike":
            return self._strike(item.state, number)
        outcome = _TOLD[name]
        state = desk.tell(order.id, number, 1, outcome)
        return Notice(f"{order.id} line {number}: {draw.outcome_words(state.lines[number - 1])}")

    def _strike(self, state: OrderState, number: int) -> Notice:
        order = state.order
        last = max((n for n, each in enumerate(order.remarks, 1) if each.line == number and not each.struck), default=0)
        if not last:
            mend = self.with_keys("{orders.undo} undoes what was counted.")
            raise DataError(f"Nothing is noted of line {number} of {order.id}.", mend)
        self._desk.strike(order.id, last)
        remark = order.remarks[last - 1]
        return Notice(f"struck: {remark.quantity:,} {remark.outcome.value} on line {number} of {order.id}")

    def _call_off(self, item: draw.Item) -> None:
        order = item.state.order

        def step() -> Notice:
            words = self._desk.call_off(order.id, back=order.called_off).words
            return Notice(f"{order.id}: {words}{draw.spent(self._desk.expenses(order.id))}")

        if order.called_off:
            self.do(step)
        else:
            self.ask(Question(f"Wait for nothing more of {order.id} from {order.seller}?", step))

    def typed(self, key: str, text: str) -> None:
        """Some pieces came; a line that is refused is given back to be mended."""
        self.look()
        if self.do(lambda: self._some(text)) is None and self.line.give_back(text):
            self.line.keypad = False

    def _some(self, text: str) -> Notice:
        item = self._items[self.cursor] if self._items and not self._in_standing else None
        if item is None or item.line is None:
            raise DataError("Pieces come on a line of an order.", "Put the cursor on one.")
        quantity, came = read_some(self.bench, text)
        settled = not item.line.awaited and not item.state.order.called_off
        return Notice(
            _receipt_words(*self._desk.arrive(item.state.order.id, item.line.number, quantity, came, extra=settled))
        )

    def back(self) -> None:
        """Let go of a filter, go back to the orders, then to the screen that lies below."""
        if self.words:
            self.filter("")
        elif self._in_standing:
            self._switch()
        else:
            self.app.pop_screen()

    # What there is

    def look(self) -> None:
        """Orders and the standing list as they are now."""
        bench = self.bench
        state = made_for(bench)
        if not state.is_same(self._made_for):
            self._made_for = state
            self._states = self._desk.states()
            self._all_standing = tuple(row for row in self._desk.standing() if row.standing)
            self._all_items = tuple(
                draw.Item(each, line, bench.picture.rgb(line.line.kind.shade) if line else "", pay)
                for each in reversed(self._states)
                for pay in (total_words(each.order),)
                for line in (None, *each.lines)
            )
        self._items = draw.items_in_view(self._all_items, self.words)
        self._standing = draw.standing_in_view(self._all_standing, self.words)
        self.cursor = max(0, min(self.cursor, self.count - 1))

    def draw(self) -> None:
        """Which list it is, its rows, the one under the cursor in full."""
        width = self.size.width
        standing = sum(row.standing for row in self._all_standing)
        head: list[Row] = [draw.head_row(self._states, standing, self._in_standing, width)]
        if self.words:
            lines = sum(item.line is not None for item in self._items), sum(map(len, (s.lines for s in self._states)))
            shown, whole = (self.count, len(self._all_standing)) if self._in_standing else lines
            head.append(kept_note(shown, whole, self.words, "line", self.back_key))
        if self._in_standing:
            self._draw_standing(head, width)
            return
        self.show_about(head)
        items = self._items
        if not items:
            self.show_instead(draw.NO_MATCH if self.words else draw.NO_ORDERS)
            self.show_said()
            return
        layout = draw.layout_of(items)

        def make(index: int, room: int) -> Row:
            item, chosen = items[index], index == self.cursor
            if item.line is None:
                return draw.order_row(item, chosen, room)
            return draw.line_row(layout, item, chosen, room)

        self.show_list(make)
        self.show_said(draw.item_words(items[self.cursor]))

    def _draw_standing(self, head: list[Row], width: int) -> None:
        rows, picture = self._standing, self.bench.picture
        self.show_about([*head, draw.standing_headings(self.panels["list"].size.width or width)])
        if not rows:
            self.show_instead(draw.NO_MATCH if self.words else draw.NO_STANDING)
            self.show_said()
            return
        self.show_list(
            lambda index, room: draw.standing_row(
                rows[index], picture.rgb(rows[index].kind.shade), index == self.cursor, room
            )
        )
        self.show_said(draw.standing_words(rows[self.cursor]))


def _receipt_words(receipt: Receipt, outcome: Outcome) -> str:
    """What was counted out of a parcel, and where it goes."""
    words = f"{outcome.value}: {receipt.quantity:,} × {receipt.name} · {receipt.shade}"
    words += f" into {receipt.bin}" if receipt.bin else ""
    crates = ", ".join(f"{crate.name} line {crate.number}" for crate in receipt.crates[:3])
    words += f", for {crates}" if crates else ""
    return words + "".join(f"; fills the last hole in {name}" for name in receipt.targets_done)
