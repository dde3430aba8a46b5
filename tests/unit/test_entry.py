"""The grammar of the entry line."""

from __future__ import annotations

import pytest

from sortbench.engine.entry import GRAMMAR, Entry, parse
from sortbench.model.errors import DataError
from sortbench.model.grade import Flaw, Grade
from sortbench.model.target import MAX_QUANTITY


@pytest.mark.parametrize(
    ("text", "entry"),
    [
        ("", Entry()),
        ("   ", Entry()),
        ("gr  pl\t2x4", Entry("gr pl 2x4")),
        ("2x4*12", Entry("2x4", quantity=12)),
        ("2x4 *12", Entry("2x4", quantity=12)),
        ("*12 2x4", Entry("2x4", quantity=12)),
        ("pl *3 2x4", Entry("pl 2x4", quantity=3)),
        ("*5", Entry(quantity=5)),
        ("*007", Entry(quantity=7)),
        (f"*{MAX_QUANTITY}", Entry(quantity=MAX_QUANTITY)),
        ("pl !3", Entry("pl", grade=Grade.G3)),
        ("pl!4-5", Entry("pl", grade=Grade.G4_5)),
        ("pl !4/5", Entry("pl", grade=Grade.G4_5)),
        ("pl #crack", Entry("pl", flaws=(Flaw.CRACKED,))),
        ("pl #w #crack #cracked", Entry("pl", flaws=(Flaw.CRACKED, Flaw.WORN))),
        ("pl #worn-print", Entry("pl", flaws=(Flaw.WORN,))),
        ("pl @B7", Entry("pl", bin="B7")),
        ("pl24*12!4#worn@B7", Entry("pl24", 12, Grade.G4, (Flaw.WORN,), "B7")),
        (".grey late", Entry("grey late", hold=True)),
        (". grey", Entry("grey", hold=True)),
        (".!4", Entry(grade=Grade.G4, hold=True)),
        (".grey !4 @B7", Entry("grey", grade=Grade.G4, bin="B7", hold=True)),
        (".", Entry(hold=True)),
        ("+hinge plate 1x2 *2", Entry("hinge plate 1x2", quantity=2, add=True)),
        ("pl 2.4 a+b $5 [red]", Entry("pl 2.4 a+b $5 [red]")),
    ],
)
def test_what_a_line_says(text: str, entry: Entry) -> None:
    assert parse(text) == entry


@pytest.mark.parametrize(
    ("text", "named"),
    [
        ("pl *0", "*0"),
        ("pl *000", "*000"),
        ("pl *-3", "*-3"),
        ("pl *+3", "*+3"),
        ("pl *1.5", "*1.5"),
        ("pl *1e9", "*1e9"),
        ("pl *1,000", "*1,000"),
        ("pl *x", "*x"),
        ("pl *٣", "*٣"),
        ("pl *²", "*²"),
        ("pl * 12", "*"),
        (f"pl *{MAX_QUANTITY + 1}", f"*{MAX_QUANTITY + 1}"),
        ("pl *" + "9" * 10_000, "*999"),
        ("pl *1 *2", "*1 and *2"),
        ("pl !", "!"),
        ("pl !6", "'6'"),
        ("pl !1-3", "'1-3'"),
        ("pl !3 !4", "!3 and !4"),
        ("pl #", "#"),
        ("pl #zebra", "'zebra'"),
        ("pl #c", "chipped, cracked"),
        ("pl @", "@"),
        ("pl @A @B", "@A and @B"),
        ("pl @\x00", "U+0000"),
        ("pl @\u202eB7", "U+202E"),
        (".grey *3", "held"),
        (".grey #crack", "held"),
        ("+", "no name"),
        ("+ *3", "no name"),
    ],
)
def test_what_cannot_be_meant_is_named(text: str, named: str) -> None:
    with pytest.raises(DataError) as caught:
        parse(text)
    assert named in caught.value.message
    assert len(str(caught.value)) < 250


def test_the_errors_say_how_to_mend() -> None:
    for text in ("*0", "* 3", "!", "@", "#", "*1*2", ".*3", "+", "!9"):
        with pytest.raises(DataError) as caught:
            parse(text)
        assert caught.value.mend


def test_every_example_of_the_table_can_be_typed() -> None:
    for example, meaning in GRAMMAR:
        entry = parse(example)
        assert parse(str(entry)) == entry
        assert meaning


def test_a_line_is_written_as_it_would_be_typed() -> None:
    assert str(parse("@B7 pl #worn!4*12 24")) == "pl 24 *12 !4 #worn-print @B7"
    assert str(parse("*3 .x")) == "*3 .x"
    assert str(Entry(hold=True)) == "."
