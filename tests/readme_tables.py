"""The README's tables of keys and of the entry grammar, made from the program: ``python -m tests.readme_tables``."""

from __future__ import annotations

import re
from pathlib import Path

from sortbench.engine.entry import GRAMMAR
from sortbench.tui.keys import COMMANDS, key_table

README = Path(__file__).resolve().parent.parent / "README.md"


def grammar_table() -> str:
    """The entry line by example, in Markdown."""
    lines = ["| typed | means |", "|---|---|"]
    lines += [f"| `{example}` | {meaning} |" if example else f"| *Enter* | {meaning} |" for example, meaning in GRAMMAR]
    return "\n".join(lines) + "\n"


def with_tables(text: str) -> str:
    """The README with its tables as they should be."""
    for name, table in (("grammar", grammar_table()), ("keys", key_table(COMMANDS))):
        block = f"<!-- {name} -->\n{table}<!-- /{name} -->"
        text = re.sub(rf"<!-- {name} -->.*?<!-- /{name} -->", lambda _, block=block: block, text, flags=re.S)
    return text


if __name__ == "__main__":
    README.write_text(with_tables(README.read_text(encoding="utf-8")), encoding="utf-8")
