"""The way back explained: every note that comes back on another place or finger than it went, with the reason."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import groupby

from engraver.errors import FingeringError
from engraver.fingering.fingered import FingeredNote, FingeredPassage
from engraver.fingering.left_hand import finger_left_hand
from engraver.fretboard.limits import LeftHandLimits, Pin
from engraver.press.explain_table import phrases
from engraver.press.explanation import Section
from engraver.spec.book import Edition

_Spot = tuple[int, int]  # string, finger


@dataclass(frozen=True, slots=True)
class _Run:
    """Notes in a row that come back elsewhere (from 0), each with the place it had on the way there."""

    notes: tuple[int, ...]
    there: tuple[FingeredNote, ...]


def way_back_sections(fingered: FingeredPassage, edition: Edition, limits: LeftHandLimits) -> tuple[Section, ...]:
    """One section for a line that turns, none for other music."""
    turn, told = fingered.passage.turn, phrases().way_back
    if turn is None or turn >= len(fingered.notes) - 1:
        return ()
    lines = tuple(_line(run, fingered, edition, limits) for run in _runs(fingered, turn))
    return (Section(phrases().headings.way_back, lines or (told.same,)),)


def _runs(fingered: FingeredPassage, turn: int) -> Iterator[_Run]:
    """The notes after the turn whose pitch went by another string or finger, in stretches."""
    there: dict[int, FingeredNote] = {}
    spots: dict[int, set[_Spot]] = {}
    for note in fingered.notes[: turn + 1]:
        there[note.note.pitch.sounding_midi] = note
        spots.setdefault(note.note.pitch.sounding_midi, set()).add(_spot(note))
    back = range(turn + 1, len(fingered.notes))

    def moved(index: int) -> bool:
        note = fingered.notes[index]
        midi = note.note.pitch.sounding_midi
        return midi in spots and _spot(note) not in spots[midi]

    for other, group in groupby(back, key=moved):
        if other:
            notes = tuple(group)
            yield _Run(notes, tuple(there[fingered.notes[i].note.pitch.sounding_midi] for i in notes))


def _spot(note: FingeredNote) -> _Spot:
    return note.string, note.left_finger


def _line(run: _Run, fingered: FingeredPassage, edition: Edition, limits: LeftHandLimits) -> str:
    told = phrases().way_back
    first, last = run.notes[0] + 1, run.notes[-1] + 1
    pattern = told.note if first == last else told.notes
    back = [fingered.notes[index] for index in run.notes]
    return pattern.format(
        first=first,
        last=last,
        pitches=" ".join(str(note.note.pitch) for note in back),
        there=_places(run.there),
        back=_places(back),
        reason=_reason(run, fingered, edition, limits),
    )


def _places(notes: Sequence[FingeredNote]) -> str:
    """String and fret with the finger: ``3/5-4 3/4-3``."""
    return " ".join(f"{note.string}/{note.fret}-{note.left_finger}" for note in notes)


def _reason(run: _Run, fingered: FingeredPassage, edition: Edition, limits: LeftHandLimits) -> str:
    """Why: the book's pins, else what surrounds the notes, and what the places of the way there would cost."""
    told, pinned = phrases().way_back, {pin.note for pin in limits.pins}
    if pinned & set(run.notes) or pinned & {fingered.notes.index(note) for note in run.there}:
        return told.pinned
    why = told.other_notes if _other_surroundings(run, fingered) else told.other_hand
    return f"{why}; {_dearer(run, fingered, edition, limits)}"


def _other_surroundings(run: _Run, fingered: FingeredPassage) -> bool:
    """True where the notes before or after the run are others than those it had, mirrored, on the way there."""
    turn, notes = fingered.passage.turn or 0, fingered.notes
    going = [note.note.pitch.sounding_midi for note in notes[: turn + 1]]
    coming = [note.note.pitch.sounding_midi for note in notes[turn:]]
    return coming != going[::-1][: len(coming)]


def _dearer(run: _Run, fingered: FingeredPassage, edition: Edition, limits: LeftHandLimits) -> str:
    """What the hand would pay more if the notes came back as they went, and for what above all."""
    told = phrases().way_back
    pins = tuple(Pin(i, note.string, note.left_finger) for i, note in zip(run.notes, run.there, strict=True))
    try:
        other = finger_left_hand(
            fingered.passage, edition.instrument, edition.player, replace(limits, pins=(*limits.pins, *pins))
        )
    except FingeringError:
        return told.impossible
    more = other.total_cost - fingered.total_cost
    if more < phrases().limits.least_difference:
        return told.as_cheap
    rows = {cost.name: 0.0 for cost in (*other.account, *fingered.account)}
    for cost in other.account:
        rows[cost.name] += cost.amount
    for cost in fingered.account:
        rows[cost.name] -= cost.amount
    dearest = sorted((name for name in rows if rows[name] > 0), key=lambda name: (-rows[name], name))[:2]
    return told.dearer.format(more=f"{more:.2f}", rows=", ".join(name.replace("_", " ") for name in dearest))
