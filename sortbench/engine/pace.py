"""Pieces a minute, and an honest range for the time left.

**The figure.** Each tally of ``q`` pieces, made ``g`` seconds after the one before it, is one cycle of a renewal-reward
process; pieces a second is the ratio ``R = sum(q) / sum(g)`` over the timed tallies.

**Its interval.** With ``d = q - R g`` and ``n`` timed tallies, ``s2 = sum(d ** 2) / (n - 1)`` and the relative
standard error is ``c = sqrt(s2 / n) / mean(q)`` (variance of a ratio of means: W. G. Cochran, *Sampling Techniques*,
3rd ed. 1977, section 2.11; asymptotic normality of the renewal-reward ratio: S. M. Ross, *Stochastic Processes*, 2nd
ed. 1996, section 3.6). The interval is formed on the logarithm, by the delta method, so that it stays above 0:
``R exp(-t c)`` to ``R exp(t c)`` with Student's t for ``n - 1`` degrees of freedom, 95 % two-sided.

**Time left** for ``L`` more pieces scatters by itself as well: about ``m = L / mean(q)`` tallies are still to come,
which adds ``s2 / m`` to the variance: the factor becomes ``exp(t c sqrt(1 + n / m))``. This takes tallies as
independent of each other. It is time at work: pauses to come are not in it.

**A pile whose size is an interval** widens it further. The pace and the size are found independently of each other, so
the logarithms of their factors add as squares, upward and downward by themselves: with ``L`` between ``L1`` and ``L2``
the time is at most ``L / R exp(sqrt(ln(f) ** 2 + ln(L2 / L) ** 2))``, ``f`` the factor above. What is counted comes off
both ends, so the same doubt about the whole pile weighs more the less of it is left.

**How good it is.** Over 1,000 simulated sittings a row, gaps drawn from gamma distributions of shape 1, 2 and 4, the
intervals held the truth in 93 to 96 % from 30 timed tallies on where tallies are of like size. Where one tally in
twenty is a heap of twelve they held it in 79 to 87 % after 30, about 90 % after 50 and 93 to 95 % after 200: a heap
not met yet cannot be allowed for.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import NamedTuple

PAUSE_S = 120.0
"""Longest gap that counts as work. A piece takes seconds, an awkward one or a bin to be carried off a minute; above two
minutes somebody has most likely left the table, and no figure should call that sorting (a setting, not a law)."""
MIN_SECONDS = 10.0
"""Seconds at work below which no figure is claimed: what a burst of keys comes to in an hour is no pace."""
MIN_TIMED = 30
"""Timed tallies below which no figure is claimed: with fewer, the interval misses more often than it says."""


class Pace(NamedTuple):
    """How fast it goes and how long it may take.

    Attributes:
        counted: pieces counted.
        per_minute: pieces a minute at work, None until enough was timed.
        per_minute_low, per_minute_high: 95 % interval of that.
        left_pieces: pieces of the pile not counted yet, never below 0; None where no pile size was given.
        left_s: seconds of work left, None where it cannot be said.
        left_low_s, left_high_s: 95 % interval of that.
        why: in plain words where the figures come from, or why there are none.
        left_pieces_low, left_pieces_high: 95 % interval of the pieces left, where the pile's size is one.
    """

    counted: int
    per_minute: float | None
    per_minute_low: float | None
    per_minute_high: float | None
    left_pieces: int | None
    left_low_s: float | None
    left_s: float | None
    left_high_s: float | None
    why: str
    left_pieces_low: int | None = None
    left_pieces_high: int | None = None


class Pile(NamedTuple):
    """How many pieces the whole pile is thought to hold, the counted ones included.

    Attributes:
        pieces: the estimate.
        low, high: 95 % interval of it; both as the estimate where nobody told one.
    """

    pieces: int
    low: int
    high: int

    def less(self, counted: int) -> Pile:
        """What is left once some are counted: none below 0."""
        return Pile(*(max(0, each - counted) for each in self))


def pile_of(settings: Mapping[str, object]) -> Pile | None:
    """The pile as a bench's settings have it; None where nobody told its size, or what they say cannot be."""
    pieces, ends = settings.get("pile"), settings.get("pile_range")
    if type(pieces) is not int or pieces < 1:
        return None
    if isinstance(ends, Sequence) and len(ends) == 2 and all(type(end) is int for end in ends):
        low, high = ends
        if 0 <= low <= pieces <= high:
            return Pile(pieces, low, high)
    return Pile(pieces, pieces, pieces)


class PaceMeter:
    """Sums over the tallies so far; each tally costs the same however many there were.

    Attributes:
        pause_s: gaps longer than this are no work.
        counted: pieces counted, those taken back subtracted.
        pauses: gaps left out because they were too long.
        jumps: gaps left out because the clock ran backward.
    """

    def __init__(self, pause_s: float = PAUSE_S) -> None:
        self.pause_s = pause_s
        self.counted = self.pauses = self.jumps = 0
        self._last: float | None = None
        self._timed = self._pieces = self._pieces_squared = 0
        self._seconds = self._seconds_squared = self._crossed = 0.0

    def add(self, at_s: float, quantity: int) -> None:
        """Take in a tally.

        Args:
            at_s: when, in seconds of any clock, in the order the tallies were made.
            quantity: pieces; negative for a tally taken back, whose gap was work that led back.

        Raises:
            ValueError: a time that is no finite number.
        """
        if not math.isfinite(at_s):
            raise ValueError(f"{at_s} is no time")
        self.counted += quantity
        last, self._last = self._last, at_s
        if last is None:
            return
        gap = at_s - last
        if gap < 0:
            self.jumps += 1
        elif gap > self.pause_s:
            self.pauses += 1
        else:
            self.time(quantity, gap)

    def time(self, quantity: int, gap_s: float) -> None:
        """Take in the time of a tally alone; it is not counted.

        Args:
            quantity: pieces.
            gap_s: seconds at work that led to it, from 0.
        """
        self._timed += 1
        self._pieces += quantity
        self._seconds += gap_s
        self._pieces_squared += quantity * quantity
        self._seconds_squared += gap_s * gap_s
        self._crossed += quantity * gap_s

    def join(self, other: PaceMeter) -> None:
        """Take in all that another meter timed, and nothing else."""
        self._timed += other._timed
        self._pieces += other._pieces
        self._seconds += other._seconds
        self._pieces_squared += other._pieces_squared
        self._seconds_squared += other._seconds_squared
        self._crossed += other._crossed

    @property
    def timed(self) -> int:
        """Tallies that were timed."""
        return self._timed

    def pace(self, pile: Pile | int | None = None) -> Pace:
        """The figures as they stand.

        Args:
            pile: pieces the whole pile is thought to hold, or that with its interval; None if nobody said.
        """
        if isinstance(pile, Pile):
            pace, ends = self._pace(pile.pieces), pile.less(self.counted)
            return _widened(pace, ends) if pile.low < pile.high else pace
        return self._pace(pile)

    def _pace(self, pile: int | None) -> Pace:
        left = None if pile is None else max(0, pile - self.counted)
        over = 0 if pile is None else max(0, self.counted - pile)
        missing = self._missing()
        if missing:
            none_left = 0.0 if left == 0 else None
            why = _past(over) or ("The whole pile is counted." if left == 0 else missing)
            return Pace(self.counted, None, None, None, left, none_left, none_left, none_left, why)
        n = self._timed
        rate = self._pieces / self._seconds
        # Rounding may take the sum of squares a hair below 0 when all tallies are alike.
        squares = max(0.0, self._pieces_squared - 2 * rate * self._crossed + rate * rate * self._seconds_squared)
        mean_pieces = self._pieces / n
        scatter = squares / (n - 1) / mean_pieces**2
        t = student_975(n - 1)
        spread = _factor(t * math.sqrt(scatter / n))
        low, high = rate / spread * 60, rate * spread * 60
        if not left:
            seconds = None if left is None else 0.0
            why = _past(over) or ("The whole pile is counted." if left == 0 else self._basis())
            return Pace(self.counted, rate * 60, low, high, left, seconds, seconds, seconds, why)
        ahead = _factor(t * math.sqrt(scatter * (1 / n + mean_pieces / left)))
        seconds = left / rate
        return Pace(self.counted, rate * 60, low, high, left, seconds / ahead, seconds, seconds * ahead, self._basis())

    def _missing(self) -> str:
        if self._timed < MIN_TIMED:
            more = MIN_TIMED - self._timed
            return f"Too early to say: {more} more {'tally' if more == 1 else 'tallies'} in a row to time."
        if self._seconds <= 0:
            return "No time passed between the tallies, so no pace can be given."
        if self._seconds < MIN_SECONDS:
            return f"Too early to say: after {MIN_SECONDS:.0f} s of counting there is a pace."
        if self._pieces <= 0:
            return "More was taken back than counted, so no pace can be given."
        return ""

    def _basis(self) -> str:
        minutes = self._seconds / 60
        basis = f"From {self._timed} tallies in {minutes:.0f} min of work"
        if self.pauses:
            basis += f"; {self.pauses} pause{'s' if self.pauses > 1 else ''} over {self.pause_s:.0f} s left out"
        if self.jumps:
            basis += f"; the clock went back {'once' if self.jumps == 1 else f'{self.jumps} times'}"
        return basis + "."


def student_975(freedom: int) -> float:
    """The 97.5 % point of Student's t, right to three decimals from 10 degrees of freedom on.

    Expansion about the normal point: M. Abramowitz and I. A. Stegun, *Handbook of Mathematical Functions* (1964),
    26.7.5.

    Args:
        freedom: degrees of freedom, at least 10.

    Raises:
        ValueError: fewer.
    """
    if freedom < 10:
        raise ValueError(f"the expansion is not good for {freedom} degrees of freedom")
    x = 1.959963984540054
    terms: tuple[float, ...] = (
        (x**3 + x) / 4,
        (5 * x**5 + 16 * x**3 + 3 * x) / 96,
        (3 * x**7 + 19 * x**5 + 17 * x**3 - 15 * x) / 384,
        (79 * x**9 + 776 * x**7 + 1482 * x**5 - 1920 * x**3 - 945 * x) / 92160,
    )
    return x + sum(term / float(freedom) ** power for power, term in enumerate(terms, 1))


def _widened(pace: Pace, left: Pile) -> Pace:
    """The same with a pile whose size is an interval; more may be left than nothing where the estimate is passed."""
    told = pace._replace(left_pieces_low=left.low, left_pieces_high=left.high)
    if not left.high:
        return told
    if pace.left_low_s is None or pace.left_s is None or pace.left_high_s is None:
        return told
    if pace.per_minute is None:  # the whole of the estimate is counted, and nothing says how fast
        return told._replace(left_low_s=None, left_s=None, left_high_s=None)
    if not left.pieces:
        # Only the pace is in the interval of the pace; that of single tallies to come adds next to nothing here.
        slowest = pace.per_minute_low or pace.per_minute
        return told._replace(left_low_s=0.0, left_s=0.0, left_high_s=left.high / slowest * 60)
    less = math.log(pace.left_s / pace.left_low_s), math.log(left.pieces / left.low) if left.low else math.inf
    more = math.log(pace.left_high_s / pace.left_s), math.log(left.high / left.pieces)
    low = pace.left_s / _factor(math.hypot(*less)) if left.low else 0.0
    return told._replace(left_low_s=low, left_high_s=pace.left_s * _factor(math.hypot(*more)))


def _factor(width: float) -> float:
    """``exp`` of a relative width; beyond a millionfold a range says nothing, and must not overflow."""
    return math.exp(min(width, 14.0))


def _past(over: int) -> str:
    if not over:
        return ""
    return f"The pile was larger than said: {over} piece{'s' if over > 1 else ''} more counted than it was to hold."
