"""The line mode: `sortbench --plain`. One line in, a few lines out, nothing else.

For screen readers, slow links and pipes: no control sequence is ever written, nothing is drawn over, and input is read
as the terminal hands it on, line by line, with its own editing.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from sortbench.cli import plain_words as words
from sortbench.cli.start import require_bench
from sortbench.engine.entry import GRAMMAR
from sortbench.model.errors import BenchError, DataError, SortbenchError
from sortbench.model.tally import Fate, RecordId
from sortbench.model.text import shown

if TYPE_CHECKING:
    from sortbench.bench import Bench
    from sortbench.engine.board import TargetRow

LONGEST_LINE = 1000
"""Characters of a line that are read; no entry needs more."""
AT_MOST = 20
"""Lines of a long answer, unless all are asked for."""
ALL = "all"

Answers = Iterator[str]


class Word(NamedTuple):
    """A command of the line mode."""

    name: str
    argument: str
    """What may follow, for help; empty if nothing may."""
    about: str
    do: Callable[[PlainMode, str], Answers]


class _Question(NamedTuple):
    """Which of several results is meant by an entry; not an entry yet where words were only looked for."""

    entry: str
    choices: int
    is_entry: bool


class PlainMode:
    """One sitting, line by line.

    Args:
        bench: what is counted at.
        person: a person types, so that Enter alone counts the same again. From a file or a pipe empty lines are
            passed over.
    """

    def __init__(self, bench: Bench, person: bool) -> None:
        self._bench = bench
        self._person = person
        self._question: _Question | None = None
        self._listed: list[RecordId] = []
        self._wash = ""
        self.over = False
        """Whether the person said that this is all."""
        self.refused = 0
        """Entries that counted nothing, for they were refused or a question was not answered."""

    def answer(self, line: str) -> Answers:
        """Do what a line says; the lines to be said.

        Raises:
            SortbenchError: the line was refused; nothing is changed.
        """
        text = line.strip()
        if len(text) > LONGEST_LINE:
            raise DataError(f"The line has {len(text):,} characters.", f"At most {LONGEST_LINE:,} are read.")
        if not text and not self._person:
            return
        with suppress(BenchError):  # what others counted; what is wrong with their files is told by `sortbench check`
            self._bench.refresh()
        question = self._question
        if question and text.isascii() and text.isdecimal():
            if not 1 <= int(text[:9]) <= question.choices:
                raise DataError(f"There is no number {text[:9]} to choose.", f"Type 1 to {question.choices}.")
            self._question = None
            yield words.answer_line(self._bench.enter(question.entry, int(text) - 1, "plain"))
            return
        yield from self.let_go()
        if (word := text.partition(" ")[0].casefold()) in WORDS:
            yield from self._command(WORDS[word], text.partition(" ")[2].strip())
        else:
            yield from self._entry(text)
        yield from self._due()

    def _command(self, word: Word, argument: str) -> Answers:
        if argument and not word.argument:
            raise DataError(
                f"Nothing may follow the command {word.name}.",
                "If a piece is meant, begin with another of its words, or with *1.",
            )
        yield from word.do(self, argument)

    def _entry(self, text: str) -> Answers:
        if text.isascii() and text.isdecimal():
            raise DataError("A number alone names no piece.", f"Say *{text[:5]} for that many more of the same.")
        found = self._bench.search(text)
        if len(found.rows) > 1 and found.rows[0].tie and not found.error:
            yield from self._ask(text, "It could be several pieces. Type the number of the one that is meant:", True)
            return
        if len(shades := self._bench.entries.shades_meant(text)) > 1:
            raise DataError(f"Could be {shades[0]} or {shades[1]}.", "Type more of the name.")
        yield words.answer_line(self._bench.enter(text, way="plain"))

    def _ask(self, text: str, words_first: str, an_entry: bool) -> Answers:
        rows = self._bench.search(text).rows
        self._question = _Question(text, len(rows), an_entry)
        yield words_first
        yield from (words.result_line(number, row) for number, row in enumerate(rows, 1))

    def let_go(self) -> Answers:
        """Let go of a question that was not answered; an entry that waited for it counts nothing, and that is said."""
        question, self._question = self._question, None
        if question and question.is_entry:
            self.refused += 1
            yield f"Not counted: {question.entry}."

    def _due(self) -> Answers:
        """What the wash waits for, once each time that it changes."""
        with suppress(SortbenchError):
            due = self._bench.due_line()
            said = due.words.replace(" ·", ";") if due else ""
            if said and said != self._wash:
                yield f"Wash: {said}."
            self._wash = said

    # Commands

    def help(self, argument: str) -> Answers:
        """All commands and the grammar, or one command."""
        if argument:
            if argument.casefold() not in WORDS:
                raise DataError(f"There is no command {argument[:40]!r}.", "Say help alone for all of them.")
            word = WORDS[argument.casefold()]
            yield f"{word.name} {word.argument}".strip() + f": {word.about}"
            return
        yield "Type what the piece is, then Enter. For example:"
        yield from (f"{example or 'Enter alone'}: {meaning}" for example, meaning in GRAMMAR)
        yield "Commands:"
        yield from (f"{word.name} {word.argument}".strip() + f": {word.about}" for word in WORDS.values())

    def find(self, argument: str) -> Answers:
        """Say what words may mean."""
        if not argument:
            raise DataError("Find what?", "Type words after it, as in: find arch grey")
        found = self._bench.search(argument)
        if not found.rows:
            raise found.wrong or DataError(f"Enter {found.enter}" if found.enter else found.note or "Nothing is found.")
        yield from self._ask(argument, "Type a number to count that one, or anything else:", False)

    def targets(self, argument: str) -> Answers:
        """How far each target is."""
        rows = self._bench.target_rows(at_once=True)
        yield from _brief([words.target_line(row) for row in rows], argument, "No targets yet.")

    def missing(self, argument: str) -> Answers:
        """What a target lacks."""
        name, everything = _without_all(argument)
        if not name:
            rows = [row for row in self._bench.target_rows(at_once=True) if row.short]
            yield from _brief([words.target_line(row) for row in rows], argument, "Nothing is missing.")
            return
        target = self._target(name)
        lines = [words.missing_line(row) for row in self._bench.line_rows(target.code) if row.short]
        yield words.target_line(target)
        yield from _brief(lines, ALL if everything else "", "")

    def _target(self, name: str) -> TargetRow:
        rows = self._bench.target_rows(at_once=True)
        typed = name.casefold()
        exact = [row for row in rows if typed in (row.code.casefold(), row.name.casefold())]
        found = exact or [row for row in rows if row.name.casefold().startswith(typed)]
        if not found:
            raise DataError(f"No target is called {name[:60]!r}.", "The command targets lists them.")
        if len(found) > 1:
            raise DataError(f"Could be {found[0].code} or {found[1].code}.", "Type the code.")
        return found[0]

    def bins(self, argument: str) -> Answers:
        """What lies in the bins, or in one."""
        name, everything = _without_all(argument)
        if not name:
            lines = [words.bin_line(row) for row in self._bench.bin_rows()]
            yield from _brief(lines, argument, "No bins yet.")
            return
        label = self._bench.bin_label(name)
        yield words.bin_line(next(row for row in self._bench.bin_rows() if row.label == label))
        heaps = [words.heap_line(row) for row in self._bench.heaps(label)]
        yield from _brief(heaps, ALL if everything else "", "")
        if proposal := self._bench.split_proposal(label):
            yield f"Proposal: {proposal}."

    def last(self, argument: str) -> Answers:
        """The last records, numbered for void and correct."""
        if argument and not (argument.isascii() and argument.isdecimal() and 1 <= int(argument[:4]) <= 100):
            raise DataError(f"{argument[:20]!r} is no number of records.", "Say how many, 1 to 100.")
        rows = self._bench.recent(int(argument or 5))
        self._listed = [row.id for row in rows]
        if not rows:
            yield "Nothing is counted yet."
        for number, row in enumerate(rows, 1):
            yield f"{number}: {self._bench.sitting.words(row.id)}" + ("." if row.holds else ", void.")

    def _named(self, argument: str) -> tuple[RecordId, str]:
        number, _, rest = argument.partition(" ")
        if not self._listed:
            self._listed = [row.id for row in self._bench.recent(100)]
        if not (number.isascii() and number.isdecimal() and 1 <= int(number[:4]) <= len(self._listed)):
            raise DataError(f"{number[:20]!r} is no record.", "The command last numbers them.")
        return self._listed[int(number) - 1], rest.strip()

    def void(self, argument: str) -> Answers:
        """Let a record no longer hold."""
        rid, rest = self._named(argument)
        if rest:
            raise DataError("Only a number may follow the command void.", "The command last numbers the records.")
        yield words.answer_line(self._bench.void(rid))

    def correct(self, argument: str) -> Answers:
        """Put a tally right."""
        rid, entry = self._named(argument)
        if not entry:
            raise DataError("The correction is missing.", "Say it after the number, as in: correct 1 *4 !3")
        yield words.answer_line(self._bench.correct(rid, entry))

    def undo(self, _: str) -> Answers:
        """Take back what came last."""
        yield words.answer_line(self._bench.undo())

    def redo(self, _: str) -> Answers:
        """Bring it back."""
        yield words.answer_line(self._bench.redo())

    def wash(self, _: str) -> Answers:
        """The last piece back to the wash."""
        yield words.answer_line(self._bench.put_aside(Fate.WASH))

    def discard(self, _: str) -> Answers:
        """The last piece out."""
        yield words.answer_line(self._bench.put_aside(Fate.OUT))

    def write_up(self, argument: str) -> Answers:
        """Write up a target's list, or end that."""
        yield words.answer_line(self._bench.write_up(self._target(argument).code if argument else ""))

    def begin(self, argument: str) -> Answers:
        """Begin where nothing is known yet: with a pile, or with a manual."""
        first = self._bench.first
        yield words.answer_line(first.write_up(argument) if argument else first.begin())

    def held(self, _: str) -> Answers:
        """What is held."""
        yield words.held_line(self._bench)

    def pace(self, _: str) -> Answers:
        """How fast it goes."""
        yield from words.pace_lines(self._bench.pace())

    def quit(self, _: str) -> Answers:
        """End the sitting."""
        self.over = True
        yield from ()


_TABLE = (
    Word("missing", "[TARGET] [all]", "what a target lacks, by its code or the start of its name.", PlainMode.missing),
    Word("targets", "[all]", "how far each target is.", PlainMode.targets),
    Word("bins", "[BIN] [all]", "what lies in the bins, or in one.", PlainMode.bins),
    Word("find", "WORDS", "what words may mean; counts nothing.", PlainMode.find),
    Word("undo", "", "void the last tally, then the one before.", PlainMode.undo),
    Word("redo", "", "bring back what was undone last.", PlainMode.redo),
    Word("last", "[NUMBER]", "the last records, numbered from the newest.", PlainMode.last),
    Word("void", "NUMBER", "let that record of the last ones no longer hold.", PlainMode.void),
    Word("correct", "NUMBER ENTRY", "put that tally right, as in correct 1 *4 !3.", PlainMode.correct),
    Word("wash", "", "set the last piece aside for another wash.", PlainMode.wash),
    Word("discard", "", "discard the last piece: counted, kept in no bin.", PlainMode.discard),
    Word(
        "list", "[TARGET]", "write up that target's list from now on; alone, count into bins again.", PlainMode.write_up
    ),
    Word(
        "begin",
        "[CODE NAME YEAR]",
        "take eleven plain shades where none is known; write up a new target, as in begin T-12 Orchard Gate 1991.",
        PlainMode.begin,
    ),
    Word("held", "", "what is held between entries.", PlainMode.held),
    Word("pace", "", "how many were counted, how fast, and what is left.", PlainMode.pace),
    Word("help", "[COMMAND]", "this.", PlainMode.help),
    Word("quit", "", "end the sitting; so does Ctrl+D. All that was counted is on disk already.", PlainMode.quit),
)
WORDS = {word.name: word for word in _TABLE}
"""The commands by name. Words of a piece may stand in any order, so no piece is out of reach for a command's name."""


def _without_all(argument: str) -> tuple[str, bool]:
    """An argument without the word *all* at its end, and whether it was there."""
    before, _, last = argument.rpartition(" ")
    return (before.strip(), True) if last.casefold() == ALL else (argument, False)


def _brief(lines: list[str], argument: str, nothing: str) -> Answers:
    """Not more lines than one listens to, unless all are asked for."""
    name, everything = _without_all(argument)
    if name:
        raise DataError(f"{name[:40]!r} is not understood here.", "Only the word all may follow.")
    if not lines and nothing:
        yield nothing
    yield from lines if everything else lines[:AT_MOST]
    if len(lines) > AT_MOST and not everything:
        yield f"And {len(lines) - AT_MOST} more; say all at the end for every one."


def run_plain(folder: Path) -> int:
    """Count line by line until the input ends.

    Returns:
        The exit code: 1 if an entry was refused and nobody was there to mend it.

    Raises:
        UsageError: no bench lies in the folder.
        BenchError: it cannot be opened; or, where nobody is there to mend it, the disk refused.
    """
    require_bench(folder)
    from sortbench.bench import Bench

    person = sys.stdin.isatty()
    with Bench.open(folder) as bench:
        mode = PlainMode(bench, person)
        if not person:
            _talk(mode, person)
            return 1 if mode.refused else 0
        for line in words.greeting(bench):
            _say(line)
        with _summed_up(bench):
            _talk(mode, person)
    return 0


@contextmanager
def _summed_up(bench: Bench) -> Iterator[None]:
    """Say at the end what the sitting did, however it ends."""
    from sortbench.desks.summary_desk import stand_of, summary_now

    before = stand_of(bench.picture)
    try:
        yield
    finally:
        from sortbench.papers.summary_words import summary_lines

        found = summary_now(bench, before)
        for line in summary_lines(found) if found else ("Nothing was counted in this sitting.",):
            _say(line.strip())


def _talk(mode: PlainMode, person: bool) -> None:
    """Answer line by line."""
    if hasattr(sys.stdin, "reconfigure"):
        sys.stdin.reconfigure(errors="backslashreplace")  # bytes that are no text are told with the line they spoil
    while not mode.over:
        if person:
            sys.stdout.write("> ")
            sys.stdout.flush()
        line = sys.stdin.readline()
        if not line:
            break
        try:
            for answer in mode.answer(line):
                _say(answer)
        except BenchError as error:
            if not person:
                raise
            _say(f"Not done: {error}")
        except SortbenchError as error:
            mode.refused += 1
            _say(f"Refused: {error}")
    for answer in mode.let_go():
        _say(answer)


def _say(line: str) -> None:
    sys.stdout.write(shown(line) + "\n")
    sys.stdout.flush()
