"""More than two hundred nasty files, made anew on each run: what lists, logs, sheets and benches may turn out to be.

Some are what people really have (the wrong file, a sheet saved by an odd program, a copy cut short), some are what a
prankster would send. Sources for the sorts: RFC 4180 (delimited text), the Unicode Standard 15, section 23 (special
characters), ECMA-48 (control sequences), OWASP "CSV Injection", RFC 8259 section 9 and 10 (what JSON readers may
meet); the rest is from memory.
"""

from __future__ import annotations

import json
import zlib
from collections.abc import Iterator

HEADER = "code,name,part,shade,quantity,family,label,wanted,instead,of,offer,seller,price,currency,year,rank"
"""Something for every list, so that rows are looked at whichever one is brought in."""

ROW = "T-31,Peat Tramway,plate-2x4,red,3,plate,N1,red,white,shade,n1,Mill Lane Bricks,0.10,EUR,1988,2"

_STEERING = {
    "escape clears the screen": "\x1b[2J\x1b[H",
    "escape sets the title": "\x1b]0;owned\x07",
    "escape writes the clipboard": "\x1b]52;c;b3duZWQ=\x07",
    "device control string": '\x1bP$q"p\x1b\\',
    "eight-bit control sequence": "\x9b2J",
    "eight-bit operating system command": "\x9d0;owned\x9c",
    "bell": "\x07",
    "backspaces": "safe\x08\x08\x08\x08evil",
    "carriage return": "safe\revil",
    "form feed": "\x0c",
    "vertical tab": "\x0b",
    "delete": "\x7f",
    "next line": "\x85",
    "line separator": "\u2028",
    "paragraph separator": "\u2029",
    "right-to-left override": "\u202egnirts\u202c",
    "isolates": "\u2066\u2067\u2068",
    "left-to-right mark": "\u200e",
    "zero-width space": "pla\u200bte",
    "zero-width joiner": "pla\u200dte",
    "soft hyphen": "pla\u00adte",
    "byte order mark within": "pla\ufeffte",
    "tag characters": "\U000e0041\U000e0042",
    "variation selectors": "\ufe0f\U000e0100",
    "interlinear annotation": "\ufff9a\ufffab\ufffb",
    "private use": "\ue000\U000f0000",
    "noncharacters": "\ufffe\uffff\U0001fffe",
    "shift out": "\x0e",
    "substitute": "\x1a",
    "nought byte as text": "\u2400",
}
_TEXTS = {
    "markup that is closed": "[red]plate[/red]",
    "markup that is not": "[/",
    "markup link": "[link=file:///etc/passwd]x[/link]",
    "markup action": "[@click=app.quit]x[/]",
    "format braces": "{0} {code!r:>{width}}",
    "per cent": "%s%n%x %(code)s",
    "formula": '=HYPERLINK("http://example.invalid")',
    "formula at": "@SUM(A1)",
    "formula full width": "\uff1dcmd",
    "path up": "../../../etc/passwd",
    "path absolute": "/etc/passwd",
    "path of a drive": "C:\\Windows\\win.ini",
    "reserved file name": "CON",
    "reserved file name with ending": "nul.txt",
    "dots": "..",
    "slashes": "a/b\\c",
    "stacked accents": "e" + "\u0301" * 400,
    "all scripts": "Ωж中ك𐍈🧱",
    "ligature of eighteen letters": "\ufdfa" * 50,
    "turkish i": "İıIi",
    "sharp s": "ß" * 200,
    "half a pair in escapes": "\\ud800",
    "quotes": '""\'""',
    "commas": ",,,,",
    "blank kinds": "\u00a0\u2003\u3000\u1680",
    "one long word": "x" * 5_000,
    "many short words": "a " * 2_500,
    "wildcards": "*?[]{}!#@.",
    "regular expression": "(a+)+$" * 40,
    "commands of a shell": "$(touch owned) `touch owned` ; touch owned | touch owned",
    "sql": "'; DROP TABLE parts; --",
    "xml bomb": '<!DOCTYPE x [<!ENTITY a "aaaa"><!ENTITY b "&a;&a;">]>&b;',
    "script": "<script>alert(1)</script>",
    "json": '{"part": "plate-2x4"}',
    "nothing": "",
    "hyphen": "-",
    "option of a command": "--help",
    "not a number": "nan",
}
_NUMBERS = (
    *(
        "-1",
        "0",
        "1e309",
        "-1e309",
        "inf",
        "nan",
        "0x10",
        "1_000",
        "1,000",
        "1.5",
        "٣",
        "²",
        "9" * 5_000,
        "1" + "0" * 400,
    ),
    *("2147483648", "9223372036854775808", "-0", "+3", "3 ", "３", "1/2", "1e3", "00003", "0.1e-400"),
)
_DATES = ("0000", "99999", "1988-99", "19 88", "-1988")


def lists() -> Iterator[tuple[str, bytes]]:
    """Files that claim to be lists of something, each with a name of its own."""
    head = HEADER.encode()
    yield "nothing at all", b""
    yield "one newline", b"\n"
    yield "a million newlines", b"\n" * 200_000
    yield "blanks only", b" \t \n" * 50
    yield "header only", head
    yield "header without its end", head[:-3]
    yield "header twice", head + b"\n" + head
    yield "only a mark", b"\xef\xbb\xbf"
    yield "two marks", b"\xef\xbb\xbf\xef\xbb\xbf" + head
    yield "mark of utf-32", b"\xff\xfe\0\0" + HEADER.encode("utf-32-le")
    for codec in ("utf-16", "utf-16-le", "utf-16-be", "utf-32", "utf-7", "cp037", "cp1252", "shift_jis", "koi8-r"):
        yield f"in {codec}", f"{HEADER}\n{ROW}\n".encode(codec)
    yield "utf-16 of odd length", f"{HEADER}\n{ROW}".encode("utf-16-le") + b"\0"
    yield "half of a surrogate pair", b"\xff\xfe" + HEADER.encode("utf-16-le") + b"\n\0\x00\xd8"
    yield "overlong slash", head + b"\n\xc0\xaf,\xe0\x80\xaf\n"
    yield "surrogate in utf-8", head + b"\n\xed\xa0\x80\n"
    yield "five-byte sequence", head + b"\n\xf8\x88\x80\x80\x80\n"
    yield "cut in a letter", f"{HEADER}\nT-31,Mühle".encode()[:-4]
    yield "utf-8 and latin mixed", head + "\nT-31,Mühle Mühle Mühle,".encode() + "Mühle\n".encode("latin-1")
    yield "every byte", bytes(range(256)) * 8
    yield "noughts", bytes(5_000)
    yield "nought in a cell", head + b"\nT-31,a\0b\n"
    for what, start in {
        "packed archive": b"PK\x03\x04",
        "old workbook": b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1",
        "document": b"%PDF-1.7\n",
        "picture": b"\x89PNG\r\n\x1a\n",
        "photograph": b"\xff\xd8\xff\xe0",
        "gzip": b"\x1f\x8b\x08",
        "database": b"SQLite format 3\0",
        "program": b"\x7fELF\x02\x01\x01",
        "web page": b"<!doctype html><html><table><tr><td>code</td></tr></table>",
        "rich text": b"{\\rtf1\\ansi code}",
        "mail": b"From: a\nTo: b\n\ncode,name\n",
        "json": b'[{"code": "T-31"}]',
        "script": b"#!/bin/sh\ntouch owned\n",
    }.items():
        yield f"a {what}", start + head
    for name, end in {"cr": "\r", "crlf": "\r\n", "mixed": "\r\n\n\r", "lf cr": "\n\r", "form feeds": "\f"}.items():
        yield f"lines ended by {name}", end.join([HEADER, ROW, ROW, ROW]).encode()
    for name, mark in {"semicolon": ";", "tab": "\t", "bar": "|", "blank": " ", "colon": ":", "caret": "^"}.items():
        yield f"split by {name}", f"{HEADER}\n{ROW}\n".replace(",", mark).encode()
    for mark in ('"', ",", "\\", "a", "\n", "\t", "\u00a7", "''", "", " ", "\x1b"):
        yield f"sep={mark!r}", f"sep={mark}\n{HEADER}\n{ROW}\n".encode()
    yield "quote never closed", head + b'\n"T-31,' + ROW.encode() * 300
    yield "quote never closed in a long file", head + b'\n"' + (ROW.encode() + b"\n") * 3_000
    yield "quote in the middle", head + b'\nT-"31",x\n"T"-31,y\n'
    yield "only quotes", b'"' * 9_999
    yield "quoted header", ",".join(f'"{word}"' for word in HEADER.split(",")).encode() + b"\n" + ROW.encode()
    yield "line breaks in cells", head + b'\n"T\n-\n31","Peat\r\nTramway"\n'
    yield "one huge cell", head + b"\n" + b"x" * 300_000
    yield "one huge quoted cell", head + b'\n"' + b"x,\n" * 60_000 + b'"\n'
    yield "ten thousand columns", b",".join(b"c%d" % number for number in range(10_000)) + b"\n" + b"1," * 10_000
    yield "ten thousand columns of one name", b"code," * 10_000 + b"\n" + b"T-31," * 10_000
    yield "ten thousand empty columns", b"," * 10_000 + b"\n" + b"1," * 10_000
    yield "a row of ten thousand cells", head + b"\n" + b"x," * 10_000
    yield "a header of one huge word", b"code" * 30_000 + b"," + head + b"\n" + ROW.encode()
    yield "two thousand rows alike", head + b"\n" + (ROW.encode() + b"\n") * 2_000
    yield "two thousand bad rows", head + b"\n" + b"T-31,,,,x,,,,,,,,-1,,,\n" * 2_000
    yield "rows of every length", b"\n".join([head, *(b"x," * width for width in range(300))])
    yield "commented", b"# a list\n# of things\n" + head + b"\n" + ROW.encode()
    yield "a title above", b"My bricks;;;\n\n" + head + b"\n" + ROW.encode()
    yield "columns that nobody knows", b"alpha,beta,gamma\n1,2,3\n"
    yield "headers that steer", b"\x1b[31mcode,na\x07me,\xe2\x80\xaepart\n1,2,3\n"
    yield "headers of blanks", b" , , \n1,2,3\n"
    yield "headers of one letter", b"a,b,c,d,e,f,g\n1,2,3,4,5,6,7\n"
    cells = ROW.split(",")
    for place in (0, 1, 3):
        for name, text in {**_STEERING, **_TEXTS}.items():
            if place == 1 or name in _STEERING:
                quoted = '"' + text.replace('"', '""') + '"'
                row = ",".join([*cells[:place], quoted, *cells[place + 1 :]])
                yield f"{name} in column {place + 1}", f"{HEADER}\n{ROW}\n{row}\n".encode("utf-8", "surrogatepass")
    for place in (4, 12, 14, 15):
        for text in _NUMBERS if place == 4 else (*_NUMBERS[:8], *_DATES):
            row = ",".join([*cells[:place], f'"{text}"', *cells[place + 1 :]])
            yield f"number {text[:12]} in column {place + 1}", f"{HEADER}\n{row}\n".encode()


def logs(sitting: str, good: bytes) -> Iterator[tuple[str, bytes]]:
    """Files that claim to be the log of a sitting.

    Args:
        sitting: its id.
        good: a sound log of that sitting, some records long.
    """
    lines = good.splitlines(keepends=True)
    yield from ((name, content) for name, content in lists() if len(content) < 400_000)
    yield "all lines reversed", b"".join(reversed(lines))
    yield "twice over", good + good
    yield "first line missing", b"".join(lines[1:])
    yield "no line breaks", good.replace(b"\n", b" ")
    yield "dos line breaks", good.replace(b"\n", b"\r\n")
    yield "with a mark", b"\xef\xbb\xbf" + good
    yield "in utf-16", good.decode().encode("utf-16")
    yield "capital letters", good.upper()
    yield "a megabyte without a line break", good + b"x" * 1_000_000
    yield "noughts within", lines[0] + bytes(700) + b"".join(lines[1:])
    for name, body in {
        "huge number": '{"seq":' + "9" * 5_000 + ',"at":"","what":"tally"',
        "deep nesting": '{"seq":2,"at":"","what":' + "[" * 50_000,
        "not a number": '{"seq":2,"at":"","what":"tally","n":NaN',
        "a list": "[1,2,3",
        "fields twice": '{"seq":2,"seq":3,"at":"","what":"tally"',
        "a lone surrogate": '{"seq":2,"at":"","what":"tally","n":1,"grade":null,"part":"\\ud800","shade":"red"',
        "a path as bin": '{"seq":2,"at":"","what":"tally","n":1,"bin":"../../x","part":"a","shade":"b","grade":null',
        "a steering name": '{"seq":2,"at":"\\u001b","what":"tally","n":1,"part":"\\u001b[2J","shade":"b","grade":null',
        "voids itself": f'{{"seq":2,"at":"","what":"void","voids":["{sitting}",2]',
        "voids a ring": f'{{"seq":2,"at":"","what":"void","voids":["{sitting}",3]',
        "a gap of all numbers": '{"gap":[1,999999999999999999],"format":1',
        "a gap backwards": '{"gap":[9,2],"format":1',
        "a million pieces": '{"seq":2,"at":"","what":"tally","n":99999999999,"part":"a","shade":"b","grade":null',
    }.items():
        sealed = body.encode("utf-8", "surrogatepass")
        checksum = zlib.crc32(sealed, zlib.crc32(sitting.encode()))
        yield f"sealed: {name}", lines[0] + sealed + b',"crc":"%08x"}\n' % checksum


def documents(good: bytes) -> Iterator[tuple[str, bytes]]:
    """Files that claim to be a ``bench.json``; ``good`` is a sound one."""
    yield from ((name, content) for name, content in lists() if len(content) < 50_000)
    yield "cut in the middle", good[: len(good) // 2]
    yield "twice over", good + good
    yield "with a mark", b"\xef\xbb\xbf" + good
    yield "in utf-16", good.decode().encode("utf-16")
    for name, text in {
        "deep lists": "[" * 100_000,
        "deep objects": '{"a":' * 50_000,
        "huge number": '{"meta": {"1": {"format": ' + "9" * 5_000 + "}}}",
        "format true": '{"meta": {"1": {"format": true}}}',
        "format minus": '{"meta": {"1": {"format": -3}}}',
        "format of text": '{"meta": {"1": {"format": "4"}}}',
        "two formats": '{"meta": {"1": {"format": 4}, "2": {"format": 4}}}',
        "seals of numbers": '{"meta": {"1": {"format": 4, "crc": 7, "seals": {"parts": 7}}}}',
        "seals as a list": '{"meta": {"1": {"format": 4, "seals": ["parts"]}}}',
        "seals of a list": '{"meta": {"1": {"format": 4, "seals": {"parts": ["x"]}}}}',
        "more in meta": '{"meta": {"1": {"format": 4, "owner": "x"}}}',
        "tables as null": '{"meta": {"1": {"format": 4}}, "parts": null}',
        "a setting of any sort": '{"meta": {"1": {"format": 4}}, "settings": {"1": {"name": "pile", "value": [[]]}}}',
        "odd policy": '{"meta": {"1": {"format": 4}}, "settings": {"1": {"name": "policy", "value": {"a": 1}}}}',
        "pads of rubbish": '{"meta": {"1": {"format": 4}}, "pads": {"1": {"name": "tray", "value": [1, {"x": null}]}}}',
        "pads of a shade": '{"meta": {"1": {"format": 4}}, "pads": {"1": {"name": "pad:red", "value": {"slots": 7}}}}',
        "infinity": '{"meta": {"1": {"format": 4}}, "parts": {"1": {"code": "a", "name": "b", "mass_g": Infinity}}}',
        "a name that steers": '{"meta": {"1": {"format": 4}}, "parts": {"1": {"code": "a", "name": "\\u001b[2J"}}}',
        "half a pair": '{"meta": {"1": {"format": 4}}, "parts": {"1": {"code": "a", "name": "\\ud800"}}}',
        "bin of a path": '{"meta": {"1": {"format": 4}}, "bins": {"1": {"label": "../../x"}}}',
        "target of a path": '{"meta": {"1": {"format": 4}}, "targets": {"1": {"code": "../x", "name": "x"}}}',
        "keys twice": '{"meta": {"1": {"format": 4}}, "parts": {"1": {"code": "a", "name": "a"}, "1": {"code": "a"}}}',
    }.items():
        yield name, text.encode("utf-8", "surrogatepass")


def descriptors(good: bytes) -> Iterator[tuple[str, bytes]]:
    """Files that claim to describe a count sheet; ``good`` is a sound one."""
    yield from ((name, content) for name, content in lists() if len(content) < 5_000)
    told = json.loads(good)
    for name, change in {
        "format minus": {"sortbench": {**told["sortbench"], "format": -5}},
        "format nought": {"sortbench": {**told["sortbench"], "format": 0}},
        "format true": {"sortbench": {**told["sortbench"], "format": True}},
        "format to come": {"sortbench": {**told["sortbench"], "format": 10**400}},
        "our part a number": {"sortbench": 7},
        "resources a number": {"resources": 7},
        "resources a text": {"resources": "counts"},
        "resources of numbers": {"resources": [1, None, "x", []]},
        "resources null": {"resources": None},
        "no resources": {"resources": []},
        "paths that lead out": {"resources": [{**each, "path": "../../bench.json"} for each in told["resources"]]},
        "absolute paths": {"resources": [{**each, "path": "/etc/passwd"} for each in told["resources"]]},
        "remote paths": {"resources": [{**each, "path": "http://example.invalid/x"} for each in told["resources"]]},
        "hashes of rubbish": {"resources": [{**each, "hash": {"a": 1}} for each in told["resources"]]},
        "names of rubbish": {"resources": [{**each, "name": ["counts"]} for each in told["resources"]]},
        "another name": {"name": ["x"]},
    }.items():
        yield name, json.dumps({**told, **change}).encode()
    yield "a list", b"[]"
    yield "null", b"null"
    yield "deep", b"[" * 100_000
