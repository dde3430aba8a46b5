"""Keys of common errands: ``python -m tests.benchmarks.bench_journeys``."""

from __future__ import annotations

from tests.journeys import JOURNEYS, count_keys, forget_demo


def main() -> None:
    """Play every journey and print its keys beside those that it took at first."""
    print("| errand | keys | at first |\n|---|---|---|")
    try:
        for journey in JOURNEYS:
            print(f"| {journey.name} | {count_keys(journey)} | {journey.at_first} |", flush=True)
    finally:
        forget_demo()


if __name__ == "__main__":
    main()
