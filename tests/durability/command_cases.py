"""Every command of the command line, called so that it writes; and those that only read.

The calls are made in a folder that holds the benches of ``acts.make_template`` and what `SETUP` adds to it, the bench
in ``bench``. A test holds the tables against the commands that there are, so none is forgotten.
"""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

import click
from small_bench import ticking
from synthetic_photo import Scene

from sortbench.bench import Bench
from sortbench.cli.main import cli
from sortbench.model.tally import Fate

LISTS = {
    "parts.csv": "code,name,family\nhinge-1x2,hinge 1x2,hinge\nfence-1x4,fence 1x4,fence\n,x,\n",
    "shades.csv": "name,rgb\nochre,c58f2c\nblue,2450a0\n",
    "bins.csv": "label,shade,family,holds\nB4,white,,60\nB5,,arch,\n",
    "stand_ins.csv": "part,stand_in_part\nplate-2x4,plate-1x2\nbrick-2x4,tile-2x2\n",
    "sellers.csv": "name,currency,shipping\nQuay Bricks,EUR,3.20\n",
    "offers.csv": "offer,seller,part,shade,price,quantity\nq1,Mill Lane Bricks,tile-2x2,white,0.12,8\n",
    "library.csv": "list,list_name,part,shade,quantity\n"
    "VW-12,Weir House,plate-2x4,red,4\nVW-12,Weir House,tile-2x2,white,2\n"
    "VW-13,Lock Keeper,brick-2x4,red,6\n",
    "more.csv": "list,list_name,part,shade,quantity\n"
    "VW-14,Coal Wharf,tile-2x2,white,3\nVW-14,Coal Wharf,bell,ochre,2\n",
    "lines.txt": "pl24 re *2\nti22 wh *3 !4\nbr24 re *1 #crack\npl24 re *6\n",
}
"""Files to bring in, in the folder where the calls are made."""

SETUP = (
    "import library library.csv --yes",
    "prices --currency EUR --rate '1 EUR = 1.17 USD' --rate '1 EUR = 0.36 KWD' --hole 1.50 --spare 50",
    "wash new greys --code W2",
    "wash stage W2 rinse",
    "wash tray W2 410",
    "tally 'ti22 wh *6' 'br24 re *5' 'pl12 re *9' 'ti22 wh *2 !2'",
    "reserve T-02 'ti22 wh'",
    "recount note R2 'pl12 re *9'",
    "weigh count 'pl12 re' 30.4 --tare 12.5 --handful 20:18.5 --tally",
    "treat record 'ti22 wh !2' --improved 1 --grade 4",
    "lots new 'Attic find' --code L1 --paid 45.00 --pieces 900",
    "lots spend 3.20 --on washing",
    "orders tell P1 2 1 short",
    "pick T-01",
    "orders new a1*1",
)
"""What else was done at that bench."""


SCENE = Scene("d8d8d4", ("d8d8d4", "d4ccb0", "c43a2b", "c9b48c"), light=(0.95, 0.92, 0.85), noise=1.0)
_AREAS = SCENE.marks
MARKED = " ".join(
    [f"--card {_AREAS.card} --reference {_AREAS.reference}", *(f"--piece {area}" for area in _AREAS.pieces)]
)
"""A photograph made up, and where on it what lies."""

GOLDEN = Path(__file__).parents[1] / "unit" / "golden"


class Call(NamedTuple):
    """A command as somebody gives it.

    Attributes:
        command: its name, with the names of the groups that it lies in.
        words: what follows, as in a shell.
        text: what comes in by a pipe.
        needs: commands that must have been done before, beside `SETUP`.
        says: a regular expression; each place where it fits what was printed tells of one record that is kept.
        many: it writes more than once, so a stop in between may leave some of it.
        bench: the folder of the bench that it writes.
    """

    command: str
    words: str
    text: str = ""
    needs: tuple[str, ...] = ()
    says: str = ""
    many: bool = False
    bench: str = "bench"


WRITING = (
    Call("new", "made", bench="made"),
    Call("demo", "--keep shown", bench="shown"),
    Call("import parts", "parts.csv --yes --skip-bad"),
    Call("import shades", "shades.csv --yes"),
    Call("import targets", "targets.csv --yes --skip-bad"),
    Call("import bins", "bins.csv --yes"),
    Call("import stand-ins", "stand_ins.csv --yes"),
    Call("import sellers", "sellers.csv --yes"),
    Call("import offers", "offers.csv --yes"),
    Call("import library", "more.csv --yes"),
    Call("import counts", "sheet --yes", many=True),
    Call("add bin", "B9 --shade white --holds 40"),
    Call("add part", "bell-1 'bell 1' --family bell --alias gong"),
    Call("add shade", "'tan, early' --rgb c9a66b"),
    Call("add target", "T-08 'Weigh House' --year 1990"),
    Call("wash new", "'whites, plates' --soak 2"),
    Call("wash stage", "W2 spin"),
    Call("wash stir", "W2", needs=("wash strike W2 2",)),
    Call("wash tray", "W2 385.5 --tray big"),
    Call("wash weigh", "W2 844", needs=("wash stage W2 drying",)),
    Call("wash set", "W2 --note 'window side'"),
    Call("wash strike", "W2 1"),
    Call("wash scrubbed", "'br24 re *1'", many=True),
    Call("wash dry-when", "4h-0.2"),
    Call("tally", "'pl24 re *3'"),
    Call("tally", "", text=LISTS["lines.txt"], many=True),
    Call("tally", "'plate 2x4 grey late *3'", bench="older"),
    Call("weigh scale", "--step 0.05 --repeat 0.02"),
    Call("weigh count", "'ti22 wh' 26.1 --tare 12.5 --handful 20:24.4 --tally", many=True),
    Call("weigh learn", "plate-2x4 30:44.6:12.5"),
    Call("weigh confirm", "G1 60", many=True),
    Call("weigh masses", "--into-catalogue plate-1x2", needs=("weigh learn plate-1x2 20:25.5:12.5",)),
    Call("weigh strike", "G1"),
    Call("judge", "'ti22 wh' --reading '#e8dcb0' --reference '#f2f2ee' --count 6"),
    Call("photo", f"plates.png --kind 'ti22 wh' --count {MARKED}", many=True),
    Call("treat record", "'ti22 wh !2' --unchanged 1", many=True),
    Call("treat strike", "P1"),
    Call("which-sets", "--make-target VW-12 --yes"),
    Call("library", "--drop VW-12"),
    Call("reconcile", "--rank T-03=1 --park T-02 --keep"),
    Call("reserve", "T-01 'br24 re *1'"),
    Call("release", "T-02 --all", many=True),
    Call("pick", "T-01 --tick 1", many=True),
    Call("pick", "T-01 --html pick.html"),
    Call("prices", "--blemish 0.05 --point 0.05"),
    Call("plan", "--budget 40 --parcels 3 --lock T-02 2 buy", many=True),
    Call("orders new", "m1*2 --for T-01"),
    Call("orders from-plan", "", needs=("prices --hole 5.00",), many=True),
    Call("orders text", "P1 --html order.html --csv order.csv"),
    Call("orders sent", "P2", many=True),
    Call("orders arrive", "P1", many=True),
    Call("orders tell", "P1 1 1 damaged"),
    Call("orders strike", "P1 1"),
    Call("lots new", "'Cellar box' --paid 12.00"),
    Call("lots spend", "7.45 --on parcel --target T-03"),
    Call("lots strike", "E3"),
    Call("lots worth", "0.04"),
    Call("statement", "T-01 --html told.html --text told.txt"),
    Call("labels", "labels.pdf"),
    Call("spot draw", "B2 --seed 5"),
    Call("spot note", "S1 'br24 re *2'"),
    Call("spot strike", "S1"),
    Call("recount begin", "B1 --by Cyd"),
    Call("recount note", "R2 'br24 re *2' 'pl24 re *1'", many=True),
    Call("recount end", "R2"),
    Call("recount take", "R1 --yes", many=True),
    Call("recount strike", "R1"),
    Call("records", "--html records.html"),
    Call("report", "--html report.html"),
    Call("pile", "2500 --low 2200 --high 3000"),
    Call("export", "exported"),
    Call("merge", "laptop --take ours --yes", many=True),
    Call("check", "--repair", bench="damaged"),
    Call("settings", "--write"),
)
"""At least one call of each command that writes."""
READING = (
    Call("import parts", "parts.csv --dry-run --skip-bad"),
    Call("import counts", "sheet --dry-run"),
    Call("wash pull", ""),
    Call("wash show", "W2"),
    Call("wash due", ""),
    Call("wash scrub", ""),
    Call("wash dry-when", ""),
    Call("weigh masses", ""),
    Call("weigh list", ""),
    Call("judge", "'ti22 wh' --reading '#e8dcb0' --reference '#f2f2ee'"),
    Call("photo", f"plates.png {MARKED}"),
    Call("treat sheet", "11.9%w/w 6%w/w 1000"),
    Call("treat dilute", "11.9%w/w 6%w/w 1000"),
    Call("treat rates", ""),
    Call("treat log", ""),
    Call("counts", ""),
    Call("targets", ""),
    Call("which-sets", ""),
    Call("library", ""),
    Call("reconcile", "--rank T-03=1"),
    Call("uniform", ""),
    Call("reserve", ""),
    Call("pick", "T-01"),
    Call("prices", ""),
    Call("plan", "--try"),
    Call("orders text", "P1"),
    Call("orders list", ""),
    Call("orders show", "P1"),
    Call("orders standing", ""),
    Call("lots list", ""),
    Call("lots show", ""),
    Call("statement", "T-01"),
    Call("bins", ""),
    Call("spot plan", "B2"),
    Call("spot show", "S1"),
    Call("spot list", ""),
    Call("recount show", "R1"),
    Call("recount list", ""),
    Call("log", ""),
    Call("records", ""),
    Call("sitting", ""),
    Call("report", "--json"),
    Call("pile", ""),
    Call("merge", "laptop --take ours --dry-run"),
    Call("check", ""),
    Call("settings", ""),
    Call("settings", "--template"),
    Call("completion", "bash"),
)
"""Calls that leave the bench as it is."""

OPENING = frozenset({"serve"})
"""Commands that open the app until they are stopped, and write nothing themselves; the app is killed by itself."""


def commands() -> Iterator[str]:
    """Names of all commands that do something, those of groups behind the group's name."""
    yield from _below(cli, click.Context(cli), "")


def _below(group: click.Group, context: click.Context, name: str) -> Iterator[str]:
    for each in group.list_commands(context):
        command = group.get_command(context, each)
        if isinstance(command, click.Group):
            yield from _below(command, context, f"{name}{each} ")
        else:
            yield name + each


def lay_out(folder: Path) -> None:
    """Everything that the calls need, but for what `SETUP` says, beside benches of ``acts.make_template``."""
    for name, text in LISTS.items():
        (folder / name).write_text(text, encoding="utf-8")
    SCENE.save(folder, "plates")
    with Bench.open(folder / "bench", ticking()) as bench:
        bench.enter("br24 re *2")
        bench.put_aside(Fate.WASH)
    shutil.copytree(folder / "bench", folder / "older")
    for log in (folder / "older" / "tallies").glob("*.jsonl"):
        log.unlink()
    shutil.copy(GOLDEN / "documents-format-3.json", folder / "older" / "bench.json")
    shutil.copy(GOLDEN / "log-format-3.jsonl", folder / "older" / "tallies" / "20260301T093000Z-k3f9xq.jsonl")
