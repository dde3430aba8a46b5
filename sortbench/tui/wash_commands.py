"""The commands of the wash screen: part of the one registry in :mod:`sortbench.tui.keys`."""

from __future__ import annotations

from sortbench.tui.command import Command, at, moving

_WASH = at("wash")


_STAGES = ("soak", "rinse", "spin", "scrub", "drying", "dry")

WASH_COMMANDS: tuple[Command, ...] = (
    *moving("wash"),
    _WASH(
        "next",
        "enter",
        "next stage",
        "The batch's next stage begins; on the scrub list, the pieces are clean and go into the bin of their rule.",
        rank=2,
    ),
    *(
        _WASH(
            f"stage.{stage}",
            str(number),
            stage,
            "Note that a stage of the batch begins, by its place: soak, rinse, spin, scrub, drying, dry.",
        )
        for number, stage in enumerate(_STAGES, 1)
    ),
    _WASH("stirred", "s", "stirred", "Note that the soaking batch was stirred."),
    _WASH(
        "weigh",
        "w",
        "weigh",
        "Note what a tray weighs, itself included: type grams, then the tray's name if there are several.",
        rank=3,
    ),
    _WASH("tray", "t", "empty tray", "Say what an empty tray of the batch weighs."),
    _WASH("new", "n", "new batch", "A new batch begins to soak: type what is in it.", rank=4),
    _WASH("content", "right", "entries", "Move the cursor into what is told of the batch."),
    _WASH("out", "left", "batches", "Move the cursor back."),
    _WASH(
        "strike",
        "delete",
        "strike",
        "Strike what was noted last of the batch; inside, the entry under the cursor, or bring it back.",
    ),
    _WASH("batches", "b", "batches", "The batches, each with its stage and what is due."),
    _WASH("scrub", "c", "scrub list", "The scrub list: pieces that were set aside for another wash."),
    _WASH(
        "pull",
        "p",
        "pull list",
        "The pull list: what targets ask for that must not go into the tub, and what needs a hand after it.",
    ),
    _WASH(
        "some", "*", "some", "Only some of the pieces are clean: type how many, and behind ! the grade they have now."
    ),
    _WASH("filter", "/", "filter", "Show only lines that hold the words typed."),
    _WASH("back", "escape", "back", "Let go of a filter, then back to the batches, then to the bench.", rank=5),
)
