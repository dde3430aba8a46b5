"""Keys can be remapped, so no text of the app names one by what it is unless told otherwise: texts name commands by id,
and the screen puts the keys in force in their place."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import sortbench
from sortbench.bench import Bench
from sortbench.model.errors import DataError
from sortbench.store.settings_file import settings_from
from sortbench.tui.app import SortbenchApp
from sortbench.tui.keymap import OWN_KEYS, Keymap
from tests.tui.looking import press, text

SOURCE = Path(sortbench.__path__[0])
SHOWN_IN_THE_APP = ("tui", "engine", "desks", "papers", "model")
"""Floors whose texts reach a screen; so do those of the modules beside them."""

NAMED = re.compile(r"\b(?:F(?:[1-9]|1[0-2])|Ctrl\+[A-Z]|Enter|Esc|Escape|PgUp|PgDn|Backspace|Del|Tab)\b")
STRUCK = re.compile(
    r"(?:^|[;:,.(?] |\bthen )(?:[b-zB-Z0-9/=*?+-] [a-z]+s\b|a (?:allows|refuses|brings|adds|shows|takes|begins)\b)"
    r"|\([b-z/=*]\)|\basks for [a-z] |\b[a-z] does it|[Pp]ress \S |\b(?:and|,) [a-z] and \d|, [0-9.] for "
)
"""A sentence about a key that prints: ``r plans anew``, ``(o)``, ``asks for y``, ``Press 0``."""
FUNCTION_KEY = re.compile(r"\bF(?:[1-9]|1[0-2])\b")

OWN_WORDS = {
    "tui/keys.py": "the names of keys",
    "tui/remaps.py": "says how a settings file writes keys",
}
"""Modules that speak of keys as such."""
ON_THE_LINE = (
    "Enter keeps them, Esc shows all",
    "Enter stays there, Esc goes back",
    "Enter judges it",
    "Enter alone takes",
    "Enter shows its steps, Esc leaves it",
    "Enter takes it in hand, Esc leaves it",
    "Enter alone ends it",
    "Enter begins the soak",
    "Esc, then {",
    " is ended: Esc",
)
"""Said of a line that is being typed on a list: its own keys stay as they are, whatever is remapped."""
TYPED_TEXT = (
    "- 3, or - for no limit",
    "40 12; - for no limit",
    "40 3; - for none",
)
"""What is typed, not struck."""
FIGURES = (
    *("5 is no change", "1 is slight", "1 comes first", ", 1 for the first", "0 for none"),
    *("D65, 2 degrees", "Y runs from 0 (black)"),
)
"""Figures and letters that stand for no key."""


def texts(path: Path) -> Iterator[tuple[int, str]]:
    """Line and text of every string of a module that is no docstring."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    alone = {id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr)}
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in alone:
            yield node.lineno, node.value


def modules() -> list[Path]:
    """The modules whose texts reach a screen."""
    beside = list(SOURCE.glob("*.py"))
    found = [path for floor in SHOWN_IN_THE_APP for path in (SOURCE / floor).rglob("*.py")] + beside
    return [path for path in found if path.relative_to(SOURCE).as_posix() not in OWN_WORDS]


def test_no_text_names_a_key_that_may_be_another_by_now() -> None:
    named = [
        f"{path.relative_to(SOURCE)}:{line}: {said}"
        for path in modules()
        for line, said in texts(path)
        if " " in said
        and (NAMED.search(said) or STRUCK.search(said))
        and not any(each in said for each in (*ON_THE_LINE, *TYPED_TEXT, *FIGURES))
    ]
    assert named == []


def test_the_shell_names_no_key_of_the_app() -> None:
    """A command can be found by its label whatever its key is."""
    named = [
        f"{path.name}:{line}: {said}"
        for path in (SOURCE / "cli").glob("*.py")
        for line, said in texts(path)
        if FUNCTION_KEY.search(said)
    ]
    assert named == []


def test_the_walk_finds_what_it_looks_for() -> None:
    for said in (
        "Press F6.",
        "r plans anew.",
        "which shade? 1-9, 0 for more",
        "(/)",
        "asks for y first",
        "Enter holds",
    ):
        assert NAMED.search(said) or STRUCK.search(said), said
    assert len(modules()) > 200


SAYS = """[keys]
count = "tab"
again = "f12"
shade = "Z"
yes = "J"
"slot.7" = "Q"
"page.1" = "w"
coarse = "C"
"plan.again" = "N"
"weigh.piece" = "P"
"bins.yes" = "Y"
"photo.open" = "O"
"judge.read" = "R"
targets = "f9"
"bench.wash" = "f3"
"""


async def test_what_is_said_names_the_keys_in_force(bench: Bench) -> None:
    app = SortbenchApp(lambda: bench, settings_from(SAYS))
    async with app.run_test(size=(120, 36)) as pilot:
        await press(pilot, *"plate 2x4 white", "tab", *"*5")
        assert "Tab counts 5 more: plate 2x4" in text(app)
        await press(pilot, "ctrl+u", "escape")
        assert "Q " in text(app) and "w plate" in text(app)
        await press(pilot, "r")
        assert "deal the slots anew? J does it" in text(app)
        await press(pilot, "escape", "Z")
        assert "which shade? 1-9, Z for more, . for none" in text(app)
        await press(pilot, "escape", "C")
        assert "C swaps back" in text(app)
        await press(pilot, "f4", "w", "enter")
        assert "Nobody said what lies on the scale. P names it." in text(app)
        await press(pilot, "f8", "r")
        assert "no reading was typed yet; R begins one" in text(app)
        await press(pilot, "f1")
        await press(pilot, "escape", "f4", "f1")
        assert "asks for Y first" in text(app)


async def test_an_error_of_the_entry_line_names_them_too(tmp_path: Path) -> None:
    """On a bench with nothing on it; the shell is told what it can do itself."""
    bare_app = SortbenchApp(lambda: Bench.create(tmp_path / "bench"))
    bare_app.keymap = Keymap({"targets": ("f9",), "bench.wash": ("f3",)})
    async with bare_app.run_test(size=(120, 36)) as pilot:
        await pilot.pause()
        await press(pilot, "escape", *"+trough 2x4 red")
        assert "No shade is known yet. F9, a and 3 begin with eleven plain ones" in text(bare_app)
        told = bare_app.bench.search("+trough 2x4 red").error
        assert "in line mode, the word begin" in told
        assert not NAMED.search(told) and "{" not in told


def test_no_text_of_the_line_mode_or_a_shell_holds_an_id() -> None:
    """What stands in braces is for screens; whoever has none gets another text."""
    error = DataError("There is none.", "`sortbench wash new` begins one.", "{wash.new} begins one.")
    assert str(error) == "There is none. `sortbench wash new` begins one."
    assert OWN_KEYS.told(error) == "There is none. n begins one."
