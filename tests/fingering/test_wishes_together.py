"""All wishes together: what comes out keeps each of them and a hand can do it, or the refusal names note and remedy."""

from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import event, given, settings
from hypothesis import strategies as st

from engraver.errors import FingeringError, OutOfRange, Unplayable
from engraver.fingering.finger import finger
from engraver.fingering.fingered import FingeredPassage
from engraver.fretboard.limits import Barres, HandShape, LeftHandLimits, OpenStrings, Pin, Spread, Yielding
from engraver.fretboard.neck import spots
from engraver.fretboard.tuning import Instrument, Player, Tuning
from engraver.theory.passage import Passage
from engraver.theory.pitch import SpelledPitch
from tests.fingering.playable import faults
from tests.fingering.test_left_hand_properties import sequence

TUNINGS = {
    "standard": ("E4", "B3", "G3", "D3", "A2", "E2"),
    "drop D": ("E4", "B3", "G3", "D3", "A2", "D2"),
    "seven strings": ("E4", "B3", "G3", "D3", "A2", "E2", "B1"),
    "eight strings": ("E4", "B3", "G3", "D3", "A2", "E2", "D2", "A1"),
}


def guitar(name: str, mm: float, capo: int) -> Instrument:
    return Instrument(Tuning(name, tuple(SpelledPitch.parse(p) for p in TUNINGS[name])), mm, capo=capo)


guitars = st.builds(guitar, st.sampled_from(list(TUNINGS)), st.sampled_from([530.0, 650.0]), st.integers(0, 3))
players = st.sampled_from([80.0, 98.0]).map(lambda mm: Player(reach_mm=mm))
shapes = st.builds(
    HandShape,
    st.sampled_from(list(Barres)),
    st.sampled_from(list(Spread)),
    st.one_of(st.none(), st.integers(1, 12)),
)
wishes = st.builds(
    LeftHandLimits,
    open_strings=st.sampled_from(list(OpenStrings)),
    start_finger=st.one_of(st.none(), st.integers(0, 4)),
    position=st.one_of(st.none(), st.none(), st.integers(1, 9)),
    notes_per_string=st.one_of(st.none(), st.none(), st.integers(1, 4)),
    strings=st.sampled_from([(), (), (6, 5, 4), (3, 2, 1), (6, 5, 4, 3, 2, 1)]),
    shape=shapes,
)
lines = st.lists(st.lists(st.integers(40, 79), min_size=1, max_size=3), min_size=1, max_size=10)


@st.composite
def pinned(draw: st.DrawFn, line: Passage, instrument: Instrument) -> tuple[Pin, ...]:
    """Up to three notes with one of their strings, or any finger."""
    out = {}
    for _ in range(draw(st.integers(0, 3))):
        note = draw(st.integers(0, len(line.notes) - 1))
        places = [s.string for s in spots(instrument, line.notes[note].pitch.sounding_midi)]
        string = draw(st.sampled_from([None, *places])) if places else None
        out[note] = Pin(note, string, draw(st.one_of(st.none(), st.integers(0, 4))))
    return tuple(out[note] for note in sorted(out))


def kept(done: FingeredPassage, limits: LeftHandLimits) -> list[str]:
    """Every wish that the fingering breaks, judged by the notes alone."""
    wrong = []
    notes = done.notes
    for pin in limits.pins:
        note = notes[pin.note]
        if pin.string not in (None, note.string) or pin.finger not in (None, note.left_finger):
            wrong.append(f"pin {pin}")
    free = [n for i, n in enumerate(notes) if i not in {p.note for p in limits.pins if p.string}]
    if limits.strings and any(n.string not in limits.strings for n in free):
        wrong.append("strings")
    if (
        limits.start_finger is not None
        and limits.start_finger != notes[0].left_finger
        and not any(p.note == 0 and p.finger is not None for p in limits.pins)
    ):
        wrong.append("start")
    if limits.position and any(n.fret and not limits.position - 1 <= n.fret <= limits.position + 4 for n in notes):
        wrong.append("position")
    for struck in done.passage.events:
        held = [notes[i] for i in struck if notes[i].fret]
        wrong += barre_faults(held, limits.shape.barre) + spread_faults(held, limits.shape.spread)
    return wrong


def barre_faults(held: list, wish: Barres) -> list[str]:
    """Fingers over more strings than the book allows."""
    widest = {Barres.NONE: 1, Barres.PARTIAL: 4, Barres.ALLOW: 10}[wish]
    out = []
    for one in range(1, 5):
        strings = [n.string for n in held if n.left_finger == one]
        if strings and max(strings) - min(strings) >= widest:
            out.append(f"finger {one} over {len(strings)} strings")
    return out


def spread_faults(held: list, wish: Spread) -> list[str]:
    """Fingers held at once wider than one to a fret, or (strictly) other than that."""
    out = []
    for a, b in pairwise(sorted(held, key=lambda n: n.left_finger)):
        opening = b.fret - a.fret - (b.left_finger - a.left_finger)
        if wish is not Spread.FREE and opening > 0:
            out.append(f"fingers {a.left_finger} and {b.left_finger} open by {opening}")
        if wish is Spread.ONE_PER_FRET and opening:
            out.append(f"fingers {a.left_finger} and {b.left_finger} not one to a fret")
    return out


def named(error: FingeringError) -> None:
    """The refusal points at a note and a bar, or at a string the guitar lacks, and says what helps."""
    assert error.hint
    assert "in bar " in error.message or "does not exist on this guitar" in error.message


@settings(max_examples=150, deadline=None)
@given(guitars, players, wishes, lines, st.data())
def test_every_wish_is_kept_or_refused_by_name(
    instrument: Instrument, player: Player, limits: LeftHandLimits, midis: list[list[int]], data: st.DataObject
) -> None:
    """No unreachable grip, doubled string or crossed finger under any mixture of wishes, guitars and hands."""
    line = sequence(midis)
    limits = replace(limits, pins=data.draw(pinned(line, instrument)))
    try:
        done = finger(line, instrument, player, limits)
    except (OutOfRange, Unplayable) as error:
        named(error)
        event("refused")
        return
    event("played")
    assert faults(done, instrument, player) == []
    assert kept(done, limits) == []


@settings(max_examples=60, deadline=None)
@given(guitars, players, lines, st.data())
def test_a_level_never_refuses_what_can_be_played_without_it(
    instrument: Instrument, player: Player, midis: list[list[int]], data: st.DataObject
) -> None:
    """Its wishes are given up, and named, where nothing else helps; what is not given up is kept."""
    line = sequence(midis)
    order = data.draw(st.permutations(list(Yielding)))
    limits = LeftHandLimits(position=1, shape=HandShape(Barres.NONE, Spread.NO_EXTENSION, 1), yielding=tuple(order))
    try:
        finger(line, instrument, player, LeftHandLimits())
    except (OutOfRange, Unplayable):
        return
    done = finger(line, instrument, player, limits)
    assert faults(done, instrument, player) == []
    still = replace(
        limits,
        position=None if Yielding.POSITION in done.given_up else 1,
        shape=HandShape(
            Barres.ALLOW if Yielding.BARRE in done.given_up else Barres.NONE,
            Spread.FREE if Yielding.EXTENSIONS in done.given_up else Spread.NO_EXTENSION,
        ),
    )
    assert kept(done, still) == []


@settings(max_examples=40, deadline=None)
@given(lines, wishes)
def test_repertoire_keeps_the_wishes_too(midis: list[list[int]], limits: LeftHandLimits) -> None:
    """Written music is fingered by habit within the same wishes; what no hand holds at once is rolled."""
    instrument, player = guitar("standard", 650.0, 0), Player()
    line = replace(sequence(midis), repertoire=True)
    try:
        done = finger(line, instrument, player, limits)
    except (OutOfRange, Unplayable) as error:
        named(error)
        return
    late = {done.notes[c.note].note.onset_quarters for c in done.account if c.name == "chord_broken"}
    assert [f for f in faults(done, instrument, player) if done.notes[f.note].note.onset_quarters not in late] == []
    if not late:
        assert kept(done, limits) == []


@pytest.mark.parametrize(
    ("name", "mm", "reach", "told"),
    [("standard", 650.0, 98.0, 1), ("standard", 650.0, 80.0, 5), ("standard", 530.0, 80.0, 1)],
)
def test_the_hand_and_the_guitar_decide_where_a_wide_grip_lies(name: str, mm: float, reach: float, told: int) -> None:
    """Four frets under fingers 1 to 4: in first position for a large hand or a short guitar, for a small hand higher up.

    From the fret formula: frets 1 and 4 lie 97.6 mm apart at 650 mm and 79.6 at 530, frets 5 and 8 77.5 at 650.
    """
    instrument, player = guitar(name, mm, 0), Player(reach_mm=reach)
    limits = LeftHandLimits(OpenStrings.AVOID, shape=HandShape(spread=Spread.ONE_PER_FRET))
    pins = (Pin(0, finger=1), Pin(1, finger=4))
    places = []
    for low in range(1, 9):
        line = sequence([[45 + low, 50 + low + 3]])
        fixed = replace(limits, pins=(replace(pins[0], string=5), replace(pins[1], string=4)))
        try:
            finger(line, instrument, player, fixed)
        except Unplayable:
            continue
        places.append(low)
    assert min(places) == told
    assert places == list(range(told, 9))


def test_drop_d_and_more_strings_are_used() -> None:
    """D2 is the open sixth string in drop D, fret 3 of the seventh string on seven, refused with a remedy on six."""
    line = sequence([[38], [40]])
    assert finger(line, guitar("drop D", 650.0, 0)).notes[0].string == 6
    seventh = finger(line, guitar("seven strings", 650.0, 0)).notes[0]
    assert (seventh.string, seventh.fret) == (7, 3)
    with pytest.raises(OutOfRange) as caught:
        finger(line, guitar("standard", 650.0, 0))
    assert caught.value.hint == "write the passage an octave higher, or tune the lowest string down by 2 semitones"
