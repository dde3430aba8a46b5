"""Errands at the keyboard, key by key: the counts of keys go down, not up."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from tests.journeys import JOURNEYS, Journey, count_keys, forget_demo


@pytest.fixture(scope="module", autouse=True)
def demo_once() -> Iterator[None]:
    """The demo that journeys start from is built once."""
    yield
    forget_demo()


@pytest.mark.parametrize("journey", JOURNEYS, ids=[each.name for each in JOURNEYS])
def test_an_errand_takes_no_more_keys_than_it_did(journey: Journey) -> None:
    assert count_keys(journey) <= journey.most <= journey.at_first
