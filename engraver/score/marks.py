"""Which fingers, strings, letters and numerals are printed, and which the reader can infer.

The rule of `changes`, so that a reader can invert it: a fretting digit is left out where the note lies on the same
string and in the same position as the note before and the finger is the one its fret implies (one finger per fret), and
where the same place was last taken by the same finger with the hand unmoved. Everything else is printed. A finger that
the exercise itself demands is printed the first time in each bar, and a barre once at its lowest and highest note.
Source: advice of teachers to print changes only; the exact rule is chosen by us.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import groupby, pairwise

from engraver.fingering.fingered import FingeredNote, FingeredPassage

LINE_FROM_NOTES = 4
"""A dashed line follows a string circle from this many notes on one string (chosen by us)."""
FULL_CHORD = 4
"""From this many notes on neighbouring strings a chord is told by the circle of its lowest note (chosen by us)."""
LONGEST_PATTERN = 12
"""The longest plucking pattern looked for, in strokes."""


@dataclass(frozen=True, slots=True)
class MarkStyle:
    """What an edition prints.

    Fingers and strings: `all`, `changes` or `none`; plucking letters: `all`, `first and turns`,
    `crossings` or `none`.
    """

    fingers: str = "changes"
    strings: str = "changes"
    plucking: str = "first and turns"
    positions: bool = True
    cautionary: bool = True


@dataclass(frozen=True, slots=True)
class Marks:
    """The printed marks by note index; `string_line_ends` pairs a circled note with the onset of the last it covers."""

    fingers: frozenset[int]
    strings: frozenset[int]
    plucking: frozenset[int]
    positions: frozenset[int]
    string_line_ends: Mapping[int, Fraction]


def choose_marks(fingered: FingeredPassage, style: MarkStyle) -> Marks:
    """The marks this edition prints on a passage."""
    notes = fingered.notes
    everything = frozenset(range(len(notes)))
    is_line = all(len(event) == 1 for event in fingered.passage.events) and len({n.note.voice for n in notes}) == 1
    strings = _string_changes(notes) if is_line else _unexpected_strings(notes)
    lines = _string_lines(notes, sorted(strings)) if is_line and style.strings == "changes" else {}
    return Marks(
        fingers=_chosen(style.fingers, everything, lambda: _finger_changes(notes) | _demanded(fingered))
        - _under_barre(fingered),
        strings=_chosen(style.strings, everything, lambda: strings),
        plucking=_chosen(style.plucking, everything, lambda: _plucking_marks(fingered, style.plucking)),
        positions=_position_changes(notes) if style.positions else frozenset(),
        string_line_ends=lines,
    )


def _chosen(setting: str, everything: frozenset[int], changes: Callable[[], frozenset[int]]) -> frozenset[int]:
    if setting == "all":
        return everything
    return frozenset() if setting == "none" else changes()


def _finger_changes(notes: Sequence[FingeredNote]) -> frozenset[int]:
    shown: set[int] = set()
    last_on_string: dict[int, FingeredNote] = {}
    previous: FingeredNote | None = None
    for index, note in enumerate(notes):
        if previous is not None and note.position != previous.position:
            last_on_string.clear()
        if not (_implied(note, previous) or _same_place(note, last_on_string.get(note.string))):
            shown.add(index)
        last_on_string[note.string] = note
        previous = note
    return frozenset(shown)


def _demanded(fingered: FingeredPassage) -> frozenset[int]:
    """The fingers that the exercise demands, each place once a bar; under a lying barre nothing is said again."""
    bar = fingered.passage.metre.bar_quarters
    first: dict[tuple[int, int, int, int], int] = {}
    for index, note in enumerate(fingered.notes):
        if note.note.finger is not None and note.left_finger > 0 and note.barre_fret is None:
            number = int(note.note.onset_quarters // bar)
            first.setdefault((number, note.string, note.fret, note.left_finger), index)
    return frozenset(first.values())


def _under_barre(fingered: FingeredPassage) -> frozenset[int]:
    """The inner notes of each barre that is struck as a chord; its outer notes tell its reach."""
    inner: set[int] = set()
    for event in fingered.passage.events:
        fingers = {fingered.notes[i].left_finger for i in event if fingered.notes[i].barre_fret is not None}
        for finger in fingers:
            covered = sorted((fingered.notes[i].string, i) for i in event if fingered.notes[i].left_finger == finger)
            inner |= {index for _, index in covered[1:-1]}
    return frozenset(inner)


def _implied(note: FingeredNote, previous: FingeredNote | None) -> bool:
    """True where one finger per fret on an unchanged string tells the finger."""
    return (
        previous is not None
        and note.string == previous.string
        and note.position == previous.position
        and previous.left_finger > 0
        and note.left_finger == note.fret - note.position + 1
    )


def _same_place(note: FingeredNote, last: FingeredNote | None) -> bool:
    return last is not None and (note.fret, note.left_finger) == (last.fret, last.left_finger)


def _string_changes(notes: Sequence[FingeredNote]) -> frozenset[int]:
    return frozenset(i for i, note in enumerate(notes) if i == 0 or note.string != notes[i - 1].string)


def _unexpected_strings(notes: Sequence[FingeredNote]) -> frozenset[int]:
    """In chords and broken chords: notes above fret 4 whose string the reader has not just been told.

    A full chord on neighbouring strings is told by its lowest note.
    """
    shown: set[int] = set()
    told: dict[int, int] = {}
    within = _within_full_chords(notes)
    for index, note in enumerate(notes):
        midi = note.note.pitch.sounding_midi
        if note.fret > 4 and told.get(midi) != note.string and index not in within:
            shown.add(index)
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


def _string_lines(notes: Sequence[FingeredNote], circled: Sequence[int]) -> dict[int, Fraction]:
    ends = [*circled[1:], len(notes)]
    return {
        start: notes[end - 1].note.onset_quarters
        for start, end in zip(circled, ends, strict=True)
        if end - start >= LINE_FROM_NOTES
    }


def _position_changes(notes: Sequence[FingeredNote]) -> frozenset[int]:
    """The first stopped note, and every stopped note whose position is not that of the stopped note before."""
    shown: set[int] = set()
    current: int | None = None
    for index, note in enumerate(notes):
        if note.left_finger > 0 and note.position != current:
            shown.add(index)
            current = note.position
    return frozenset(shown)


def _plucking_marks(fingered: FingeredPassage, setting: str) -> frozenset[int]:
    """The letters of one of the settings between all and none."""
    alone = all(len(event) == 1 for event in fingered.passage.events)
    return _plucking_crossings(fingered) if setting == "crossings" and alone else _plucking_turns(fingered)


def _plucking_crossings(fingered: FingeredPassage) -> frozenset[int]:
    """In a single line: the first letter, the letter that meets each new string, the letter after a reversal.

    Source: chosen by us; where several notes sound together every attack crosses, and the turns are shown instead.
    """
    plucked = [index for index, note in enumerate(fingered.notes) if note.plucking is not None]
    met = {later for one, later in pairwise(plucked) if fingered.notes[one].string != fingered.notes[later].string}
    turned = () if fingered.reversal is None else (fingered.reversal,)
    return frozenset((*plucked[:1], *met, *turned))


def _plucking_turns(fingered: FingeredPassage) -> frozenset[int]:
    """Letters for one turn of the pattern at the start, wherever the pattern breaks, and around the turn."""
    events = [tuple(i for i in event if fingered.notes[i].plucking is not None) for event in fingered.passage.events]
    events = [event for event in events if event]
    letters = [tuple(fingered.notes[i].plucking for i in event) for event in events]
    period = _period(letters)
    shown = {k for k in range(len(letters)) if k < period or letters[k] != letters[k - period]}
    turn = fingered.passage.turn
    if turn is not None:
        at = next((k for k, event in enumerate(events) if turn in event), None)
        shown |= {k for k in (at, at + 1) if k < len(events)} if at is not None else set()
    if fingered.reversal is not None:
        shown |= {k for k, event in enumerate(events) if fingered.reversal in event}
    return frozenset(i for k in shown for i in events[k])


def _period(letters: Sequence[tuple[object, ...]]) -> int:
    """The shortest pattern that all but a few strokes follow; the whole length when there is none."""
    for period in range(1, min(LONGEST_PATTERN, len(letters) // 2) + 1):
        kept = sum(letters[k] == letters[k - period] for k in range(period, len(letters)))
        if kept >= 0.75 * (len(letters) - period):
            return period
    return len(letters)
