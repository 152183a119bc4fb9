"""Ranking fingerings exactly: what comes out is held against every path there is."""

from itertools import islice, pairwise, product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from engraver.fingering.alternatives import ranked_fingerings
from engraver.fingering.lattice import Lattice, Path, cheapest_apart, difference, ranked
from engraver.fingering.left_hand import finger_left_hand
from engraver.fretboard.limits import LeftHandLimits, OpenStrings
from tests.fingering.left_hand_helpers import GUITAR, PLAYER, passage, places
from tests.fingering.playable import faults


@st.composite
def lattices(draw: st.DrawFn) -> Lattice:
    """Up to five events of up to four grips, whole costs so that sums are exact, one or two new notes each."""
    widths = draw(st.lists(st.integers(1, 4), min_size=1, max_size=5))
    seed = np.random.default_rng(draw(st.integers(0, 10_000)))
    holding = tuple(seed.integers(0, 12, w).astype(np.float32) for w in widths)
    moving = tuple(seed.integers(0, 12, pair).astype(np.float32) for pair in pairwise(widths))
    notes = [int(seed.integers(1, 3)) for _ in widths]
    strings = tuple(seed.integers(1, 3, (w, n)).astype(np.int16) for w, n in zip(widths, notes, strict=True))
    fingers = tuple(seed.integers(1, 4, (w, n)).astype(np.int16) for w, n in zip(widths, notes, strict=True))
    return Lattice(holding, moving, strings, fingers)


def every_path(lattice: Lattice) -> list[Path]:
    return list(product(*(range(len(costs)) for costs in lattice.holding)))


def apart(lattice: Lattice, one: Path, other: Path) -> int:
    """Two for each note on another string, one for each other finger; counted note by note."""
    total = 0
    for number, (a, b) in enumerate(zip(one, other, strict=True)):
        for note in range(lattice.strings[number].shape[1]):
            if lattice.strings[number][a, note] != lattice.strings[number][b, note]:
                total += 2
            elif lattice.fingers[number][a, note] != lattice.fingers[number][b, note]:
                total += 1
    return total


@settings(max_examples=60, deadline=None)
@given(lattices())
def test_all_fingerings_come_in_order(lattice: Lattice) -> None:
    """Each that looks different comes once, at the cost of its cheapest path, never dearer before cheaper."""
    least: dict[object, float] = {}
    for path in every_path(lattice):
        look = lattice.look(path)
        least[look] = min(least.get(look, 1e9), lattice.cost(path))
    found = list(ranked(lattice))
    assert [lattice.cost(path) for path in found] == sorted(least.values())
    assert {lattice.look(path) for path in found} == set(least)


@settings(max_examples=60, deadline=None)
@given(lattices(), st.integers(1, 5), st.integers(1, 2))
def test_the_cheapest_that_differs_enough_is_found(lattice: Lattice, least: int, count: int) -> None:
    """Against one or two known paths, no path that differs by so much from each is cheaper."""
    known = every_path(lattice)[:count]
    enough = [p for p in every_path(lattice) if all(apart(lattice, k, p) >= least for k in known)]
    found = cheapest_apart(lattice, known, least)
    if not enough:
        assert found is None
    else:
        assert found in enough
        assert lattice.cost(found) == min(lattice.cost(path) for path in enough)


@settings(max_examples=30, deadline=None)
@given(lattices())
def test_differences_are_counted_by_note(lattice: Lattice) -> None:
    """The sum along a path is that counted note by note."""
    first, *others = every_path(lattice)
    for path in others[:20]:
        summed = sum(int(difference(lattice, first, number)[row]) for number, row in enumerate(path))
        assert summed == apart(lattice, first, path)


@pytest.mark.parametrize("line", ["C3 D3 E3 F3 G3 A3 B3 C4", "E3+C4 F3+D4 G3+E4", "G2 B2 D3 G3 B3 D4 G4"])
def test_the_thirty_best_fingerings_are_playable_and_different(line: str) -> None:
    """The first is the program's own choice; every next is another one, and a hand can do it."""
    limits = LeftHandLimits(OpenStrings.AVOID)
    found = list(islice(ranked_fingerings(passage(line), GUITAR, PLAYER, limits), 30))
    assert places(found[0]) == places(finger_left_hand(passage(line), GUITAR, PLAYER, limits))
    assert len({places(done) for done in found}) == 30
    for done in found:
        assert faults(done, GUITAR, PLAYER) == []
