"""All fingerings of a passage at once: a grip for every event, what each costs, and what each move costs.

Two questions are answered exactly. `ranked`: every fingering, the cheapest first, one after the other as they are asked
for. `cheapest_apart`: the cheapest fingering that differs clearly from some that are known.

Source: E. L. Lawler's way of ranking solutions (1972), from memory; the counting of differences along the path is ours.
"""

import heapq
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import product

import numpy as np
import numpy.typing as npt

from engraver.fingering.grips import Floats

Counts = npt.NDArray[np.int16]
Path = tuple[int, ...]

_SLACK = 8.0  # cost above the best within which grips are looked at first; doubled until the answer is sure
_NEVER = np.float32(1e9)


@dataclass(frozen=True)
class Lattice:
    """Per event the cost of each grip, per move (into event 1, 2, …) the cost of each pair of grips.

    `places`: per event, grips x notes, a number for the string and one for the finger of each new note; two paths with
    the same numbers look the same on paper.
    """

    holding: tuple[Floats, ...]
    moving: tuple[Floats, ...]
    strings: tuple[Counts, ...]
    fingers: tuple[Counts, ...]

    def cost(self, path: Sequence[int]) -> float:
        """The whole cost of a path."""
        held = sum(float(costs[row]) for costs, row in zip(self.holding, path, strict=True))
        return held + sum(float(m[a, b]) for m, a, b in zip(self.moving, path, path[1:], strict=False))

    def look(self, path: Sequence[int]) -> tuple[tuple[int, ...], ...]:
        """What is printed: strings and fingers of every event."""
        return tuple(
            (*s[row].tolist(), *f[row].tolist()) for s, f, row in zip(self.strings, self.fingers, path, strict=True)
        )

    @cached_property
    def to_go(self) -> tuple[Floats, ...]:
        """The cheapest way from each grip to the end, the grip itself not counted."""
        out = [np.zeros_like(self.holding[-1])]
        for move, held in zip(self.moving[::-1], self.holding[:0:-1], strict=True):
            out.append((move + (held + out[-1])[None]).min(1))
        return tuple(out[::-1])

    @cached_property
    def so_far(self) -> tuple[Floats, ...]:
        """The cheapest way from the beginning to each grip, the grip itself counted."""
        out = [self.holding[0]]
        for move, held in zip(self.moving, self.holding[1:], strict=True):
            out.append((out[-1][:, None] + move).min(0) + held)
        return tuple(out)

    def within(self, slack: float) -> "tuple[Lattice, tuple[npt.NDArray[np.intp], ...]]":
        """The lattice of the grips through which a path runs that costs at most `slack` more than the best."""
        best = float((self.so_far[0] + self.to_go[0]).min()) + slack
        rows = tuple(np.nonzero(a + b <= best + 1e-3)[0] for a, b in zip(self.so_far, self.to_go, strict=True))
        moving = tuple(m[np.ix_(a, b)] for m, a, b in zip(self.moving, rows, rows[1:], strict=False))

        def cut(values: tuple[npt.NDArray[np.generic], ...]) -> tuple[npt.NDArray[np.generic], ...]:
            return tuple(v[r] for v, r in zip(values, rows, strict=True))

        return Lattice(cut(self.holding), moving, cut(self.strings), cut(self.fingers)), rows  # type: ignore[arg-type]


def ranked(lattice: Lattice) -> Iterator[Path]:
    """Every fingering that looks different, the cheapest first."""
    seen: set[tuple[tuple[int, ...], ...]] = set()
    for path in _ranked_paths(lattice):
        look = lattice.look(path)
        if look not in seen:
            seen.add(look)
            yield path


def _ranked_paths(lattice: Lattice) -> Iterator[Path]:
    """All paths by cost: each path taken out is replaced by the best ones that leave it at one event after another."""
    queue: list[tuple[float, Path, int, frozenset[int]]] = []

    def add(head: Path, barred: frozenset[int]) -> None:
        """Puts in the best path that begins with `head` and takes none of the `barred` grips next."""
        ways = lattice.holding[len(head)] + lattice.to_go[len(head)]
        ways = ways + lattice.moving[len(head) - 1][head[-1]] if head else ways.copy()
        ways[list(barred)] = np.inf
        row = int(ways.argmin())
        if np.isfinite(ways[row]) and ways[row] < _NEVER:
            path = _followed(lattice, (*head, row))
            heapq.heappush(queue, (lattice.cost(path), path, len(head), barred))

    add((), frozenset())
    while queue:
        _, path, left_at, barred = heapq.heappop(queue)
        yield path
        for at in range(left_at, len(path)):
            add(path[:at], (barred if at == left_at else frozenset()) | {path[at]})


def _followed(lattice: Lattice, path: Path) -> Path:
    """The head of a path with its cheapest way to the end."""
    rows = list(path)
    for number in range(len(rows), len(lattice.holding)):
        ways = lattice.moving[number - 1][rows[-1]] + lattice.holding[number] + lattice.to_go[number]
        rows.append(int(ways.argmin()))
    return tuple(rows)


def difference(lattice: Lattice, path: Sequence[int], number: int) -> Counts:
    """By how much each grip of an event differs from the path's own: 2 for a note on another string, 1 for a finger."""
    strings, fingers, row = lattice.strings[number], lattice.fingers[number], path[number]
    other_string = strings != strings[row]
    other_finger = ~other_string & (fingers != fingers[row])
    counts: Counts = (2 * other_string.sum(1) + other_finger.sum(1)).astype(np.int16)
    return counts


def cheapest_apart(lattice: Lattice, known: Sequence[Path], least: int) -> Path | None:
    """The cheapest fingering that differs from every known one by `least` at least; None when there is none."""
    best = float((lattice.so_far[0] + lattice.to_go[0]).min())
    slack = _SLACK
    while True:
        narrow, rows = lattice.within(slack)
        every = all(len(r) == len(h) for r, h in zip(rows, lattice.holding, strict=True))
        differences = [[difference(lattice, path, number)[r] for number, r in enumerate(rows)] for path in known]
        found = _cheapest_with(narrow, differences, least)
        path = tuple(int(r[at]) for r, at in zip(rows, found, strict=True)) if found else None
        if every or (path and lattice.cost(path) <= best + slack):
            return path
        slack *= 2


def _cheapest_with(lattice: Lattice, differences: Sequence[Sequence[Counts]], least: int) -> Path | None:
    """The cheapest path whose differences sum to `least` in each list; looks from the end how much is still wanting."""
    wants = np.array(list(product(range(least + 1), repeat=len(differences))), np.int32)
    places = (least + 1) ** np.arange(len(differences) - 1, -1, -1)
    ends = np.where(wants.sum(1)[:, None] == 0, np.float32(0), _NEVER)
    after = np.broadcast_to(ends, (len(wants), len(lattice.holding[-1])))
    steps: list[Floats] = []
    for number in range(len(lattice.holding) - 1, -1, -1):
        gained = np.stack([d[number] for d in differences], -1)  # grips x known
        left = (np.maximum(wants[:, None, :] - gained[None], 0) @ places).astype(np.intp)  # wants x grips
        here: Floats = lattice.holding[number] + np.take_along_axis(after, left, 0)
        steps.append(here)
        if number:
            move = lattice.moving[number - 1]
            after = np.stack([(move + here[want][None]).min(1) for want in range(len(wants))])
    return _traced(lattice, differences, wants, places, steps[::-1])


def _traced(
    lattice: Lattice,
    differences: Sequence[Sequence[Counts]],
    wants: npt.NDArray[np.int32],
    places: npt.NDArray[np.intp],
    steps: Sequence[Floats],
) -> Path | None:
    """The path behind the sums, from the beginning on."""
    wanting, rows = wants[-1], list[int]()
    for number, here in enumerate(steps):
        ways = here[int(wanting @ places)]
        ways = ways + lattice.moving[number - 1][rows[-1]] if number else ways
        rows.append(int(ways.argmin()))
        if ways[rows[-1]] >= _NEVER:
            return None
        wanting = np.maximum(wanting - np.array([d[number][rows[-1]] for d in differences]), 0)
    return tuple(rows)
