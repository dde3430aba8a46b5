"""A long search for a plan in a real terminal: how it goes is shown, Ctrl+C takes the best so far."""

from __future__ import annotations

import re
from decimal import Decimal
from pathlib import Path
from random import Random

import pytest
from person import PATIENCE, at_terminal, shell

from sortbench.bench import Bench
from sortbench.model.catalogue import Kind, Part, Shade
from sortbench.model.grade import Grade
from sortbench.model.offer import Offer, Seller, ShippingStep
from sortbench.model.target import Line, Target

LINES, SELLERS = 300, 80
_GAP = re.compile(r"looking for the cheapest plan \.\.\. at most [0-9.]+% from the best; Ctrl\+C takes it")


@pytest.fixture(scope="module")
def long_search(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A bench whose cheapest plan takes minutes to be proven: many sellers, with shipping by weight."""
    rng = Random(5)
    folder = tmp_path_factory.mktemp("plan") / "bench"
    steps = (ShippingStep(60, Decimal(0)), ShippingStep(250, Decimal("2.00")), ShippingStep(2000, Decimal("5.50")))
    with Bench.create(folder) as bench:
        with bench.folder.documents.edit() as draft:
            draft.shades["white"] = Shade("white")
            for number in range(LINES):
                draft.parts[f"p{number}"] = Part(f"p{number}", f"part {number}", mass_g=rng.uniform(0.5, 9.0))
            kinds = [Kind(code, "white") for code in draft.parts]
            lines = tuple(Line(kind, rng.choice((1, 1, 2, 4, 6))) for kind in kinds)
            draft.targets["T-01"] = Target("T-01", "Peat Tramway", 1990, 1, lines)
            typical = {kind: rng.lognormvariate(2.7, 0.8) for kind in kinds}
            for place in range(SELLERS):
                name = f"Seller {place}"
                draft.sellers[name] = Seller(name, "EUR", Decimal(rng.choice((250, 350, 450))).scaleb(-2), steps)
                for kind in rng.sample(kinds, 130):
                    price = Decimal(max(1, round(typical[kind] * rng.lognormvariate(0, 0.3)))).scaleb(-2)
                    key = f"{place}-{kind.part}"
                    draft.offers[key] = Offer(key, name, kind, Grade.G5, (), price, rng.randint(1, 9))
        bench.reload()
    return folder


def test_ctrl_c_takes_the_best_plan_so_far(long_search: Path) -> None:
    with at_terminal("--bench", long_search, "plan", "--time", "600", columns=100, rows=40) as person:
        person.wait_for(lambda shown: bool(_GAP.search(shown.screen_text())), 3 * PATIENCE)
        person.send(b"\x03")
        assert person.wait(3 * PATIENCE) == 0
        shown = person.screen_text()
    assert "stopped by hand" in shown
    assert "looking for" not in shown, "the line that told how it goes is wiped"
    assert re.search(r"[0-9.,]+ EUR paid to sellers; total cost [0-9.,]+ EUR \(at most [0-9.]+% from the best", shown)
    assert "Traceback" not in person.raw.decode(errors="replace")


def test_struck_again_and_again_it_is_left_at_once(long_search: Path) -> None:
    with at_terminal("--bench", long_search, "plan", "--time", "600", columns=100, rows=40) as person:
        person.wait_for(lambda shown: bool(_GAP.search(shown.screen_text())), 3 * PATIENCE)
        person.send(b"\x03")
        person.send(b"\x03")
        for _ in range(20):
            person.send(b"\x03")
            person.read(0.02)
        assert person.wait(3 * PATIENCE) in (0, 130), "one way or the other, but never an abort"
        said = person.raw.decode(errors="replace")
    assert "Traceback" not in said
    assert "fault of the program" not in said


def test_orders_are_not_made_of_a_search_that_was_stopped(long_search: Path) -> None:
    with at_terminal("--bench", long_search, "orders", "from-plan", "--time", "600", columns=100, rows=40) as person:
        person.wait_for(lambda shown: bool(_GAP.search(shown.screen_text())), 3 * PATIENCE)
        person.send(b"\x03")
        assert person.wait(3 * PATIENCE) == 1
        assert "The search was stopped, so nothing is ordered." in person.screen_text()
    with Bench.open(long_search) as bench:
        assert not bench.documents.orders


def test_no_progress_is_told_where_nobody_looks(long_search: Path) -> None:
    ran = shell("--bench", long_search, "plan", "--time", "2", "--json")
    assert ran.returncode == 0
    assert "looking for" not in ran.stderr
