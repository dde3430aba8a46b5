"""The documents of a bench: round trips, refusals, and writes interrupted at every step."""

from __future__ import annotations

import errno
import json
import multiprocessing
import os
import stat
import subprocess
import sys
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tinydb import TinyDB
from tinydb.storages import JSONStorage

from sortbench.model.bins import Bin, Rule
from sortbench.model.catalogue import Care, Kind, Part, Shade, Years
from sortbench.model.errors import BenchError, DataError, WriteError
from sortbench.model.grade import Grade
from sortbench.model.target import MAX_QUANTITY, MAX_VALUE, Line, StandIn, Swap, SwapOf, Target, refusals_of
from sortbench.model.treatment import Treatment
from sortbench.model.wash import Batch, Stage, StageEvent, Stirring, Tray, Weighing
from sortbench.store.document_codec import (
    bin_document,
    bin_from,
    part_document,
    part_from,
    shade_document,
    shade_from,
    swap_document,
    swap_from,
    target_document,
    target_from,
)
from sortbench.store.documents import FORMAT, Documents, Draft
from sortbench.store.durable import replace_file
from sortbench.store.locks import bench_lock
from sortbench.store.wash_codec import batch_document, batch_from

PART = Part("plate-2x4", "plate 2x4", "plate", ("flat 2x4",), 1.96, Years(1986, None), (Care.PRINT, Care.LARGE_PLATE))
SHADE = Shade("grey, early", "9ba19d", Years(None, 1993), ("warm grey",))
TARGET = Target(
    "T-07",
    "Funicular Halt",
    1988,
    2,
    (
        Line(Kind("plate-2x4", "grey, early"), 12),
        Line(Kind("tile-1x1", "red"), 3, Grade.G4_5, (StandIn(Kind("tile-1x1", "brown"), 4),)),
    ),
    120,
    True,
    ((Kind("plate-2x4", "grey, early"), Kind("plate-2x4", "grey, late")),),
)
SWAPS = (Swap(SwapOf.SHADE, "grey, early", "grey, late", 2), Swap(SwapOf.PART, "hinge-1x2", "hinge-1x2-b"))
BINS = (
    Bin("B7", Rule(("red",), ("plate", "tile"), (), Grade.G3, Grade.G4_5, ("any",)), 400, 900.5, "row 2, third"),
    Bin("A1"),
)
NINE = datetime(2026, 3, 1, 9, 0, tzinfo=UTC)
BATCH = Batch(
    "W2",
    "plates, whites",
    (
        StageEvent(Stage.SOAK, NINE),
        Stirring(NINE + timedelta(minutes=20)),
        StageEvent(Stage.DRYING, NINE + timedelta(hours=1), struck=True),
        StageEvent(Stage.DRYING, NINE + timedelta(hours=2)),
        Weighing(NINE + timedelta(hours=2), "big", 1810.5),
    ),
    (Tray("big", 410.0), Tray("wire")),
    2.0,
    resolution_g=0.5,
    temp_c=19.5,
    note="a drop of soap",
)
TREATMENT = Treatment(
    "20260301-1", "2026-03-01T09:00:00Z", "plate-2x4", "white", Grade.G2, 5, 3.0, 6.0, 21.0, 3, 1, 1, Grade.G4
)


@pytest.fixture
def documents(tmp_path: Path) -> Documents:
    made = Documents(tmp_path / "bench.json")
    made.create()
    return made


def fill(draft: Draft) -> None:
    draft.parts[PART.code] = PART
    draft.shades[SHADE.name] = SHADE
    draft.targets[TARGET.code] = TARGET
    draft.bins[:] = BINS
    draft.settings["pile size"] = 2500
    draft.columns["code|name"] = {"code": "Item", "name": "Description"}
    draft.pads["red"] = {"parts": ["plate-2x4", ""], "pinned": [0]}
    draft.swaps.update({swap.key: swap for swap in SWAPS})
    draft.batches[BATCH.code] = BATCH
    draft.treatments[TREATMENT.id] = TREATMENT


def test_round_trip(documents: Documents) -> None:
    with documents.edit() as draft:
        fill(draft)
    loaded = documents.load()
    assert loaded.parts == {PART.code: PART}
    assert loaded.shades == {SHADE.name: SHADE}
    assert loaded.targets == {TARGET.code: TARGET}
    assert loaded.bins == BINS
    assert loaded.settings == {"pile size": 2500}
    assert loaded.columns == {"code|name": {"code": "Item", "name": "Description"}}
    assert loaded.pads == {"red": {"parts": ["plate-2x4", ""], "pinned": [0]}}
    assert tuple(loaded.swaps.items()) == tuple((swap.key, swap) for swap in SWAPS)
    assert loaded.batches == {BATCH.code: BATCH}
    assert loaded.treatments == {TREATMENT.id: TREATMENT}
    assert loaded.version == FORMAT
    assert loaded.catalogue.part_name("plate-2x4") == "plate 2x4"


def test_a_file_of_the_first_format_is_read_and_written_in_the_new_one(documents: Documents) -> None:
    documents.path.write_text(
        '{"meta": {"1": {"format": 1}}, "targets": {"1": {"code": "T-07", "name": "Funicular Halt", "rank": 2, '
        '"lines": [{"part": "plate-2x4", "shade": "grey, early", "quantity": 12}]}}}'
    )
    target = Target("T-07", "Funicular Halt", None, 2, TARGET.lines[:1])
    assert (documents.load().targets, documents.load().swaps, documents.load().version) == ({"T-07": target}, {}, 1)
    with documents.edit() as draft:
        draft.targets["T-07"] = target._replace(parked=True)
    assert (documents.load().targets["T-07"].parked, documents.load().version) == (True, FORMAT)


def test_a_file_of_the_second_format_knows_no_batches_and_may_be_given_some(documents: Documents) -> None:
    documents.path.write_text('{"meta": {"1": {"format": 2}}, "swaps": {}}')
    assert (documents.load().batches, documents.load().treatments, documents.load().version) == ({}, {}, 2)
    with documents.edit() as draft:
        draft.batches[BATCH.code] = BATCH
    assert (documents.load().batches, documents.load().version) == ({BATCH.code: BATCH}, FORMAT)


def test_batches_may_be_left_until_they_are_asked_for(documents: Documents) -> None:
    with documents.edit() as draft:
        fill(draft)
    late = documents.load(late=True)
    assert (len(late.batches), dict(late.batches), late.batches.get("W9")) == (1, {BATCH.code: BATCH}, None)
    text = documents.path.read_text("utf-8")
    documents.path.write_text(text.replace('"soak_h": 2.0', '"soak_h": 900'), "utf-8")
    late = documents.load(late=True)
    assert (len(late.batches), late.parts) == (1, {PART.code: PART})
    with pytest.raises(BenchError, match="table 'batches', document 1: A soak of 900 h"):
        list(late.batches)
    with pytest.raises(BenchError, match="A soak of 900 h"):
        documents.load()
    with pytest.raises(BenchError), documents.edit() as draft:
        fill(draft)


def test_new_file_is_empty_and_creating_again_changes_nothing(documents: Documents) -> None:
    assert (documents.load().parts, documents.load().bins) == ({}, ())
    with documents.edit() as draft:
        fill(draft)
    documents.create()
    assert documents.load().parts == {PART.code: PART}


def test_file_is_one_that_tinydb_reads(documents: Documents) -> None:
    """The layout is TinyDB's own: read with its JSON storage, not ours."""
    with documents.edit() as draft:
        fill(draft)
    with TinyDB(documents.path, storage=JSONStorage, access_mode="r") as database:
        assert database.tables() >= {
            "meta",
            "parts",
            "shades",
            "targets",
            "bins",
            "settings",
            "columns",
            "pads",
            "swaps",
            "batches",
            "treatments",
        }
        assert database.table("parts").get(doc_id=1)["code"] == "plate-2x4"
        assert [document["label"] for document in database.table("bins")] == ["B7", "A1"]


def test_unchanged_edit_writes_nothing(documents: Documents) -> None:
    with documents.edit() as draft:
        fill(draft)
    before = documents.stamp()
    with documents.edit():
        pass
    assert documents.stamp() == before
    with documents.edit() as draft:
        draft.settings["pile size"] = 2501
    assert documents.stamp() != before


def test_tables_of_others_are_kept(documents: Documents) -> None:
    tables = json.loads(documents.path.read_text())
    tables["postcards"] = {"4": {"seller": "Mill Lane Bricks"}}
    documents.path.write_text(json.dumps(tables))
    with documents.edit() as draft:
        fill(draft)
    assert json.loads(documents.path.read_text())["postcards"] == {"4": {"seller": "Mill Lane Bricks"}}


def test_exception_in_an_edit_writes_nothing(documents: Documents) -> None:
    before = documents.path.read_bytes()
    with pytest.raises(ZeroDivisionError), documents.edit() as draft:
        fill(draft)
        _ = 1 / 0
    assert documents.path.read_bytes() == before


@pytest.mark.parametrize(
    "spoil",
    [
        lambda draft: draft.parts.update(other=PART),
        lambda draft: draft.shades.update(other=SHADE),
        lambda draft: draft.swaps.update({SWAPS[0].key: SWAPS[1]}),
        lambda draft: draft.bins.extend([Bin("B7"), Bin("B7")]),
        lambda draft: draft.settings.update(size=float("nan")),
        lambda draft: draft.settings.update(size={1, 2}),
        lambda draft: draft.pads.update({"red\ud800": []}),
        lambda draft: draft.batches.update(W3=BATCH),
        lambda draft: draft.batches.update(W2=BATCH._replace(entries=(Weighing(NINE, "big", 400.0),))),
        lambda draft: draft.batches.update(W2=BATCH._replace(entries=(Stirring(datetime(2026, 3, 1)),))),
        lambda draft: draft.treatments.update({"7": TREATMENT}),
    ],
    ids=[
        "part key",
        "shade key",
        "rule key",
        "two bins",
        "nan",
        "set",
        "surrogate",
        "batch key",
        "less than its tray",
        "no time zone",
        "treatment key",
    ],
)
def test_what_cannot_be_kept_is_refused_whole(documents: Documents, spoil: Callable[[Draft], None]) -> None:
    before = documents.path.read_bytes()
    with pytest.raises(DataError), documents.edit() as draft:
        spoil(draft)
    assert documents.path.read_bytes() == before


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("", "no JSON"),
        ('{"meta": {"1": {"format": 1}}', "no JSON"),
        ("[]", "no tables"),
        ("[" * 100_000, "no JSON"),
        ('{"parts": []}', "something else"),
        ('{"parts": {"1": 7}}', "something else"),
        ('{"parts": {"one": {}}}', "without a number"),
        ("{}", "version is missing"),
        ('{"meta": {"1": {"format": "1"}}}', "version is missing"),
        ('{"meta": {"1": {"format": 5}}}', "newer sortbench"),
        ('{"meta": {"1": {"format": 1}}, "parts": {"7": {"name": "x"}}}', "'parts', document 7.*'code'"),
        ('{"meta": {"1": {"format": 1}}, "parts": {"7": {"code": "x", "name": "x", "hue": 1}}}', "'hue' is not known"),
        ('{"meta": {"1": {"format": 1}}, "parts": {"7": {"code": "x", "name": "x", "mass_g": -1}}}', "not plausible"),
        ('{"meta": {"1": {"format": 1}}, "parts": {"7": {"code": "x", "name": "x", "mass_g": true}}}', "no number"),
        ('{"meta": {"1": {"format": 1}}, "parts": {"7": {"code": "x", "name": "x", "care": ["silk"]}}}', "care mark"),
        ('{"meta": {"1": {"format": 1}}, "parts": {"7": {"code": "x", "name": "x", "first": "1986"}}}', "year"),
        ('{"meta": {"1": {"format": 1}}, "shades": {"1": {"name": "red", "rgb": "red"}}}', "sRGB"),
        ('{"meta": {"1": {"format": 1}}, "shades": {"1": {"name": "a"}, "2": {"name": "a"}}}', "'a' twice"),
        ('{"meta": {"1": {"format": 1}}, "bins": {"1": {"label": "a", "rule": []}}}', "document was expected"),
        ('{"meta": {"1": {"format": 1}}, "targets": {"1": {"code": "a", "name": "a", "lines": [{}]}}}', "quantity"),
        ('{"meta": {"1": {"format": 2}}, "targets": {"1": {"code": "a", "name": "a", "value": -1}}}', "worth -1"),
        ('{"meta": {"1": {"format": 2}}, "targets": {"1": {"code": "a", "name": "a", "parked": 1}}}', "true nor false"),
        ('{"meta": {"1": {"format": 2}}, "targets": {"1": {"code": "a", "name": "a", "refused": [{}]}}}', "'part'"),
        ('{"meta": {"1": {"format": 2}}, "swaps": {"1": {"of": "hue", "wanted": "a", "instead": "b"}}}', "nor shade"),
        ('{"meta": {"1": {"format": 2}}, "swaps": {"1": {"of": "part", "wanted": "a", "instead": "a"}}}', "for itself"),
        (
            '{"meta": {"1": {"format": 2}}, "swaps": {"1": {"of": "part", "wanted": "a", "instead": "b", "cost": 10}}}',
            "cost 10",
        ),
        (
            '{"meta": {"1": {"format": 2}}, "swaps": {"1": {"of": "part", "wanted": "a", "instead": "b"}, '
            '"2": {"of": "part", "wanted": "a", "instead": "b", "cost": 2}}}',
            "'b for the part a' twice",
        ),
        ('{"meta": {"1": {"format": 3}}, "batches": {"1": {"code": "W 1"}}}', "no code for a batch"),
        ('{"meta": {"1": {"format": 3}}, "batches": {"1": {"code": "W1", "soak_h": 900}}}', "soak of 900"),
        ('{"meta": {"1": {"format": 3}}, "batches": {"1": {"code": "W1", "entries": [{"at": "now"}]}}}', "is no time"),
        (
            '{"meta": {"1": {"format": 3}}, "batches": {"1": {"code": "W1", "entries": '
            '[{"at": "2026-03-01T09:00:00"}]}}}',
            "no time zone",
        ),
        (
            '{"meta": {"1": {"format": 3}}, "batches": {"1": {"code": "W1", "entries": '
            '[{"at": "2026-03-01T09:00:00Z"}]}}}',
            "neither a stage",
        ),
        (
            '{"meta": {"1": {"format": 3}}, "batches": {"1": {"code": "W1", "entries": '
            '[{"at": "2026-03-01T09:00:00Z", "stage": "boil"}]}}}',
            "no stage",
        ),
        (
            '{"meta": {"1": {"format": 3}}, "batches": {"1": {"code": "W1", "entries": '
            '[{"at": "2026-03-01T09:00:00Z", "grams": 0}]}}}',
            "weight of 0 g",
        ),
        ('{"meta": {"1": {"format": 3}}, "treatments": {"1": {"id": "1", "at": "2026", "part": "a"}}}', "'shade'"),
        ('{"meta": {"1": {"format": 1}}, "settings": {"1": {"name": 1, "value": 2}}}', "malformed"),
        ('{"meta": {"1": {"format": 1}}, "columns": {"1": {"name": "a", "value": [1]}}}', "malformed"),
    ],
)
def test_unreadable_file_is_refused_and_left_alone(tmp_path: Path, text: str, reason: str) -> None:
    path = tmp_path / "bench.json"
    path.write_text(text)
    with pytest.raises(BenchError, match=reason) as caught:
        Documents(path).load()
    assert caught.value.exit_code == 3 and str(path) in caught.value.message and caught.value.mend
    with pytest.raises(BenchError), Documents(path).edit() as draft:
        fill(draft)
    assert path.read_text() == text


def test_missing_file_says_how_to_make_one(tmp_path: Path) -> None:
    with pytest.raises(BenchError, match="sortbench new"):
        Documents(tmp_path / "bench.json").load()


def test_reading_imports_neither_tinydb_nor_filelock(documents: Documents) -> None:
    code = (
        "import sys; from pathlib import Path; from sortbench.store.folder import BenchFolder; "
        f"bench = BenchFolder.open(Path({str(documents.path.parent)!r})); bench.documents.load(); bench.logs(); "
        "print([name for name in ('tinydb', 'filelock') if name in sys.modules])"
    )
    (documents.path.parent / "tallies").mkdir()
    root = Path(__file__).parents[2]
    ran = subprocess.run([sys.executable, "-c", code], cwd=root, capture_output=True, text=True, check=True)
    assert ran.stdout.strip() == "[]"


# --- interrupted and refused writes -----------------------------------------------------------------------------------

STEPS = ("open", "write", "fchmod", "fsync", "close", "replace")


class Stopped(BaseException):
    """The program ends here."""


def countdown(monkeypatch: pytest.MonkeyPatch, after: int, error: BaseException) -> list[str]:
    """Let the ``os`` functions that write succeed ``after`` times, then fail; the calls made."""
    calls: list[str] = []

    def counted(name: str, real: Callable[..., object]) -> Callable[..., object]:
        def step(*arguments: object) -> object:
            calls.append(name)
            if len(calls) > after:
                raise error
            return real(*arguments)

        return step

    for name in STEPS:
        monkeypatch.setattr(os, name, counted(name, getattr(os, name)))
    return calls


@pytest.mark.parametrize(
    "error", [OSError(errno.ENOSPC, "No space left on device"), Stopped()], ids=["refused", "stop"]
)
def test_write_failing_at_every_step_leaves_old_or_new(documents: Documents, error: BaseException) -> None:
    """Each call that can fail fails, with every call after it, until the write gets through."""
    with documents.edit() as draft:
        draft.settings["state"] = "new"
    path, new = documents.path, documents.path.read_bytes()
    with documents.edit() as draft:
        draft.settings["state"] = "old"
    old = path.read_bytes()
    states: list[str] = []
    calls: list[str] = []
    done = False
    while not done:
        path.write_bytes(old)
        with pytest.MonkeyPatch.context() as patch:
            calls = countdown(patch, len(states), error)
            try:
                replace_file(path, new)
                done = True
            except (OSError, WriteError, Stopped):
                pass
        states.append(documents.load().settings["state"])
    assert set(calls) == set(STEPS)
    assert len(states) == len(calls) + 1 > 7
    assert states == sorted(states, reverse=True) and set(states) == {"old", "new"}


def test_unconfirmed_write_is_not_called_undone(documents: Documents, monkeypatch: pytest.MonkeyPatch) -> None:
    """The file is in place but the folder could not be synced: neither "written" nor "nothing was changed" is true."""
    real = os.fsync

    def files_only(descriptor: int) -> None:
        if stat.S_ISDIR(os.fstat(descriptor).st_mode):
            raise OSError(errno.EIO, "Input/output error")
        real(descriptor)

    monkeypatch.setattr(os, "fsync", files_only)
    with pytest.raises(WriteError, match="did not confirm"), documents.edit() as draft:
        fill(draft)
    assert documents.load().bins == BINS


def test_full_disk_says_that_nothing_was_changed(documents: Documents, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(*_: object) -> int:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(os, "write", full)
    with pytest.raises(WriteError, match="Nothing was changed"), documents.edit() as draft:
        fill(draft)
    assert [file.name for file in documents.path.parent.iterdir() if file.suffix == ".tmp"] == []


def test_link_is_not_written_through(tmp_path: Path, documents: Documents) -> None:
    inner = tmp_path / "inner"
    inner.mkdir()
    link = inner / "bench.json"
    link.symlink_to(documents.path)
    before = documents.path.read_bytes()
    with pytest.raises(BenchError, match="symbolic link"), Documents(link).edit() as draft:
        fill(draft)
    assert documents.path.read_bytes() == before


def test_access_rights_stay(documents: Documents) -> None:
    documents.path.chmod(0o640)
    with documents.edit() as draft:
        fill(draft)
    assert documents.path.stat().st_mode & 0o777 == 0o640


def _hold(folder: str, held: object, done: object) -> None:
    with bench_lock(Path(folder)):
        held.set()  # type: ignore[attr-defined]
        done.wait(20)  # type: ignore[attr-defined]


def test_locked_by_another_program(documents: Documents) -> None:
    context = multiprocessing.get_context("spawn")
    held, done = context.Event(), context.Event()
    other = context.Process(target=_hold, args=(str(documents.path.parent), held, done))
    other.start()
    try:
        assert held.wait(20)
        with pytest.raises(BenchError, match="locked by another program") as caught, documents.edit(0.05):
            pass
        assert (caught.value.exit_code, "try again" in caught.value.mend) == (3, True)
        assert documents.load().parts == {}  # reading needs no lock
    finally:
        done.set()
        other.join(20)
    with documents.edit(0.05) as draft:
        fill(draft)


# --- any model object comes back the same -----------------------------------------------------------------------------

texts = st.text(max_size=12)
several = st.lists(texts, max_size=3).map(tuple)
years = st.lists(st.none() | st.integers(1900, 2200), min_size=2, max_size=2).map(
    lambda pair: Years(*sorted(pair)) if None not in pair else Years(*pair)
)
grams = st.none() | st.floats(0.01, 10_000)
parts = st.builds(Part, texts, texts, texts, several, grams, years, st.lists(st.sampled_from(Care)).map(tuple))
shades = st.builds(Shade, texts, st.just("") | st.from_regex("[0-9a-f]{6}", fullmatch=True), years, several)
kinds = st.builds(Kind, texts, texts)
stand_ins = st.lists(st.builds(StandIn, kinds, st.integers(0, 9)), max_size=2).map(tuple)
lines = st.builds(Line, kinds, st.integers(1, MAX_QUANTITY), st.sampled_from(Grade), stand_ins)
targets = st.builds(
    Target,
    texts,
    texts,
    st.none() | st.integers(),
    st.integers(),
    st.lists(lines, max_size=3).map(tuple),
    st.none() | st.integers(0, MAX_VALUE),
    st.booleans(),
    st.lists(st.tuples(kinds, kinds), max_size=3).map(refusals_of),
)
swaps = st.builds(Swap, st.sampled_from(SwapOf), texts, texts, st.integers(1, 9)).filter(
    lambda swap: swap.wanted != swap.instead
)
grades = st.none() | st.sampled_from(Grade)
rules = st.builds(Rule, several, several, several, grades, grades, several)
bins = st.builds(Bin, texts, rules, st.none() | st.integers(1, 10_000_000), grams, texts)


words = st.text("abcXYZ 0é", max_size=12).map(lambda text: " ".join(text.split()))
moments = st.datetimes(datetime(1990, 1, 1), datetime(2090, 1, 1), timezones=st.just(UTC)).map(
    lambda moment: moment.replace(microsecond=0)
)
entries = st.one_of(
    st.builds(StageEvent, st.sampled_from(Stage), moments, st.booleans()),
    st.builds(Stirring, moments, st.booleans()),
    st.builds(Weighing, moments, words, st.floats(500.5, 50_000), st.booleans()),
)
trays = st.lists(st.builds(Tray, words, st.none() | st.floats(0, 500)), max_size=3, unique_by=lambda tray: tray.name)
batches = st.builds(
    Batch,
    st.from_regex("[A-Z][0-9]{1,4}", fullmatch=True),
    words,
    st.lists(entries, max_size=4).map(tuple),
    trays.map(tuple),
    st.floats(0.05, 48),
    st.floats(1, 600),
    st.floats(0.25, 336),
    st.none() | st.floats(0.0001, 100),
    st.none() | st.floats(0, 50),
    st.none() | st.floats(1, 100),
    words,
)


@settings(max_examples=60)
@given(batches)
def test_any_batch_round_trip(batch: Batch) -> None:
    assert batch_from(json.loads(json.dumps(batch_document(batch)))) == batch


@settings(max_examples=60)
@given(parts, shades, targets, bins, swaps)
def test_any_object_round_trip(part: Part, shade: Shade, target: Target, container: Bin, swap: Swap) -> None:
    def through_json(document: object) -> dict[str, object]:
        return dict(json.loads(json.dumps(document)))

    assert part_from(through_json(part_document(part))) == part
    assert shade_from(through_json(shade_document(shade))) == shade
    assert target_from(through_json(target_document(target))) == target
    assert bin_from(through_json(bin_document(container))) == container
    assert swap_from(through_json(swap_document(swap))) == swap
