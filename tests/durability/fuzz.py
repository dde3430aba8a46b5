"""Fuzz what reads other people's bytes, led by coverage: needs ``pip install atheris``, which few Pythons have.

    python -m tests.durability.fuzz lists --seconds 300
    python -m tests.durability.fuzz entry|log|sheet|documents --seconds 300

An input may be refused by an error of ours whose words do not steer a terminal; any other exception, 20 seconds for one
input, or 2 GB of memory stops the run and leaves the input in a file ``crash-…`` in the current folder. The suite does
without: it fuzzes the same readers with hypothesis and the files of ``nasty.py`` (``test_rubbish.py``).
"""

from __future__ import annotations

import argparse
import importlib
import pkgutil
import shutil
import sys
import tempfile
import zlib
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path

if __name__ == "__main__":  # pytest has the tests' folders on its path
    sys.path[1:1] = [str(Path(__file__).parent), str(Path(__file__).parents[1])]

try:
    import atheris
except ImportError:
    sys.exit("atheris is not installed: pip install atheris, where it has a wheel for this Python.")

with atheris.instrument_imports(include=["sortbench"]):
    import nasty
    from small_bench import make_folder, ticking
    from test_rubbish import steers

    import sortbench
    from sortbench.bench import Bench
    from sortbench.desks import intake
    from sortbench.desks.sheet_desk import export
    from sortbench.desks.sheet_intake import preview_sheet
    from sortbench.engine.importing.fields import FIELDS
    from sortbench.model.errors import SortbenchError
    from sortbench.store.documents import Documents
    from sortbench.store.log_reading import read_log

    for module in pkgutil.walk_packages(sortbench.__path__, "sortbench."):
        if module.name.startswith(("sortbench.engine.entering", "sortbench.engine.importing", "sortbench.store")):
            importlib.import_module(module.name)  # what is imported late would not be followed

Take = Callable[[bytes], object]
Reader = tuple[Take, Iterable[bytes]]
"""Takes an input; and inputs to begin with."""

LIVES = 2_000
"""Entry lines that one bench takes before a new one is made."""


def _lists(scratch: Path) -> Reader:
    documents = Documents(make_folder(scratch / "bench") / "bench.json")
    path = scratch / "list.csv"
    kinds = list(FIELDS)

    def take(data: bytes) -> None:
        path.write_bytes(_letters(data))
        intake.preview(documents, kinds[data[0] % len(kinds)], [path])

    return take, (bytes([kind]) + content for kind in range(len(kinds)) for content in _small(nasty.lists()))


def _entry(scratch: Path) -> Reader:
    opened: list[Bench] = []
    taken = 0

    def take(data: bytes) -> None:
        nonlocal taken
        if taken % LIVES == 0:
            if opened:
                opened.pop().close()
                shutil.rmtree(scratch / "bench")
            opened.append(Bench.open(make_folder(scratch / "bench"), ticking()))
        taken += 1
        text = data.decode(errors="replace")
        opened[0].search(text)
        opened[0].enter(text)

    lines = ["pl24 re *3", "br24 re !4-5 *2 #crack", "ti22 wh @B1", "+ trough 2x4 red", ".!4", ".@B1", ".", "@B1", "x"]
    return take, [line.encode() for line in lines]


def _log(scratch: Path) -> Reader:
    folder = make_folder(scratch / "bench")
    with Bench.open(folder, ticking()) as bench:
        for line in ("pl24 re *3", "br24 re *2 !4 #crack", "pl24 re @B2"):
            bench.enter(line)
        bench.undo()
    (path,) = (folder / "tallies").glob("*.jsonl")
    good = path.read_bytes()

    def take(data: bytes) -> None:
        path.write_bytes(_sealed(data[1:], path.stem) if data[0] % 2 else data[1:])
        read_log(path)

    return take, [b"\0" + good, b"\1" + good, *(b"\0" + each for each in _small(nasty.logs(path.stem, good)))]


def _sealed(data: bytes, sitting: str) -> bytes:
    """Lines with checksums that fit, so that what is behind the checksum is reached."""
    lines = []
    for line in data.splitlines():
        body = line.partition(b',"crc":')[0].removesuffix(b"}")
        lines.append(body + b',"crc":"%08x"}\n' % zlib.crc32(body, zlib.crc32(sitting.encode())))
    return b"".join(lines)


def _sheet(scratch: Path) -> Reader:
    with Bench.open(make_folder(scratch / "first"), ticking()) as bench:
        bench.enter("pl24 re *3")
        bench.enter("ti22 wh !3")
        export(bench, scratch / "sheet")
    bench = Bench.open(make_folder(scratch / "second"), ticking())
    files = {path: path.read_bytes() for path in sorted((scratch / "sheet").iterdir())}
    paths = list(files)

    def take(data: bytes) -> None:
        path = paths[data[0] % len(paths)]
        path.write_bytes(_letters(data))
        try:
            preview_sheet(bench, scratch / "sheet", changed=True)
        finally:
            path.write_bytes(files[path])

    return take, (bytes([number]) + content for number, content in enumerate(files.values()))


def _documents(scratch: Path) -> Reader:
    path = make_folder(scratch / "bench") / "bench.json"
    good = path.read_bytes()

    def take(data: bytes) -> None:
        path.write_bytes(data)
        for table in Documents(path).load():
            repr(dict(table) if hasattr(table, "keys") else table)

    golden = Path(__file__).parents[1] / "unit" / "golden" / "documents-format-3.json"
    return take, [good, golden.read_bytes(), *_small(nasty.documents(good))]


def _letters(data: bytes) -> bytes:
    """Half of all inputs are made text first: what is no text at all is refused at the door."""
    return data[1:].decode(errors="replace").encode() if data[0] < 128 else data[1:]


READERS = {"lists": _lists, "entry": _entry, "log": _log, "sheet": _sheet, "documents": _documents}


def _small(files: Iterable[tuple[str, bytes]]) -> Iterator[bytes]:
    yield from (content for _, content in files if len(content) < 4_000)


def main() -> None:
    """Fuzz one reader; does not come back, for the fuzzer ends the process."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("reader", choices=READERS)
    parser.add_argument("--seconds", type=int, default=300)
    parser.add_argument("--seed", type=int, default=1)
    chosen = parser.parse_args()
    scratch = Path(tempfile.mkdtemp())
    take, begin = READERS[chosen.reader](scratch)
    (scratch / "corpus").mkdir()
    for number, content in enumerate(begin):
        (scratch / "corpus" / f"{number:04}").write_bytes(content)

    def test_one(data: bytes) -> None:
        if not data:
            return
        try:
            take(data)
        except SortbenchError as error:
            assert not steers(f"{error.message}{error.mend}"), error

    limits = ["-max_len=50000", "-keep_seed=1", "-timeout=20", "-rss_limit_mb=2048", "-print_final_stats=1"]
    times = [f"-max_total_time={chosen.seconds}", f"-seed={chosen.seed}"]
    atheris.Setup([sys.argv[0], *limits, *times, str(scratch / "corpus")], test_one)
    try:
        atheris.Fuzz()
    finally:
        shutil.rmtree(scratch)


if __name__ == "__main__":
    main()
