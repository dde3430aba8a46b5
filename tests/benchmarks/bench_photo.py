"""A photograph of 12 megapixels judged from the command line, beside a bare Pillow decode in the same run.

Run as ``python -m tests.benchmarks.bench_photo [--turns N]``. Printed are wall time and peak memory of whole processes
(the interpreter's start included): ``sortbench photo`` on 24 pieces in a grid, the same on a picture turned by its EXIF
mark and in a colour profile of its own, and a process that only decodes the picture. Aims: 1.5 s, 400 MB.
"""

from __future__ import annotations

import argparse
import json
import statistics
import subprocess
import sys
import tempfile
from pathlib import Path

from PIL import Image

from tests.unit.test_photo_reading import gamma_profile

SIZE = 4000, 3000
BARE = "import sys; from PIL import Image; Image.open(sys.argv[1]).load()"
MEASURED = """
import json, resource, subprocess, sys, time
began = time.perf_counter()
done = subprocess.run(sys.argv[1:], capture_output=True, text=True)
seconds = time.perf_counter() - began
peak = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss
print(json.dumps([seconds, peak / 1024, done.returncode, done.stdout[-20000:], done.stderr[-2000:]]))
"""
"""Runs one command as its only child, so that the peak is that command's alone."""


def picture(path: Path, size: tuple[int, int] = SIZE, **options: object) -> Path:
    """A card at the left, an unaged piece beside it, and 24 pieces in a grid, on a noisy table."""
    width, height = size
    image = Image.effect_noise(size, 40).convert("RGB")

    def put(colour: tuple[int, int, int], left: float, top: float, across: float, down: float) -> None:
        box = tuple(
            round(each) for each in (left * width, top * height, (left + across) * width, (top + down) * height)
        )
        image.paste(colour, box)  # type: ignore[arg-type]

    put((222, 216, 204), 0.02, 0.05, 0.1, 0.9)
    put((214, 208, 196), 0.15, 0.05, 0.1, 0.2)
    for line in range(4):
        for column in range(6):
            put((212 - line, 206 - line, 190 - 6 * column - line), 0.3 + 0.11 * column, 0.05 + 0.23 * line, 0.09, 0.2)
    image.save(path, quality=90, **options)
    return path


def run(*command: str | Path) -> tuple[float, float, str]:
    """Seconds, peak megabytes and standard output of a process."""
    done = subprocess.run(
        [sys.executable, "-c", MEASURED, *map(str, command)], capture_output=True, text=True, check=True
    )
    seconds, peak, code, out, err = json.loads(done.stdout)
    if code:
        raise SystemExit(f"{command} failed with {code}: {err}")
    return seconds, peak, out


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--turns", type=int, default=7, help="times each is run (default 7)")
    turns = parser.parse_args().turns
    marks = ("--card", "3%,10%,8%,80%", "--reference", "17%,8%,6%,14%", "--grid", "29%,4%,66%,92%,6x4")
    with tempfile.TemporaryDirectory() as place:
        plain = picture(Path(place) / "plain.jpg")
        exif = Image.Exif()
        exif[0x0112] = 3
        turned = picture(Path(place) / "turned.jpg", exif=exif, icc_profile=gamma_profile(1.8))
        judge = (sys.executable, "-m", "sortbench", "photo")
        around = ("--card", "89%,10%,8%,80%", "--reference", "77%,78%,6%,14%", "--grid", "5%,4%,66%,92%,6x4")
        cases = {
            "bare Pillow decode": (sys.executable, "-c", BARE, plain),
            "sortbench --help": (sys.executable, "-m", "sortbench", "--help"),
            "photo, 24 pieces": (*judge, plain, *marks, "--json"),
            "photo, turned and converted": (*judge, turned, *around, "--json"),
            "photo, preview": (*judge, plain, "--preview"),
        }
        found: dict[str, list[tuple[float, float, str]]] = {name: [] for name in cases}
        for _ in range(turns):
            for name, command in cases.items():
                found[name].append(run(*command))
        bare = statistics.median(seconds for seconds, _, _ in found["bare Pillow decode"])
        for name, each in found.items():
            seconds, most = statistics.median(each_[0] for each_ in each), max(each_[0] for each_ in each)
            peak = max(each_[1] for each_ in each)
            print(f"{name}: median {seconds:.3f} s (x{seconds / bare:.2f}), longest {most:.3f} s, peak {peak:.0f} MB")
        judged = [row for row in json.loads(found["photo, 24 pieces"][0][2])["rows"] if row["grade"]]
        print(f"{len(judged)} of 24 pieces judged, {plain.stat().st_size / 1e6:.1f} MB of JPEG; aims 1.5 s, 400 MB")


if __name__ == "__main__":
    main()
