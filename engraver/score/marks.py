"""Which fingers, strings, letters and numerals are printed, and which the reader can infer.

The rule of `changes`, so that a reader can invert it: a fretting digit is left out where the note lies on the same
string and in the same position as the note before and the finger is the one its fret implies (one finger per fret),
where the same place was last taken by the same finger with the hand unmoved, and under the sign of a barre, which is
finger 1. Everything else is printed. A finger that the exercise itself demands is printed the first time in each bar.
A barre has its sign where it begins, in place of a position numeral; one without a sign has its digit at its lowest and
highest note. The finger that touches a natural harmonic is printed where it is not that of the harmonic before; a
harmonic has no position, and after it the next digit is printed again. A guide finger, with a dash, is the same finger
on the same string on both sides of a change of position.
Source: advice of teachers to print changes only; the exact rule is chosen by us.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from engraver.fingering.fingered import FingeredNote, FingeredPassage
from engraver.fretboard.tuning import Tuning
from engraver.score.barres import Barre, barres_of
from engraver.score.harmonics import HarmonicSystem, as_under_fingers, shown_places
from engraver.score.plucking_marks import planting_marks, plucking_marks, repeated_in_chords
from engraver.score.string_marks import string_circles, string_lines, with_harmonics
from engraver.theory.passage import PluckingFinger

LAID_WITHIN_QUARTERS = Fraction(2)
"""How long before its first note a barre is laid down with the hand (chosen by us)."""


@dataclass(frozen=True, slots=True)
class MarkStyle:
    """What an edition prints.

    Fingers and strings: `all`, `changes` or `none`; plucking letters: `all`, `first and turns`, `crossings` or `none`;
    `barre_letter` is the letter of the house for a barre. `harmonics` is the system in which harmonics are written,
    `roman_harmonics` has their frets in Roman numerals.
    """

    fingers: str = "changes"
    strings: str = "changes"
    plucking: str = "first and turns"
    positions: bool = True
    cautionary: bool = True
    barre_letter: str = "C"
    harmonics: HarmonicSystem = HarmonicSystem.OPEN_STRING
    roman_harmonics: bool = False


@dataclass(frozen=True, slots=True)
class Marks:
    """The printed marks by note index; `string_line_ends` pairs a circled note with the onset of the last it covers.

    `barres` lie at the note where their sign stands; `guides` are the notes whose digit has a dash; `touched_places`
    the harmonics with the number of their fret; `planted` the fingers laid on their strings, by the note then plucked.
    """

    fingers: frozenset[int]
    strings: frozenset[int]
    plucking: frozenset[int]
    positions: frozenset[int]
    string_line_ends: Mapping[int, Fraction]
    barres: Mapping[int, Barre]
    guides: frozenset[int]
    touched_places: frozenset[int]
    planted: Mapping[int, tuple[PluckingFinger, ...]]


def choose_marks(fingered: FingeredPassage, style: MarkStyle, tuning: Tuning | None = None) -> Marks:
    """The marks this edition prints on a passage; `tuning` tells on which strings a reader may look for a note."""
    places = shown_places(fingered, style.harmonics, style.strings == "all")
    sounding, fingered = fingered, as_under_fingers(fingered)
    notes = fingered.notes
    everything = frozenset(range(len(notes)))
    positions = _position_changes(notes)
    barres = _barre_signs(fingered, positions) if style.fingers != "none" else {}
    lying = frozenset(index for barre in barres.values() for index in barre.notes)
    guides = _guides(notes) - lying if style.fingers != "none" else frozenset()
    opens = dict(enumerate(tuning.open_midis, start=1)) if tuning else None
    strings = string_circles(fingered, style.positions and style.fingers != "none", opens)
    lines = string_lines(fingered, sorted(strings)) if style.strings == "changes" else {}
    strings = with_harmonics(sounding, strings, style.harmonics)
    digits = (_finger_changes(notes) | _demanded(fingered)) - lying | guides
    letters = _chosen(style.plucking, everything, lambda: plucking_marks(fingered, style.plucking))
    return Marks(
        fingers=_chosen(style.fingers, everything, lambda: digits) - _under_barre(fingered),
        strings=_chosen(style.strings, everything, lambda: strings),
        plucking=letters - repeated_in_chords(fingered),
        positions=_beside_barres(notes, positions, barres) if style.positions else frozenset(),
        string_line_ends=lines,
        barres=barres,
        guides=guides,
        touched_places=places,
        planted=planting_marks(fingered, style.plucking),
    )


def _chosen(setting: str, everything: frozenset[int], changes: Callable[[], frozenset[int]]) -> frozenset[int]:
    if setting == "all":
        return everything
    return frozenset() if setting == "none" else changes()


def _barre_signs(fingered: FingeredPassage, positions: frozenset[int]) -> dict[int, Barre]:
    """The signs of barres by the note they stand over.

    A barre that comes into a position already taken is laid down with it, so that one sign tells both: its sign stands
    where the position begins shortly before, unless an open string sounds under the finger (chosen by us).
    """
    notes = fingered.notes
    signs: dict[int, Barre] = {}
    for barre in barres_of(fingered):
        if barre.needs_sign:
            first = barre.notes[0]
            taken = max((index for index in positions if index <= first), default=first)
            start = notes[taken].note.onset_quarters
            soon = barre.start_quarters - start <= LAID_WITHIN_QUARTERS
            if soon and notes[taken].position == barre.fret and _free_to_lie(notes[taken:first], barre):
                told = [i for i in range(taken, first) if (notes[i].left_finger, notes[i].fret) == (1, barre.fret)]
                barre, first = replace(barre, start_quarters=start, notes=(*told, *barre.notes)), taken
            signs[first] = barre
    return signs


def _free_to_lie(between: Sequence[FingeredNote], barre: Barre) -> bool:
    return all(note.fret > 0 or not barre.high <= note.string <= barre.low for note in between)


def _beside_barres(
    notes: Sequence[FingeredNote], positions: frozenset[int], barres: Mapping[int, Barre]
) -> frozenset[int]:
    """The position numerals without those that the sign of a barre gives."""
    told = {(notes[index].note.onset_quarters, barre.fret) for index, barre in barres.items()}
    return frozenset(i for i in positions if (notes[i].note.onset_quarters, notes[i].position) not in told)


def _guides(notes: Sequence[FingeredNote]) -> frozenset[int]:
    """Notes to which their finger came along its string: it took that string last, and the hand has just moved.

    Only the first note that a finger stops after the change of position can have a dash, and only where the string was
    not sounded open meanwhile.
    """
    guides: set[int] = set()
    last: dict[int, FingeredNote] = {}
    position: int | None = None
    moved_at: Fraction | None = None
    for index, note in enumerate(notes):
        if note.left_finger == 0 or note.touches:
            last = {f: held for f, held in last.items() if held.string != note.string and f != note.left_finger}
            continue
        if note.position != position:
            position, moved_at = note.position, note.note.onset_quarters
        before = last.get(note.left_finger)
        if (
            before is not None
            and moved_at == note.note.onset_quarters
            and before.position != note.position
            and before.string == note.string
            and before.fret != note.fret
        ):
            guides.add(index)
        last[note.left_finger] = note
    return frozenset(guides)


def _finger_changes(notes: Sequence[FingeredNote]) -> frozenset[int]:
    shown: set[int] = set()
    last_on_string: dict[int, FingeredNote] = {}
    previous: FingeredNote | None = None
    touching = 0
    for index, note in enumerate(notes):
        if note.touches:
            shown |= {index} if note.left_finger != touching else set()
            touching, previous = note.left_finger, None
            last_on_string.clear()
            continue
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
        if note.note.finger is not None and note.left_finger > 0 and note.barre_fret is None and not note.touches:
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


def _position_changes(notes: Sequence[FingeredNote]) -> frozenset[int]:
    """The first stopped note, the first after a natural harmonic, and every one in another position than before."""
    shown: set[int] = set()
    current: int | None = None
    for index, note in enumerate(notes):
        if note.touches:
            current = None
        elif note.left_finger > 0 and note.position != current:
            shown.add(index)
            current = note.position
    return frozenset(shown)
