"""The commands of the wash screen: part of the one registry in :mod:`sortbench.tui.keys`."""

from __future__ import annotations

from sortbench.tui.command import Command

_STAGES = ("soak", "rinse", "spin", "scrub", "drying", "dry")

WASH_COMMANDS: tuple[Command, ...] = (
    *(
        Command(f"wash.{name}", (key,), label, text, "wash")
        for name, key, label, text in (
            ("up", "up", "up", "One line up."),
            ("down", "down", "down", "One line down."),
            ("page-up", "pageup", "page up", "One page up."),
            ("page-down", "pagedown", "page down", "One page down."),
            ("first", "home", "first", "To the first line."),
            ("last", "end", "last", "To the last line."),
        )
    ),
    Command(
        "wash.next",
        ("enter",),
        "next stage",
        "The batch's next stage begins; on the scrub list, the pieces are clean and go into the bin of their rule.",
        "wash",
        rank=2,
    ),
    *(
        Command(
            f"wash.stage.{stage}",
            (str(number),),
            stage,
            "Note that a stage of the batch begins, by its place: soak, rinse, spin, scrub, drying, dry.",
            "wash",
        )
        for number, stage in enumerate(_STAGES, 1)
    ),
    Command("wash.stirred", ("s",), "stirred", "Note that the soaking batch was stirred.", "wash"),
    Command(
        "wash.weigh",
        ("w",),
        "weigh",
        "Note what a tray weighs, itself included: type grams, then the tray's name if there are several.",
        "wash",
        rank=3,
    ),
    Command("wash.tray", ("t",), "empty tray", "Say what an empty tray of the batch weighs.", "wash"),
    Command("wash.new", ("n",), "new batch", "A new batch begins to soak: type what is in it.", "wash", rank=4),
    Command("wash.content", ("right",), "entries", "Move the cursor into what is told of the batch.", "wash"),
    Command("wash.out", ("left",), "batches", "Move the cursor back.", "wash"),
    Command(
        "wash.strike",
        ("delete",),
        "strike",
        "Strike what was noted last of the batch; inside, the entry under the cursor, or bring it back.",
        "wash",
    ),
    Command("wash.batches", ("b",), "batches", "The batches, each with its stage and what is due.", "wash"),
    Command("wash.scrub", ("c",), "to clean", "The scrub list: pieces that were set aside for another wash.", "wash"),
    Command(
        "wash.pull",
        ("p",),
        "pull list",
        "The pull list: what targets ask for that must not go into the tub, and what needs a hand after it.",
        "wash",
    ),
    Command(
        "wash.some",
        ("*",),
        "some",
        "Only some of the pieces are clean: type how many, and behind ! the grade they have now.",
        "wash",
    ),
    Command("wash.filter", ("/",), "filter", "Show only lines that hold the words typed.", "wash"),
    Command(
        "wash.back",
        ("escape",),
        "back",
        "Let go of a filter, then back to the batches, then to the bench.",
        "wash",
        rank=5,
    ),
)
