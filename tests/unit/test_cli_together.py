"""Counts of several benches, brought together and reconciled, from the shell alone."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import frictionless

from tests.unit.cli_bench import call, make_bench, rows

COUNTED = {
    "attic": ["plate 2x4 white *5", "bell grey late", "brick 2x4 white *2"],
    "cellar": ["plate 2x4 white !2 *9", "brick 2x4 white *2"],
}


def done(*args: str | Path) -> str:
    result = call(*args)
    assert result.exit_code == 0, result.stderr
    return result.stderr


def targets(bench: Path) -> list[dict[str, Any]]:
    return rows(call("--bench", bench, "reconcile", "--json"), "reconcile")


def test_two_benches_count_and_a_third_reconciles_and_picks(tmp_path: Path) -> None:
    for name, entries in COUNTED.items():
        done("--bench", make_bench(tmp_path / name), "tally", *entries)
        done("--bench", tmp_path / name, "export", tmp_path / f"{name}-sheet")
        assert frictionless.validate(str(tmp_path / f"{name}-sheet" / "datapackage.json")).valid
    table = make_bench(tmp_path / "table")
    for name in (*COUNTED, *COUNTED):  # the second time there is nothing to add
        done("--bench", table, "import", "counts", tmp_path / f"{name}-sheet", "--yes")
    one = make_bench(tmp_path / "one")
    done("--bench", one, "tally", *(entry for entries in COUNTED.values() for entry in entries))
    assert targets(table) == targets(one)
    first = targets(table)[0]
    assert (first["target"], first["present"], first["to_standard"], first["short"]) == ("T-03", 13, 5, 0)

    spares = rows(call("--bench", table, "counts", "--spare", "--json"), "spares")
    assert {(row["part"], row["grade"], row["quantity"]) for row in spares} == {
        ("plate-2x4", "2", 2),
        ("brick-2x4", "5", 4),
    }
    done("--bench", table, "pick", "T-03", "--all")
    done("--bench", table, "export", tmp_path / "out")
    package = frictionless.Package(str(tmp_path / "out" / "datapackage.json"))
    assert frictionless.validate(str(tmp_path / "out" / "datapackage.json")).valid
    allocated = package.get_resource("allocation").read_rows()
    assert sum(row["quantity"] for row in allocated) == 13
    assert {(row["fate"], row["bin"]) for row in allocated} == {("in a crate", None)}
    assert sum(row["quantity"] for row in package.get_resource("spares").read_rows()) == 6
    lacking = {
        (row["line"], row["short"], row["below_standard"]) for row in package.get_resource("shortfall").read_rows()
    }
    assert lacking == {(1, 0, 7), (2, 0, 1)}
