"""A terminal's picture as a small SVG, and the text that such a picture shows."""

from __future__ import annotations

import html
import re

_FONT_FACE = re.compile(r"@font-face\s*\{.*?\}\s*", re.S)
_UNIQUE = re.compile(r"terminal-\d+")
_LINE_CLIP = re.compile(r'\s*<clipPath id="s-line-\d+">.*?</clipPath>', re.S)
_LINE_CLIPPED = re.compile(r' clip-path="url\(#s-line-\d+\)"')
_TAG = re.compile(r"<[^>]*>")
_LONG_NUMBER = re.compile(r"\d+\.\d{2,}")
_TEXT = re.compile(r'<text class="s-r\d+" x="([\d.]+)" y="([\d.]+)" textLength="[\d.]+">([^<]*)</text>')
_CELL, _LINE = 12.2, 24.4
"""Rich's picture of a cell is so wide and so high."""


def compact(svg: str) -> str:
    """What Rich drew, for a third of the bytes: no typeface to be fetched, no clip for each line, no figures that no
    eye sees. It looks the same and is one line of the file for each piece of text."""
    svg = _UNIQUE.sub("s", _FONT_FACE.sub("", svg))
    svg = _LINE_CLIPPED.sub("", _LINE_CLIP.sub("", svg)).replace("&#160;", "\u00a0")
    svg = _TAG.sub(lambda tag: _LONG_NUMBER.sub(_shorter, tag[0]), svg)  # in tags only: text may hold amounts of money
    svg = svg.replace("</text><text", "</text>\n<text").replace("/><rect", "/>\n<rect")
    return "\n".join(line.strip() for line in svg.splitlines() if line.strip()) + "\n"


def _shorter(number: re.Match[str]) -> str:
    return f"{float(number[0]):.1f}".removesuffix(".0")


def text_of(svg: str) -> list[str]:
    """The lines of the terminal that a compact picture shows, blanks at their ends dropped."""
    rows: dict[int, dict[int, str]] = {}
    for x, y, shown in _TEXT.findall(svg):
        row, at = int(float(y) // _LINE), round(float(x) / _CELL)
        rows.setdefault(row, {})[at] = html.unescape(shown).replace("\u00a0", " ")
    lines = []
    for row in range(max(rows, default=-1) + 1):
        line = ""
        for at, words in sorted(rows.get(row, {}).items()):
            line = line.ljust(at) + words
        lines.append(line.rstrip())
    return lines
