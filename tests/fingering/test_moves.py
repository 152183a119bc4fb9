"""Moves between grips are worth the same looked up at once as description by description."""

import numpy as np
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from engraver.fingering import habits
from engraver.fingering.candidates import Setting, Sound, grips_for
from engraver.fingering.costs import held_notes_moved
from engraver.fingering.grips import FINGER_COUNT, Grips, after, before, stack
from engraver.fingering.left_hand import finger_left_hand
from engraver.fingering.moves import MoveSide, move_numbers, move_tables
from engraver.fretboard.limits import LeftHandLimits
from tests.fingering.left_hand_helpers import GUITAR, PLAYER, passage

chords = st.lists(st.integers(40, 80), min_size=1, max_size=3, unique=True).map(sorted)


def side(g: Grips) -> MoveSide:
    return MoveSide(
        *(g.lead_finger, g.lead_fret, g.lead_string, g.position, g.fretted, g.low_finger, g.low_fret, g.low_string),
        [g.finger_fret[..., f] for f in range(FINGER_COUNT)],
        [g.finger_string[..., f] for f in range(FINGER_COUNT)],
    )


@settings(max_examples=40, deadline=None)
@given(chords, chords, st.integers(0, 2), st.integers(0, 2**32 - 1))
def test_tables_give_the_sum_of_all_descriptions(one: list[int], two: list[int], pace: int, seed: int) -> None:
    """Every move of one chord to another, its first note held, under weights drawn at random."""
    held = [Sound(midi, held=not at) for at, midi in enumerate(sorted({one[0], *two}))]
    assume(len(held) > 1)
    sets = [
        grips_for(Setting(GUITAR, PLAYER), sounds, 60, 10) for sounds in (tuple(Sound(m) for m in one), tuple(held))
    ]
    if None in sets:
        return
    weights = np.random.default_rng(seed).normal(size=habits.SIZE).astype(np.float32)
    a, b = (stack([s.grips], s.count) for s in sets)
    moved = held_notes_moved(a.on_string[:, :, None], b.held_on_string[:, None])
    paces = np.array([[[pace]]])
    found = move_tables(weights).scores(a, b, paces, moved)
    wanted = sum(weights[n] for n in move_numbers(side(before(a)), side(after(b)), paces, moved))
    np.testing.assert_allclose(found, wanted, atol=1e-4)


def test_what_is_kept_from_passage_to_passage_changes_nothing() -> None:
    """A line is fingered the same the first time and after other music on the same guitar."""
    learned = habits.read_habits()
    line = passage("E4 G4 C5 B4 A4 F4 D4 C4")
    first = finger_left_hand(line, GUITAR, PLAYER, LeftHandLimits(), learned)
    finger_left_hand(passage("C3+G3 D3+A3 E3+B3 F3+C4 E4 G4 C5"), GUITAR, PLAYER, LeftHandLimits(), learned)
    assert finger_left_hand(line, GUITAR, PLAYER, LeftHandLimits(), learned) == first


def test_other_habits_are_not_answered_from_what_is_kept() -> None:
    """Habits that shun the first finger are heard although the same line was fingered before."""
    learned = habits.read_habits()
    line = passage("F4 A4 F4 A4")
    first = finger_left_hand(line, GUITAR, PLAYER, LeftHandLimits(), learned)
    weights = learned.weights.copy()
    start = habits.OFFSETS["place"]
    size = next(f.size for f in habits.NOTE_FAMILIES if f.name == "place")
    weights[start : start + size][1 :: habits.FINGERS] -= 30
    other = finger_left_hand(line, GUITAR, PLAYER, LeftHandLimits(), habits.Habits(weights, learned.own_share))
    assert 1 in {n.left_finger for n in first.notes}
    assert 1 not in {n.left_finger for n in other.notes}
