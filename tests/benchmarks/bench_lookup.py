"""Look-up: speed and quality beside rapidfuzz's ``process.extract`` with ``WRatio`` over all names, in the same run.

Run with ``python -m tests.benchmarks.bench_lookup``. The catalogue and the queries are described in ``queries.py``.

*first* is the share of queries whose wanted kind is the first hit, *in eight* among the first eight. Both are printed
raw, and again counting a kind that answers the query just as well as the wanted one (``Query.means_as_well``) as right.
"""

from __future__ import annotations

import argparse
import gc
from statistics import median
from time import perf_counter

from rapidfuzz import fuzz, process

from sortbench.engine.lookup import Lookup
from sortbench.model.catalogue import Catalogue, Kind
from tests.benchmarks.queries import Query, catalogue, name_words, queries

_SHOWN = 8
_AIM_FIRST, _AIM_EIGHT = 90.0, 98.0  # percent
_CATALOGUES = ((400, 50), (1000, 20), (2000, 50), (5000, 20))
_LIMIT_MS = {20_000: 5.0, 100_000: 15.0}
_BUILDS = ((400, 14, 15.0), (2000, 50, 60.0))


def percentile(values: list[float], share: float) -> float:
    """The value that the given share of values does not exceed."""
    return sorted(values)[min(len(values) - 1, int(len(values) * share))]


def quality(made: Catalogue, asked: list[Query], answers: list[list[Kind]]) -> tuple[str, bool]:
    """Shares of right answers, raw and with equal answers counted, and whether the raw ones meet the aims."""
    raw_first = raw_eight = fair_first = fair_eight = 0
    for query, kinds in zip(asked, answers, strict=True):
        raw_first += kinds[:1] == [query.kind]
        raw_eight += query.kind in kinds
        fair = [kind == query.kind or query.means_as_well(name_words(made, kind)) for kind in kinds]
        fair_first += any(fair[:1])
        fair_eight += any(fair)
    share = 100 / len(asked)
    first, eight = raw_first * share, raw_eight * share
    line = (
        f"first {first:5.1f} %  in eight {eight:5.1f} %   equals counted: first {fair_first * share:5.1f} %"
        f"  in eight {fair_eight * share:5.1f} %"
    )
    return line, first >= _AIM_FIRST and eight >= _AIM_EIGHT


def ask(index: Lookup, asked: list[Query]) -> tuple[list[float], list[list[Kind]]]:
    """Milliseconds and answers of each query."""
    times, answers = [], []
    for query in asked:
        start = perf_counter()
        hits = index.search(query.text, limit=_SHOWN)
        times.append(1000 * (perf_counter() - start))
        answers.append([hit.kind for hit in hits])
    return times, answers


def type_through(index: Lookup, asked: list[Query]) -> list[float]:
    """Milliseconds of each search when the queries are typed letter by letter."""
    times = []
    for query in asked:
        for end in range(1, len(query.text) + 1):
            start = perf_counter()
            index.search(query.text[:end], limit=_SHOWN)
            times.append(1000 * (perf_counter() - start))
    return times


def compare(parts: int, shades: int, count: int, references: int, seed: int) -> bool:
    """Print the figures of one catalogue; whether all aims are met."""
    made = catalogue(parts, shades, seed)
    kinds = [Kind(part, shade) for part in made.parts for shade in made.shades]
    names = [" ".join(name_words(made, kind)) for kind in kinds]
    print(f"\n{len(kinds):,} kinds: {parts:,} parts in {shades} shades, seed {seed}")
    met = True
    for manner, careful in (("careful", True), ("hasty", False)):
        asked = list(queries(made, count, seed + 1, careful))
        times, answers = ask(Lookup(made), asked)
        p99, limit = percentile(times, 0.99), _LIMIT_MS[len(kinds)]
        line, good = quality(made, asked, answers)
        print(f"  {manner:8} sortbench  {line}  (aim {_AIM_FIRST:g} and {_AIM_EIGHT:g}, raw)")
        start = perf_counter()
        found = [
            [kinds[place] for *_, place in process.extract(q.text.lower(), names, scorer=fuzz.WRatio, limit=_SHOWN)]
            for q in asked[:references]
        ]
        reference = 1000 * (perf_counter() - start) / references
        print(f"  {manner:8} WRatio     {quality(made, asked[:references], found)[0]}  ({references} queries)")
        mean = sum(times) / len(times)
        print(
            f"  {manner:8} ms a query: median {median(times):.2f}, mean {mean:.2f}, p99 {p99:.2f} (aim {limit:g}), "
            f"most {max(times):.2f}; WRatio mean {reference:.1f}; {reference / mean:.0f} times faster (aim 10)"
        )
        met = met and good and p99 <= limit and reference >= 10 * mean
    typed = type_through(Lookup(made), asked[: count // 10])
    p99 = percentile(typed, 0.99)
    print(f"  letter by letter: median {median(typed):.2f} ms, p99 {p99:.2f} ms, most {max(typed):.2f} ms")
    weighed = Lookup(made)
    for weight, kind in enumerate(kinds[:: max(1, len(kinds) // 2500)], 1):
        weighed.weigh(kind, weight)
    typed = type_through(weighed, asked[: count // 10])
    p99_weighed = percentile(typed, 0.99)
    print(
        f"  the same, 2,500 kinds weighed: median {median(typed):.2f} ms, p99 {p99_weighed:.2f} ms, "
        f"most {max(typed):.2f} ms"
    )
    return met and max(p99, p99_weighed) <= limit


def main() -> None:
    """Print all figures."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--queries", type=int, default=1000)
    parser.add_argument("--references", type=int, default=50, help="queries put to WRatio")
    parser.add_argument("--seed", type=int, default=7)
    options = parser.parse_args()
    met = True
    for parts, shades, limit in _BUILDS:
        made = catalogue(parts, shades, options.seed)
        times = []
        for _ in range(7):
            gc.collect()
            start = perf_counter()
            Lookup(made)
            times.append(1000 * (perf_counter() - start))
        met = met and median(times) <= limit
        print(f"building the index, {parts:,} parts x {shades} shades: median {median(times):.1f} ms (aim {limit:g})")
    for parts, shades in _CATALOGUES:
        met = compare(parts, shades, options.queries, options.references, options.seed) and met
    print("\nall aims met" if met else "\nnot all aims met")


if __name__ == "__main__":
    main()
