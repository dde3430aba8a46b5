"""What people do at a bench that reaches the disk: one act each, for the harnesses that let the disk fail."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any, NamedTuple

from ordering import make_market
from small_bench import BRICK, PLATE, ticking

from sortbench.bench import Bench
from sortbench.desks import intake
from sortbench.desks.additions import add_part
from sortbench.desks.lot_desk import LotDesk, Paid
from sortbench.desks.merge_desk import MergePreview, look, merge
from sortbench.desks.orders_desk import OrdersDesk, Purchase
from sortbench.desks.pile_desk import set_pile
from sortbench.desks.recount_desk import RecountDesk
from sortbench.desks.scale_desk import ScaleTold
from sortbench.desks.sheet_desk import export
from sortbench.desks.sheet_intake import preview_sheet, take_in
from sortbench.desks.spot_desk import SpotDesk
from sortbench.desks.statement_desk import keep_files, statement
from sortbench.desks.wash_desk import WashDesk
from sortbench.desks.weigh_desk import Question, WeighDesk
from sortbench.model.catalogue import Part
from sortbench.model.grade import Grade
from sortbench.model.library import SetList, Wanted
from sortbench.model.lot import Spent
from sortbench.model.weighing import Handful, Load
from sortbench.store.folder import BenchFolder, Severity
from sortbench.store.library import save_library
from sortbench.upkeep import repair

TARGETS_CSV = "code,name,rank,part,shade,quantity\nT-09,Bell Foundry,4,plate-2x4,red,5\nT-09,Bell Foundry,4,,red,x\n"


class Act(NamedTuple):
    """Something that a person does.

    Attributes:
        name: in a word or two.
        run: does it at an open bench; the folder beside the bench holds files to bring in.
        warm: what was done at that sitting before.
        many: whether it writes several records, so that a stop in between may leave some of them.
        closed: it works on a bench that nobody has open.
        owns_up: whether the answer says that something was left undone.
    """

    name: str
    run: Callable[[Bench, Path], object]
    warm: tuple[str, ...] = ()
    many: bool = False
    closed: bool = False
    owns_up: Callable[[Any], bool] = lambda answer: False


def make_template(scratch: Path) -> Path:
    """A bench with counts of two sittings, offers and an order under way; files to bring in lie beside it."""
    bench_folder = make_market(scratch / "bench")
    with Bench.open(bench_folder, ticking()) as bench:
        for line in ("pl24 re *3", "br24 re !4 *2", "pl24 re #crack"):
            bench.enter(line)
    with Bench.open(bench_folder, ticking()) as bench:
        bench.enter("ti22 wh *4")
        bench.crates.pick(BRICK, 1, "T-01", Grade.G4, bin_label="B2")
        bench.enter("br24 re *4")
        desk = OrdersDesk(bench, ticking())
        desk.new([Purchase("m1", 3, "T-01"), Purchase("m2", 2, "T-01")])
        desk.sent("P1")
        WashDesk(bench, ticking()).new("whites", "W1")
        WeighDesk(bench, ticking()).tell(ScaleTold(step_g=0.1))
        checks = SpotDesk(bench, ticking())
        checks.begin("B2", seed=7)
        checks.note("S1", "br24 re")
        for label in ("B2", "REST"):
            RecountDesk(bench, ticking()).begin(label, "Ann")
        RecountDesk(bench, ticking()).note("R1", "br24 re *6")
        RecountDesk(bench, ticking()).note("R1", "pl12 re")
        RecountDesk(bench, ticking()).end("R1")
        bench.keep(lambda draft: draft.columns.update({"item,pcs": {"code": "item", "quantity": "pcs"}}))
        bench.reload()
    (scratch / "targets.csv").write_text(TARGETS_CSV)
    other = make_market(scratch / "other")
    with Bench.open(other, ticking()) as bench:
        bench.enter("br24 re *6")
        bench.enter("pl12 re *2")
        export(bench, scratch / "sheet")
    copy = shutil.copytree(bench_folder, scratch / "laptop")
    with Bench.open(copy, ticking()) as bench:
        bench.enter("ar gr e *2")
        add_part(bench, Part("fence-1x4", "fence 1x4", "fence"))
    save_library(copy, {"VW-06": SetList("VW-06", "Peat Tramway", (Wanted("turf cutter", "brown", 2),))})
    damaged = shutil.copytree(bench_folder, scratch / "damaged")
    spoil(damaged)
    return bench_folder


def spoil(folder: Path) -> None:
    """A record with a flipped bit in one log, a torn end in the other, traces of a crash."""
    first, second = sorted((folder / "tallies").glob("*.jsonl"))
    data = bytearray(first.read_bytes())
    data[data.index(b"brick")] ^= 1
    first.write_bytes(data)
    second.write_bytes(second.read_bytes() + b'{"seq":3,"at":"20')
    (folder / ".bench.json.0a1b2c3d.tmp").write_text("half")


def _import(bench: Bench, beside: Path) -> None:
    seen = intake.preview(bench.folder.documents, "targets", [beside / "targets.csv"])
    intake.commit(bench.folder.documents, seen, skip_bad=True)
    bench.reload()


def _sheet(bench: Bench, beside: Path) -> None:
    take_in(bench, preview_sheet(bench, beside / "sheet"))


def _arrive(bench: Bench, _: Path) -> None:
    OrdersDesk(bench, ticking()).arrive_all("P1")


def _order(bench: Bench, _: Path) -> None:
    OrdersDesk(bench, ticking()).new([Purchase("a1", 1)])


def _weigh(bench: Bench, _: Path) -> str:
    desk = WeighDesk(bench, ticking())
    question = Question(PLATE, Load(16.5, 12.5), (Handful(10, 22.5, 12.5),))
    return desk.tally(question, desk.ask(question)).note


def _merge(bench: Bench, beside: Path) -> MergePreview:
    seen = look(bench.path, beside / "laptop")
    merge(seen, ticking()())
    bench.refresh()
    return seen


def _pin(bench: Bench, _: Path) -> None:
    bench.hold_shade("red")
    bench.pad.counted(PLATE)
    bench.pad.save()


def _new(bench: Bench, beside: Path) -> None:
    with Bench.create(beside / "made"):
        pass


ACTS = (
    Act("first tally", lambda bench, _: bench.enter("pl24 re *3")),
    Act("tally", lambda bench, _: bench.enter("pl24 re *3 !3"), warm=("br24 re",)),
    Act("tally again", lambda bench, _: bench.again(2), warm=("br24 re",)),
    Act("correction", lambda bench, _: bench.regrade(down=True), warm=("br24 re !4",)),
    Act("undo", lambda bench, _: bench.undo(), warm=("br24 re *2",)),
    Act("undo of an earlier sitting", lambda bench, _: bench.undo()),
    Act("redo", lambda bench, _: (bench.undo(), bench.redo()), warm=("br24 re *2",), many=True),
    Act("reserve", lambda bench, _: bench.crates.reserve(PLATE, 1, "T-01", Grade.G5)),
    Act("pick", lambda bench, _: bench.crates.pick(PLATE, 2, "T-01", Grade.G5, bin_label="B1")),
    Act("put back", lambda bench, _: bench.crates.put_back(BRICK, 1, "T-01", Grade.G4), many=True),
    Act("pile", lambda bench, _: set_pile(bench, 900)),
    Act("new part", lambda bench, _: add_part(bench, Part("hinge-1x2", "hinge 1x2", "hinge"))),
    Act("keypad", _pin),
    Act("import", _import),
    Act("wash", lambda bench, _: WashDesk(bench, ticking()).stirred("W1")),
    Act("expense", lambda bench, _: LotDesk(bench, ticking()).spend(Spent.OTHER, Paid("4.50"))),
    Act("order", _order),
    Act("parcel", _arrive, many=True),
    Act("count by weight", _weigh, many=True, owns_up=lambda note: "could not be kept" in note),
    Act("spot check", lambda bench, _: SpotDesk(bench, ticking()).begin("B2", seed=5)),
    Act("find of a spot check", lambda bench, _: SpotDesk(bench, ticking()).note("S1", "br24 re *2")),
    Act("note of a recount", lambda bench, _: RecountDesk(bench, ticking()).note("R2", "ti22 wh *3")),
    Act("recount taken over", lambda bench, _: RecountDesk(bench, ticking()).take("R1"), many=True),
    Act("statement", lambda bench, _: keep_files(bench, statement(bench, "T-01", clock=ticking()))),
    Act("export", lambda bench, beside: export(bench, beside / "exported")),
    Act("counts of a sheet", _sheet, many=True),
    Act("merge", _merge, many=True, owns_up=lambda seen: bool(seen.refused or seen.lists.why)),
    Act("look again", lambda bench, _: bench.refresh()),
    Act("new bench", _new),
    Act("opening", lambda bench, _: Bench.open(bench.path, ticking()).close()),
    Act("leaving", lambda bench, _: bench.close(), warm=("br24 re",), closed=True),
    Act("check", lambda bench, _: BenchFolder(bench.path).check(), closed=True),
    Act(
        "repair",
        lambda bench, beside: repair(beside / "damaged"),
        closed=True,
        many=True,
        owns_up=lambda findings: any(finding.severity is Severity.DAMAGE for finding in findings),
    ),
)
