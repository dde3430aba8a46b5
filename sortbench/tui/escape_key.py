"""Escape and a key struck right behind it are two keys.

A terminal that does not speak the newer keyboard protocol writes Escape and a key as the same bytes as Alt with that
key. Textual takes them for Alt, and for some it knows a character: Escape and ``5`` arrive as ``∞``, Escape and ``f``
as a move to the next word, and before a sign such as ``.`` the Escape is lost. Nothing in this program is on Alt and
much is on Escape, so here such bytes are always Escape and then the key.
"""

from __future__ import annotations

from collections.abc import Iterable

from textual import events
from textual._xterm_parser import XTermParser

_ESCAPE = "\x1b"
_SEQUENCES_BEGIN = frozenset("[O]PX^_")
"""What begins a longer sequence behind Escape (ECMA-48), so that the rest has to be waited for."""

# A private method: where another version of Textual lacks it, such keys stay as that version reads them.
_as_textual_has_it = getattr(XTermParser, "_sequence_to_key_events", None)


def _key_by_key(parser: XTermParser, sequence: str, alt: bool = False) -> Iterable[events.Key]:
    if len(sequence) == 2 and sequence[0] == _ESCAPE and sequence[1] not in _SEQUENCES_BEGIN:
        sequence, alt = sequence[1], True
    if alt and len(sequence) == 1:
        yield events.Key("escape", _ESCAPE)
        alt = False
    if _as_textual_has_it is not None:
        yield from _as_textual_has_it(parser, sequence, alt)


def take_escape_as_a_key() -> None:
    """Let the terminal's bytes be read so, in every app of this process."""
    if _as_textual_has_it is not None:
        XTermParser._sequence_to_key_events = _key_by_key  # type: ignore[method-assign, assignment]
