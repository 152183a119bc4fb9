"""Which notes carry a string circle, and how far its dashed line goes.

Four rules, by the kind of music, each to be inverted by a reader (the first is common practice, the others are chosen
by us):

- A line that stays on its strings has a circle at every change of string.
- A line that leaps from string to string has a circle only where a note does not lie where a reader looks for it: where
  it lay before; new, on the string of the note before if that lay above the fourth fret, else at its lowest place. Its
  digit 0 tells an open string.
- Pairs (thirds, sixths …) have both circles where the pair of strings changes, and at the first pair.
- Chords and broken chords have a circle only where position and finger do not tell the string: the hand lies one finger
  to a fret, so a position numeral (or a barre) and a digit give the fret, and the string is the one on which the note
  lies nearest to it. A place once taken is told until the hand moves, and a full chord on neighbouring strings is told
  by its lowest note.

A natural harmonic written on the pitch of its open string needs no circle; one written as it sounds has its circle
wherever the string changes.
"""

from collections.abc import Mapping, Sequence
from fractions import Fraction
from itertools import groupby

from engraver.fingering.fingered import FingeredNote, FingeredPassage
from engraver.score.harmonics import HarmonicSystem

LINE_FROM_NOTES = 4
"""A dashed line follows a string circle from this many notes on one string (chosen by us)."""
FULL_CHORD = 4
"""From this many notes on neighbouring strings a chord is told by the circle of its lowest note (chosen by us)."""
LEAPING = Fraction(3, 5)
"""A line leaps when it changes its string more often than after this share of its notes (chosen by us)."""
PLAIN_FRETS = 4
"""Up to this fret a note is read at its lowest place where no position tells otherwise (common practice)."""


def string_circles(
    fingered: FingeredPassage, told_by_hand: bool, opens: Mapping[int, int] | None = None
) -> frozenset[int]:
    """The notes with a circle. `told_by_hand` is False where this edition prints no positions or no digits.

    `opens` has the MIDI number of every open string; without it only the strings of the exercise are thought of.
    """
    notes = fingered.notes
    if is_line(fingered):
        return _new_places(notes, opens or _opens(notes), told_by_hand) if _leaps(notes) else _changes(notes)
    if all(len(event) == 2 for event in fingered.passage.events):
        return _pair_changes(fingered)
    return _untold_by_hand(notes) if told_by_hand else _unexpected(notes)


def with_harmonics(fingered: FingeredPassage, circled: frozenset[int], system: HarmonicSystem) -> frozenset[int]:
    """The circled notes of a passage once its harmonics are written in a system."""
    notes = fingered.notes
    if system is HarmonicSystem.OPEN_STRING:
        return frozenset(index for index in circled if not notes[index].touches)
    if system is HarmonicSystem.SOUNDING:
        return circled | {index for index in _changes(notes) if notes[index].note.harmonic}
    return circled


def string_lines(fingered: FingeredPassage, circled: Sequence[int]) -> dict[int, Fraction]:
    """Where the dashed line of each circled note ends, in a line that stays on its strings."""
    notes = fingered.notes
    if not is_line(fingered) or _leaps(notes):
        return {}
    ends = [*circled[1:], len(notes)]
    return {
        start: notes[end - 1].note.onset_quarters
        for start, end in zip(circled, ends, strict=True)
        if end - start >= LINE_FROM_NOTES
    }


def is_line(fingered: FingeredPassage) -> bool:
    """True for a single voice with one note at a time."""
    one_at_a_time = all(len(event) == 1 for event in fingered.passage.events)
    return one_at_a_time and len({note.note.voice for note in fingered.notes}) == 1


def _leaps(notes: Sequence[FingeredNote]) -> bool:
    return len(_changes(notes)) > LEAPING * len(notes)


def _changes(notes: Sequence[FingeredNote]) -> frozenset[int]:
    return frozenset(i for i, note in enumerate(notes) if i == 0 or note.string != notes[i - 1].string)


def looked_for(midi: int, opens: Mapping[int, int], before: tuple[int, int] | None) -> int | None:
    """The string on which a reader of a leaping line looks for a new note, after one on a string and fret `before`.

    Up the neck it is the string of the note before, in low frets the one of its lowest place.
    """
    string, fret = before or (None, 0)
    plain = [(midi - low, each) for each, low in opens.items() if 0 <= midi - low <= PLAIN_FRETS]
    return min(plain)[1] if plain and fret <= PLAIN_FRETS else string


def _new_places(notes: Sequence[FingeredNote], opens: Mapping[int, int], told_by_hand: bool) -> frozenset[int]:
    shown: set[int] = set()
    told: dict[int, int] = {}
    before: tuple[int, int] | None = None
    for index, note in enumerate(notes):
        midi = note.note.pitch.sounding_midi
        told_by_digit = told_by_hand and note.left_finger == 0 and midi not in told
        if note.string != told.get(midi, looked_for(midi, opens, before)) and not told_by_digit:
            shown.add(index)
        if not note.touches:
            told[midi] = note.string
        before = (note.string, note.fret)
    return frozenset(shown)


def _opens(notes: Sequence[FingeredNote]) -> dict[int, int]:
    """The open strings of an exercise, as its notes tell them."""
    return {note.string: note.note.pitch.sounding_midi - note.fret for note in notes}


def _pair_changes(fingered: FingeredPassage) -> frozenset[int]:
    shown: set[int] = set()
    before: set[int] = set()
    for event in fingered.passage.events:
        pair = {fingered.notes[index].string for index in event}
        if pair != before:
            shown.update(event)
        before = pair
    return frozenset(shown)


def _untold_by_hand(notes: Sequence[FingeredNote]) -> frozenset[int]:
    """Notes nearer to the finger's own fret on another string, and those whose pitch was just taken elsewhere."""
    shown: set[int] = set()
    told: dict[int, int] = {}
    opens = _opens(notes)
    within, position = _within_full_chords(notes), 0
    for index, note in enumerate(notes):
        if note.left_finger > 0 and note.position != position:
            told.clear()
            position = note.position
        known = told.get(note.note.pitch.sounding_midi)
        if index not in within and known != note.string and (known is not None or not _nearest(note, opens)):
            shown.add(index)
        if not note.touches:
            told[note.note.pitch.sounding_midi] = note.string
    return frozenset(shown)


def _nearest(note: FingeredNote, opens: Mapping[int, int]) -> bool:
    """True when on every other string of the exercise the note lies further from its finger's own fret."""
    if note.left_finger == 0:
        return True
    own_fret, midi = note.position + note.left_finger - 1, note.note.pitch.sounding_midi
    away = abs(note.fret - own_fret)
    return all(abs(midi - low - own_fret) > away for string, low in opens.items() if string != note.string)


def _unexpected(notes: Sequence[FingeredNote]) -> frozenset[int]:
    """Without positions or digits: notes above the plain frets whose string the reader has not just been told."""
    shown: set[int] = set()
    told: dict[int, int] = {}
    within = _within_full_chords(notes)
    for index, note in enumerate(notes):
        midi = note.note.pitch.sounding_midi
        if note.fret > PLAIN_FRETS and told.get(midi) != note.string and index not in within:
            shown.add(index)
        if not note.touches:
            told[midi] = note.string
    return frozenset(shown)


def _within_full_chords(notes: Sequence[FingeredNote]) -> frozenset[int]:
    """The notes above the lowest of each chord that lies on enough neighbouring strings."""
    within: set[int] = set()
    for _, chord in groupby(range(len(notes)), key=lambda index: notes[index].note.onset_quarters):
        low_to_high = sorted(chord, key=lambda index: -notes[index].string)
        reach = notes[low_to_high[0]].string - notes[low_to_high[-1]].string
        if len(low_to_high) >= FULL_CHORD and reach == len(low_to_high) - 1:
            within.update(low_to_high[1:])
    return frozenset(within)
