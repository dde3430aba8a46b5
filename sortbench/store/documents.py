"""The documents of a bench: everything that is set up rather than counted.

The file is a TinyDB file. It is written through TinyDB, under the bench's lock, whole or not at all; reading goes
straight to the JSON, so that a start pays for neither TinyDB nor the lock.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, NamedTuple, TypeVar

from sortbench.model.bins import Bin
from sortbench.model.catalogue import Catalogue, Part, Shade
from sortbench.model.errors import BenchError, DataError, WriteError
from sortbench.model.target import Swap, SwapOf, Target
from sortbench.store.bench_json import Tables, parse_tables, unreadable
from sortbench.store.document_codec import (
    Document,
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
from sortbench.store.durable import looking
from sortbench.store.late_tables import check_keys, key_words, keyed, late_documents, late_tables
from sortbench.store.locks import PATIENCE_S, bench_lock
from sortbench.store.seals import META, check_seal, seals_to_check

if TYPE_CHECKING:
    from tinydb import TinyDB

    from sortbench.model.lot import Expense, Lot
    from sortbench.model.offer import Offer, Seller
    from sortbench.model.order import Order
    from sortbench.model.plan_lock import Lock
    from sortbench.model.prices import Prices
    from sortbench.model.spot_check import Recount, SpotCheck
    from sortbench.model.standing import StandingNote
    from sortbench.model.treatment import Treatment
    from sortbench.model.wash import Batch
    from sortbench.model.weighing import Weighing

_Item = TypeVar("_Item")
_Key = TypeVar("_Key", str, tuple[SwapOf, str, str])

FORMAT = 4
"""Version of the documents, kept in the table ``meta``. Format 1 knew no swaps, and nothing of parked targets; format 2
knew no batches and no treatments, and fewer care marks; format 3 no weighings, no spot checks, no locks of a plan."""


class BenchDocuments(NamedTuple):
    """The documents as they were when loaded.

    Attributes:
        parts: by code.
        shades: by name.
        targets: by code.
        bins: in the order in which their rules are tried.
        settings: by name, any JSON value.
        columns: remembered column matches: header signature -> field -> header.
        pads: keypad layouts by shade, any JSON value.
        version: format version of the file.
        swaps: stand-in rules in their order, by what tells each apart from the others; a file of format 1 has none.
        batches: what is washed and dried together, by code; a file of format 1 or 2 has none.
        treatments: the log of treatments by id; a file of format 1 or 2 has none.
        sellers: by name; a file of format 1 or 2 has none.
        offers: by id; a file of format 1 or 2 has none.
        prices: what holes and blemishes cost, by code of the target, under an empty code for all; a file of format 1 or
            2 has none.
        lots, expenses: by code, and by id; a file of format 1 or 2 has none.
        orders: by id; a file of format 1 or 2 has none.
        standing: since when what cannot be had is lacking, by what tells each apart; a file before format 4 has none.
        locks: of the plan, by target and line; a file of format 1 to 3 has none.
        spots, recounts: spot checks and recounts of bins by id; a file of format 1 to 3 has none.
        weighings: what was on the scale, by id; a file of format 1 to 3 has none.
    """

    parts: Mapping[str, Part]
    shades: Mapping[str, Shade]
    targets: Mapping[str, Target]
    bins: tuple[Bin, ...]
    settings: Mapping[str, Any]
    columns: Mapping[str, Mapping[str, str]]
    pads: Mapping[str, Any]
    version: int
    swaps: Mapping[tuple[SwapOf, str, str], Swap] = MappingProxyType({})
    batches: Mapping[str, Batch] = MappingProxyType({})
    treatments: Mapping[str, Treatment] = MappingProxyType({})
    sellers: Mapping[str, Seller] = MappingProxyType({})
    offers: Mapping[str, Offer] = MappingProxyType({})
    prices: Mapping[str, Prices] = MappingProxyType({})
    lots: Mapping[str, Lot] = MappingProxyType({})
    expenses: Mapping[str, Expense] = MappingProxyType({})
    orders: Mapping[str, Order] = MappingProxyType({})
    standing: Mapping[str, StandingNote] = MappingProxyType({})
    locks: Mapping[str, Lock] = MappingProxyType({})
    spots: Mapping[str, SpotCheck] = MappingProxyType({})
    recounts: Mapping[str, Recount] = MappingProxyType({})
    weighings: Mapping[str, Weighing] = MappingProxyType({})

    @property
    def catalogue(self) -> Catalogue:
        """Parts and shades together."""
        return Catalogue(self.parts, self.shades)

    def with_kept(self, draft: Draft) -> BenchDocuments:
        """These with what a sitting keeps beside the counts, as a draft has it: what no figure of the counts hangs on.

        Lists that come from elsewhere (offers, sellers, prices) are none of it: they are read when they are asked for.
        """
        return self._replace(
            settings=MappingProxyType(draft.settings),
            pads=MappingProxyType(draft.pads),
            batches=MappingProxyType(draft.batches),
            treatments=MappingProxyType(draft.treatments),
            lots=MappingProxyType(draft.lots),
            expenses=MappingProxyType(draft.expenses),
            orders=MappingProxyType(draft.orders),
            standing=MappingProxyType(draft.standing),
            locks=MappingProxyType(draft.locks),
            spots=MappingProxyType(draft.spots),
            recounts=MappingProxyType(draft.recounts),
            weighings=MappingProxyType(draft.weighings),
        )


_NO_DOCUMENTS = BenchDocuments({}, {}, {}, (), {}, {}, {}, FORMAT)


class Draft:
    """The documents while they are edited; written when the edit ends. Lists stand for tuples in free-form values."""

    def __init__(self, now: BenchDocuments) -> None:
        """Begin with the documents as they are."""
        self.parts = dict(now.parts)
        self.shades = dict(now.shades)
        self.targets = dict(now.targets)
        self.bins = list(now.bins)
        self.settings = dict(now.settings)
        self.columns = {signature: dict(match) for signature, match in now.columns.items()}
        self.pads = dict(now.pads)
        self.swaps = dict(now.swaps)
        self.batches = dict(now.batches)
        self.treatments = dict(now.treatments)
        self.sellers = dict(now.sellers)
        self.offers = dict(now.offers)
        self.prices = dict(now.prices)
        self.lots = dict(now.lots)
        self.expenses = dict(now.expenses)
        self.orders = dict(now.orders)
        self.standing = dict(now.standing)
        self.locks = dict(now.locks)
        self.spots = dict(now.spots)
        self.recounts = dict(now.recounts)
        self.weighings = dict(now.weighings)


class Documents:
    """The file ``bench.json``."""

    def __init__(self, path: Path) -> None:
        self.path = path

    def load(self, late: bool = False) -> BenchDocuments:
        """Read and check everything.

        Args:
            late: leave what few sittings need (batches, treatments, offers, lots, orders …) until it is asked for; what
                is wrong with it is raised then.

        Raises:
            BenchError: missing, unreadable, damaged, or written by a newer version.
        """
        text, tables = self._tables()
        version = self._version(tables)
        seals = seals_to_check(self.path, text, tables)
        later = late_tables(self.path, tables, seals)
        found = BenchDocuments(
            parts=self._keyed(tables, "parts", part_from, lambda part: part.code),
            shades=self._keyed(tables, "shades", shade_from, lambda shade: shade.name),
            targets=self._keyed(tables, "targets", target_from, lambda target: target.code),
            bins=tuple(self._keyed(tables, "bins", bin_from, lambda container: container.label).values()),
            settings=MappingProxyType(self._named(tables, "settings")),
            columns=MappingProxyType(self._columns(tables)),
            pads=MappingProxyType(self._named(tables, "pads")),
            version=version,
            swaps=self._keyed(tables, "swaps", swap_from, lambda swap: swap.key),
            **(later if late else {name: MappingProxyType(dict(table)) for name, table in later.items()}),
        )
        for name in seals:  # after the tables were read, for these say better what is wrong
            if name not in later:
                check_seal(self.path, tables, name, seals)
        return found

    @looking()
    def create(self) -> None:
        """Write a file without documents; a file that is there already stays as it is.

        Raises:
            BenchError, WriteError: as ``edit``.
        """
        with bench_lock(self.path.parent):
            if not self.path.exists():
                self._write(Draft(_NO_DOCUMENTS), FORMAT)

    @contextmanager
    def edit(self, patience_s: float = PATIENCE_S) -> Iterator[Draft]:
        """Change the documents: locked, read afresh, and written once when the block ends without an exception.

        A file of an earlier format is written in the present one; the old file is kept in ``backups`` before.

        Args:
            patience_s: seconds to wait while another program writes.

        Raises:
            BenchError: locked by another program, or as ``load``.
            DataError: the draft holds something that cannot be kept; nothing was written.
            WriteError: the disk refused; the documents are as they were.
        """
        with bench_lock(self.path.parent, patience_s):
            now = self.load()
            draft = Draft(now)
            yield draft
            self._write(draft, now.version)

    def stamp(self) -> tuple[int, int, int]:
        """A value that changes when the file does: time of change in nanoseconds, size in bytes, inode.

        Raises:
            BenchError: the file is missing.
        """
        try:
            found = self.path.stat()
        except OSError as error:
            raise self._missing(error) from error
        return found.st_mtime_ns, found.st_size, found.st_ino

    def _write(self, draft: Draft, version: int) -> None:
        documents = _documents_of(draft)
        # Imported here, for reading needs neither.
        from tinydb import TinyDB

        from sortbench.store.atomic_storage import AtomicStorage

        storage: list[AtomicStorage] = []

        def opened(path: Path) -> AtomicStorage:
            storage.append(AtomicStorage(path, documents))
            return storage[0]

        try:
            if version < FORMAT:
                from sortbench.store.backups import keep_copy

                keep_copy(self.path.parent, f"bench-format-{version}", self.path.read_bytes())
            with TinyDB(self.path, storage=opened) as database:
                for name, rows in documents.items():
                    _fill(database, name, rows)
                storage[0].commit()
        except OSError as error:
            raise WriteError(
                f"{self.path} cannot be written: {error.strerror or error}. Nothing was changed.",
                "Make sure that the folder may be written to and that the disk is not full.",
            ) from error

    def _tables(self) -> tuple[bytes, Tables]:
        try:
            text = self.path.read_bytes()
        except OSError as error:
            raise self._missing(error) from error
        return text, parse_tables(self.path, text)

    def _missing(self, error: OSError) -> BenchError:
        if isinstance(error, FileNotFoundError):
            return BenchError(f"There is no bench in {self.path.parent}.", "Make one with `sortbench new FOLDER`.")
        return BenchError(f"{self.path} cannot be read: {error.strerror or error}.", "Check that you may read it.")

    def _version(self, tables: Tables) -> int:
        metas = list(tables.get(META, {}).values())
        version = metas[0].get("format") if len(metas) == 1 else None
        if type(version) is not int or version < 1:
            raise unreadable(self.path, "its format version is missing")
        if version > FORMAT:
            raise BenchError(
                f"{self.path} is written in format {version}; this version reads up to format {FORMAT}.",
                "Open the bench with a newer sortbench. Nothing was changed.",
            )
        return version

    def _keyed(
        self, tables: Tables, name: str, build: Callable[[Document], _Item], key: Callable[[_Item], _Key]
    ) -> Mapping[_Key, _Item]:
        return MappingProxyType(keyed(self.path, tables, name, build, key))

    def _named(self, tables: Tables, name: str) -> dict[str, Any]:
        found: dict[str, Any] = {}
        for number, document in tables.get(name, {}).items():
            if set(document) != {"name", "value"} or type(document["name"]) is not str or document["name"] in found:
                raise unreadable(self.path, f"table {name!r}, document {number} is malformed")
            found[document["name"]] = document["value"]
        return found

    def _columns(self, tables: Tables) -> dict[str, Mapping[str, str]]:
        found = self._named(tables, "columns")
        for signature, match in found.items():
            if type(match) is not dict or not all(type(header) is str for header in match.values()):
                raise unreadable(self.path, f"table 'columns', {signature[:40]!r} is malformed")
        return {signature: MappingProxyType(match) for signature, match in found.items()}


def _documents_of(draft: Draft) -> dict[str, list[Document]]:
    check_keys("part", ((key, part.code) for key, part in draft.parts.items()))
    check_keys("shade", ((key, shade.name) for key, shade in draft.shades.items()))
    check_keys("target", ((key, target.code) for key, target in draft.targets.items()))
    check_keys("stand-in rule", ((key_words(key), key_words(swap.key)) for key, swap in draft.swaps.items()))
    labels = [container.label for container in draft.bins]
    for label in labels:
        if labels.count(label) > 1:
            raise DataError(f"There are two bins {label!r}.", "Give each bin a label of its own.")
    return {
        META: [{"format": FORMAT}],
        "parts": [part_document(part) for part in draft.parts.values()],
        "shades": [shade_document(shade) for shade in draft.shades.values()],
        "targets": [target_document(target) for target in draft.targets.values()],
        "bins": [bin_document(container) for container in draft.bins],
        "settings": _name_documents(draft.settings),
        "columns": _name_documents({signature: dict(match) for signature, match in draft.columns.items()}),
        "pads": _name_documents(draft.pads),
        "swaps": [swap_document(swap) for swap in draft.swaps.values()],
        **late_documents(draft),
    }


def _name_documents(values: Mapping[str, Any]) -> list[Document]:
    return [{"name": name, "value": value} for name, value in values.items()]


def _fill(database: TinyDB, name: str, rows: list[Document]) -> None:
    """Put documents in place of all that a table held, numbered from 1."""
    table = database.table(name)
    table.truncate()
    table.insert_multiple(rows)
