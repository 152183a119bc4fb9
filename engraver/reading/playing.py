"""From the notes of a part to what a guitarist plays: one note for each stroke, ties joined, unisons once.

A tablature copy lends its string and fret to the note that it repeats. A pitch that two voices share is struck once.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import pairwise
from operator import itemgetter

from engraver.reading.music import EditorMarks, ReadNote, ReadPart

GRACE_QUARTERS = Fraction(1, 32)
"""How long before its note a grace note is struck (chosen by us; only the order matters to the hands)."""
_MOST_TIES = 8  # ties of one pitch that may be open at once
LONGEST_SLUR = 4
"""A longer slur over single notes is a phrase, not a slur of the fretting hand (chosen by us)."""


@dataclass(frozen=True, slots=True)
class Stroke:
    """One stroke: the note that is struck, its whole length with ties, every note head it is written with.

    `heads` begins with the note heads struck; `continued` are those tied to them. `marks` joins all their marks.
    """

    lead: ReadNote
    onset_quarters: Fraction
    duration_quarters: Fraction
    heads: tuple[ReadNote, ...]
    continued: tuple[ReadNote, ...]
    marks: EditorMarks
    slurred: bool


@dataclass(slots=True)
class _Open:
    """A stroke whose ties have not all been seen."""

    lead: ReadNote
    onset: Fraction
    end: Fraction
    heads: list[ReadNote]
    continued: list[ReadNote]


def strokes_of(part: ReadPart) -> tuple[Stroke, ...]:
    """The strokes of a part in order of onset, then from low to high. Pitches between the semitones are left out."""
    notes = [note for note in part.notes if note.sounding is not None]
    found = _joined([note for note in notes if not note.tablature])
    copies = _copies([note for note in notes if note.tablature])
    slurred = _short_slurs(found)
    strokes = []
    for index, one in enumerate(found):
        heads, continued = one.heads, one.continued
        if copies:
            heads = [*heads, *(c for head in heads for c in _take(copies, head))]
            continued = [*continued, *(c for head in continued for c in _take(copies, head))]
        marks = _all_marks([*heads, *continued])
        slur = index in slurred or any(head.slurred for head in heads)
        strokes.append(Stroke(one.lead, one.onset, one.end - one.onset, tuple(heads), tuple(continued), marks, slur))
    return tuple(strokes)


def height(note: ReadNote) -> int:
    """The sounding pitch as a MIDI number."""
    assert note.sounding is not None
    return note.sounding.sounding_midi


def _joined(notes: list[ReadNote]) -> list[_Open]:
    """The strokes with their ties and unisons joined."""
    tied: dict[int, list[_Open]] = {}
    struck: dict[tuple[int, bool], list[_Open]] = {}
    out: list[_Open] = []
    now: Fraction | None = None
    for midi, note, onset in _in_time(notes):
        if onset != now:
            now, struck = onset, {}
        end = onset + note.duration_quarters
        before = _continued(note, onset, tied.get(midi, [])) if note.tie_stop else None
        together = struck.setdefault((midi, note.grace), [])
        same = next((one for one in together if not _on_two_strings(one.lead, note)), None) if together else None
        if before is not None:
            before.continued.append(note)
            before.end = max(before.end, end)
            one = before
        elif same is not None:
            same.heads.append(note)
            same.end = max(same.end, end)
            one = same
        else:
            one = _Open(note, onset, end, [note], [])
            together.append(one)
            out.append(one)
        if note.tie_start and not any(one is other for other in tied.get(midi, [])):
            tied[midi] = [*tied.get(midi, []), one][-_MOST_TIES:]
    return out


def _in_time(notes: list[ReadNote]) -> Iterable[tuple[int, ReadNote, Fraction]]:
    """Height, note and onset in order of onset, height and voice.

    Onsets are compared as floating numbers, which tell apart whatever a file can count.
    """
    rows = [
        (float(onset), height(note), note.voice, place, note, onset)
        for place, (note, onset) in enumerate(_with_graces(notes))
    ]
    rows.sort(key=itemgetter(0, 1, 2, 3))
    return ((midi, note, onset) for _, midi, _, _, note, onset in rows)


def _continued(note: ReadNote, onset: Fraction, open_ties: list[_Open]) -> _Open | None:
    """The stroke that a tie leads on from: of the same pitch, ending where this note begins."""
    fitting = [one for one in open_ties if one.onset < onset <= one.end]
    same_voice = [one for one in fitting if one.lead.voice == note.voice]
    return next(reversed(same_voice or fitting), None)


def _with_graces(notes: Iterable[ReadNote]) -> list[tuple[ReadNote, Fraction]]:
    """Every note with the onset at which it is struck; grace notes lie one after the other before their note."""
    groups: dict[tuple[str, int, Fraction], list[ReadNote]] = {}
    out = []
    for note in notes:
        if note.grace:
            groups.setdefault((note.voice, note.staff, note.onset_quarters), []).append(note)
        else:
            out.append((note, note.onset_quarters))
    for (_, _, onset), graces in groups.items():
        for place, note in enumerate(graces):
            struck = onset - GRACE_QUARTERS * (len(graces) - place)
            out.append((replace(note, duration_quarters=GRACE_QUARTERS), struck))
    return out


def _copies(notes: list[ReadNote]) -> dict[tuple[Fraction, int], list[ReadNote]]:
    """Tablature notes by onset and pitch."""
    out: dict[tuple[Fraction, int], list[ReadNote]] = {}
    for note in notes:
        out.setdefault((note.onset_quarters, height(note)), []).append(note)
    return out


def _take(copies: dict[tuple[Fraction, int], list[ReadNote]], head: ReadNote) -> list[ReadNote]:
    """The tablature copies of a note head, each taken once."""
    key = (head.onset_quarters, height(head))
    found = copies.pop(key, [])
    if other := [copy for copy in found if _on_two_strings(head, copy)]:
        copies[key] = other
    return [copy for copy in found if copy not in other]


def _on_two_strings(one: ReadNote, other: ReadNote) -> bool:
    """True where the editor has put two notes on different strings."""
    strings = {one.marks.string, other.marks.string} - {None}
    return len(strings) > 1


def _all_marks(heads: list[ReadNote]) -> EditorMarks:
    """The marks of several heads of one stroke; the first head that has one decides."""
    marks = [head.marks for head in heads]
    if len(marks) == 1:
        return marks[0]
    return EditorMarks(
        finger=next((m.finger for m in marks if m.finger is not None), None),
        string=next((m.string for m in marks if m.string is not None), None),
        fret=next((m.fret for m in marks if m.fret is not None), None),
        plucking=next((m.plucking for m in marks if m.plucking is not None), None),
        harmonic=any(m.harmonic for m in marks),
        harmonic_kind=next((m.harmonic_kind for m in marks if m.harmonic_kind), None),
        harmonic_pitch=next((m.harmonic_pitch for m in marks if m.harmonic_pitch), None),
    )


def _short_slurs(strokes: list[_Open]) -> set[int]:
    """The strokes under a short slur over single notes of different pitch, its first note left out."""
    voices: dict[tuple[str, int], list[int]] = {}
    for index, one in enumerate(strokes):
        voices.setdefault((one.lead.voice, one.lead.staff), []).append(index)
    slurred: set[int] = set()
    for indices in voices.values():
        running: dict[str, list[int]] = {}
        for index in indices:
            lead = strokes[index].lead
            for chain in running.values():
                chain.append(index)
            for number in lead.slur_stops:
                slurred |= _played(running.pop(number, []), strokes)
            running |= {number: [index] for number in lead.slur_starts}
    return slurred


def _played(chain: list[int], strokes: list[_Open]) -> set[int]:
    """The notes of a slur that the fretting hand sounds: none where it is a phrase, a chord or a repeated note."""
    onsets = [strokes[index].onset for index in chain]
    heights = [height(strokes[index].lead) for index in chain]
    repeated = any(a == b for a, b in pairwise(heights))
    if not 2 <= len(chain) <= LONGEST_SLUR or len(set(onsets)) < len(onsets) or repeated:
        return set()
    return set(chain[1:])
