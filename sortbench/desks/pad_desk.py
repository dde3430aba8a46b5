"""The keypad at work: keys in, tallies out; the nine slots as they lie."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from sortbench.engine.board import Notice, PadView, Receipt, SlotRow
from sortbench.engine.entering.keypad import PAGES, PER_PAGE, SLOTS, Pad, page_groups, pin, place, reshuffle, unpin
from sortbench.engine.entering.pad_documents import pad_from_plain, pad_to_plain, tray_from_plain, tray_to_plain
from sortbench.engine.entering.pad_hand import CANCEL, Hand, press
from sortbench.engine.entering.ranking import guess_kinds, rank_kinds, rank_shades
from sortbench.engine.entering.shade_tray import ShadeTray, place_shades, reshuffle_shades
from sortbench.model.catalogue import Kind
from sortbench.model.errors import DataError
from sortbench.store.locks import PATIENCE_S

if TYPE_CHECKING:
    from sortbench.desk import Desk
    from sortbench.desks.kept_aside import KeptAside

PIN, RESHUFFLE, YES, COARSE = "p", "r", "y", "v"
NO_SUCH_KEY = "that key does nothing here; the help sheet lists those that do"
_TRAY = "tray"
"""Key of the shade tray among the pads kept on the bench; no shade can be called so, for pads carry a prefix."""
_PREFIX = "pad:"


class PadDesk:
    """The keypad of one sitting.

    Args:
        bench: counts what the keys mean, and keeps how the slots lie.
    """

    def __init__(self, bench: Desk) -> None:
        self._bench = bench
        self._hand = Hand()
        self._coarse = False
        self._bin_page = 0
        self._waiting = ""
        self._pads: dict[str, Pad] = {}
        self._kept: dict[str, Any] = dict(bench.documents.pads)
        self._changed = False
        self._writing: tuple[dict[str, Any], KeptAside] | None = None
        self._use = dict(bench.sitting.use())
        self._ordinal = max((last for _, last in self._use.values()), default=0)
        self._tray = self._first_tray()

    def press(self, key: str) -> Receipt | Notice | None:
        """Take one key; None where it waits for another.

        Raises:
            DataError: nothing lies on that slot.
            WriteError: the disk refused; nothing is counted.
        """
        waiting, self._waiting = self._waiting, ""
        if waiting == RESHUFFLE:
            return self._reshuffle() if key == YES else Notice("left as it lies")
        if waiting == PIN and key in SLOTS:
            return self._pin(self._hand.page * PER_PAGE + SLOTS.index(key))
        if key in (PIN, RESHUFFLE):
            self._waiting = key
            return None
        if key == COARSE:
            self._coarse, self._hand = not self._coarse, self._hand.settled
            return Notice("bins alone: shape and size not looked at" if self._coarse else "kinds")
        if self._coarse and not self._hand.tray and key != "0":
            return self._press_bin(key)
        return self._press_kind(key)

    def _press_kind(self, key: str) -> Receipt | Notice | None:
        held = self._bench.held.shade
        if held != self._hand.held:
            self._hand = Hand(held)
        step = press(self._hand, key, self._tray)
        self._hand = step.hand
        if step.hand.held != held:
            self._bench.hold_shade(step.hand.held)
            return Notice(f"held: {step.hand.held}" if step.hand.held else "no shade held", held=True)
        if step.empty:
            raise DataError("No shade lies on that slot.", in_app="{shade} shows the next ones.")
        if step.index is None:
            return None if step.ours else Notice(NO_SUCH_KEY)
        kind = self._pad(step.shade).kinds[step.index]
        if kind is None:
            raise DataError(
                "Nothing lies on that slot.", in_app="{typing} and its name count the piece; it gets a slot."
            )
        return self._bench.count(kind, way="pad")

    def _press_bin(self, key: str) -> Receipt | Notice | None:
        if key == CANCEL:
            return None
        if key in PAGES:
            self._bin_page = PAGES.index(key)
            return None
        if key not in SLOTS:
            return Notice(NO_SUCH_KEY)
        page, self._bin_page = self._bin_page, 0
        bins = self._bench.picture.bins[page * PER_PAGE : (page + 1) * PER_PAGE]
        if SLOTS.index(key) >= len(bins):
            raise DataError("No bin lies on that slot.", "Take one that shows a label, or put a bin up first.")
        return self._bench.count_coarse(bins[SLOTS.index(key)].label)

    @property
    def waiting(self) -> str:
        """What a pending key waits for, in words; empty if nothing is pending."""
        return self._pending[0]

    @property
    def _pending(self) -> tuple[str, str]:
        """What a pending key waits for, and the keys for it: ids in braces stand for them."""
        if self._waiting == RESHUFFLE:
            return "deal the slots anew?", "{yes} does it"
        if self._waiting == PIN:
            return "pin which slot?", "{slot.1}-{slot.9}; again unpins"
        if self._hand.tray:
            return "which shade?", "{slot.1}-{slot.9}, {shade} for more, {pad.undo} for none"
        if self._hand.once:
            return f"one piece in {self._hand.once};", "{shade} holds it"
        return "", ""

    def counted(self, kind: Kind) -> None:
        """Learn from a tally; a kind that lies nowhere gets a free slot, nothing else moves."""
        self._note(kind)
        self._changed = True  # kinds weigh differently now: what lies where must be kept, be it moved or not
        for shade in {kind.shade, ""}:
            if shade in self._pads:
                self._keep(shade, place(self._pads[shade], [kind], self._families))
        self._tray = place_shades(self._tray, [kind.shade])

    def _note(self, kind: Kind) -> None:
        self._ordinal += 1
        self._use[kind] = (self._use.get(kind, (0, 0))[0] + 1, self._ordinal)

    @property
    def _families(self) -> dict[str, str]:
        return _Families(self._bench)

    def _needs(self) -> dict[Kind, int]:
        return self._bench.picture.fill.needs()

    def _pad(self, shade: str) -> Pad:
        pad = self._pads.get(shade)
        if pad is None:
            pad = self._pads[shade] = self._stored(shade) or self._laid_out(Pad(shade))
        return pad

    def _stored(self, shade: str) -> Pad | None:
        plain = self._bench.documents.pads.get(_PREFIX + shade)
        if plain is None:
            return None
        try:
            pad = pad_from_plain(plain)
        except DataError:
            return None
        return place(pad, rank_kinds(shade, self._use, {}), self._families)

    def _laid_out(self, pad: Pad) -> Pad:
        needs = self._needs()
        ranked = rank_kinds(pad.shade, self._use, needs)
        return reshuffle(pad, ranked, self._families, guess_kinds(pad.shade, self._use, needs))

    def _first_tray(self) -> ShadeTray:
        plain = self._bench.documents.pads.get(_TRAY)
        tray = ShadeTray()
        if plain is not None:
            try:
                tray = tray_from_plain(plain)
            except DataError:
                tray = ShadeTray()
        return place_shades(tray, [*rank_shades(self._use, self._needs()), *self._bench.catalogue.shades])

    def _keep(self, shade: str, pad: Pad) -> None:
        self._pads[shade] = pad
        self._changed = True

    def _reshuffle(self) -> Notice:
        if self._hand.tray:
            self._tray = reshuffle_shades(self._tray, rank_shades(self._use, self._needs()))
            self._changed = True
            self.save()
            return Notice("shades laid out anew, the likeliest first")
        shade = self._hand.shade
        self._keep(shade, self._laid_out(self._pad(shade)))
        self.save()
        return Notice("slots laid out anew, the likeliest first; pinned ones stay")

    def _pin(self, index: int) -> Notice:
        shade = self._hand.shade
        pad = self._pad(shade)
        kind = pad.kinds[index]
        self._hand = self._hand.settled
        if kind is None:
            raise DataError("Nothing lies on that slot.", "Count the kind once, then pin it.")
        pinned = index in pad.pinned
        self._keep(shade, unpin(pad, index) if pinned else pin(pad, index))
        self.save()
        return Notice(f"{'unpinned' if pinned else 'pinned'}: {self._bench.catalogue.part_name(kind.part)}")

    def save(self, patience_s: float = PATIENCE_S) -> None:
        """Keep how the slots lie for the next sitting, if that changed.

        Args:
            patience_s: seconds to wait while another program writes the documents.

        Raises:
            BenchError: they cannot be written; the next call tries again.
        """
        if self._bench.settle(patience_s):
            self._heed()
        if not self._changed:
            return
        fresh = self._unkept()
        if fresh:
            self._bench.keep(lambda draft: draft.pads.update(fresh), patience_s)
            self._kept |= fresh
        self._changed = False

    def save_aside(self) -> None:
        """As :meth:`save`, in a thread of its own: a bench of many targets is a second's work to write, and keys may be
        coming in. One write at a time; what one could not write goes with a later call.
        """
        if not self._bench.settle():
            return
        self._heed()
        fresh = self._unkept() if self._changed else {}
        self._changed = False
        if fresh:
            self._writing = fresh, self._bench.keep_aside(lambda draft: draft.pads.update(fresh), lambda: None)

    def _heed(self) -> None:
        """Take in how the last write aside ended."""
        if self._writing is None:
            return
        (fresh, kept), self._writing = self._writing, None
        if kept.fault is not None:
            raise kept.fault
        if kept.error is None:
            self._kept |= fresh
        else:
            self._changed = True

    def _unkept(self) -> dict[str, Any]:
        """How those slots lie that lie otherwise than they are kept."""
        plain = {_PREFIX + shade: pad_to_plain(pad) for shade, pad in self._pads.items()}
        plain[_TRAY] = tray_to_plain(self._tray)
        return {name: value for name, value in plain.items() if self._kept.get(name) != value}

    def view(self) -> PadView:
        """The slots as they lie now."""
        if self._hand.held != self._bench.held.shade:
            self._hand = Hand(self._bench.held.shade)
        if self._hand.tray:
            return self._shade_view()
        if self._coarse:
            return self._bin_view()
        shade, page = self._hand.shade, self._hand.page
        pad = self._pad(shade)
        picture = self._bench.picture
        slots = []
        for offset, kind in enumerate(pad.page(page)):
            index = page * PER_PAGE + offset
            if kind is None:
                slots.append(SlotRow(SLOTS[offset], "", "", "", "", False, 0, 0))
                continue
            slots.append(
                SlotRow(
                    key=SLOTS[offset],
                    name=self._bench.catalogue.part_name(kind.part),
                    detail="" if shade else kind.shade,
                    shade=kind.shade,
                    rgb=picture.rgb(kind.shade),
                    pinned=index in pad.pinned,
                    wants=sum(want.short for want in picture.fill.wants(kind)),
                    counted=picture.counted(kind),
                )
            )
        title = shade or "all shades"
        return PadView(title, "kinds", page, tuple(slots), page_groups(pad, self._families), *self._pending)

    def _shade_view(self) -> PadView:
        number = self._hand.tray - 1
        picture = self._bench.picture
        slots = tuple(
            SlotRow(SLOTS[offset], shade, "", shade, picture.rgb(shade), False, 0, 0)
            for offset, shade in enumerate(self._tray.page(number))
        )
        return PadView("shades", "shades", number, slots, (), *self._pending)

    def _bin_view(self) -> PadView:
        start = self._bin_page * PER_PAGE
        slots = []
        for offset in range(PER_PAGE):
            here = self._bench.picture.bins[start + offset : start + offset + 1]
            if here:
                row = self._bench.picture.bin_row(here[0].label)
                slots.append(SlotRow(SLOTS[offset], here[0].label, row.rule, "", "", False, 0, row.pieces))
            else:
                slots.append(SlotRow(SLOTS[offset], "", "", "", "", False, 0, 0))
        labels = [each.label for each in self._bench.picture.bins]
        pages = tuple(labels[place] for place in range(0, min(len(labels), len(PAGES) * PER_PAGE), PER_PAGE))
        pages = pages if len(pages) > 1 else ()
        return PadView("bins alone", "bins", self._bin_page, tuple(slots), pages, *self._pending)


class _Families(dict[str, str]):
    """Shape family by part code, looked up in the bench's catalogue as it is now."""

    def __init__(self, bench: Desk) -> None:
        super().__init__()
        self._bench = bench

    def get(self, key: str, default: str = "") -> str:  # type: ignore[override]
        return self._bench.catalogue.family(key) or default
