"""Moments: what the plucking hand knows around each attack before it chooses its fingers."""

from dataclasses import dataclass
from fractions import Fraction

from engraver.fingering.strokes import Attack
from engraver.theory.passage import Note, Passage


@dataclass(frozen=True, slots=True)
class Moment:
    """An attack with its surroundings; the tuples follow its strokes from the lowest string up.

    `bass` and `upper`: the stroke belongs to the lowest of several voices, or to another. `rings`: it is held
    beyond the next attack. `below`, `above`: how many different lower and higher strings are plucked within the
    window of attacks around it. `gap_quarters`: time since the attack before, 0 at the start.
    """

    strings: tuple[int, ...]
    bass: tuple[bool, ...]
    upper: tuple[bool, ...]
    rings: tuple[bool, ...]
    below: tuple[int, ...]
    above: tuple[int, ...]
    gap_quarters: Fraction


def moments_of(passage: Passage, attacks: tuple[Attack, ...], window: int) -> tuple[Moment, ...]:
    """The attacks of a passage with their surroundings, `window` attacks to each side."""
    bass_voice = _bass_voice(passage)
    return tuple(_moment(passage, attacks, place, window, bass_voice) for place in range(len(attacks)))


def _moment(passage: Passage, attacks: tuple[Attack, ...], place: int, window: int, bass_voice: int | None) -> Moment:
    strings = tuple(stroke.string for stroke in attacks[place])
    notes = [passage.notes[stroke.note] for stroke in attacks[place]]
    near = {stroke.string for attack in attacks[max(0, place - window) : place + window + 1] for stroke in attack}
    onset = notes[0].onset_quarters
    return Moment(
        strings,
        bass=tuple(note.voice == bass_voice for note in notes),
        upper=tuple(bass_voice not in (None, note.voice) for note in notes),
        rings=tuple(note.end_quarters > _onset(passage, attacks, place + 1, note) for note in notes),
        below=tuple(sum(other > string for other in near) for string in strings),
        above=tuple(sum(other < string for other in near) for string in strings),
        gap_quarters=onset - passage.notes[attacks[place - 1][0].note].onset_quarters if place else Fraction(0),
    )


def _onset(passage: Passage, attacks: tuple[Attack, ...], place: int, note: Note) -> Fraction:
    """The onset of an attack; past the last one, the end of the note itself."""
    return passage.notes[attacks[place][0].note].onset_quarters if place < len(attacks) else note.end_quarters


def _bass_voice(passage: Passage) -> int | None:
    """The voice that lies lowest on average, None when there is only one."""
    heights: dict[int, list[int]] = {}
    for note in passage.notes:
        heights.setdefault(note.voice, []).append(note.pitch.sounding_midi)
    if len(heights) < 2:
        return None
    return min(sorted(heights), key=lambda voice: sum(heights[voice]) / len(heights[voice]))
