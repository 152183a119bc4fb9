"""Moments: what the plucking hand knows around each attack before it chooses its fingers."""

from bisect import bisect_left
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from itertools import accumulate, groupby, pairwise

from engraver.fingering.plucking_lessons import Lesson, lessons_of
from engraver.fingering.plucking_table import Surroundings
from engraver.fingering.strokes import Attack
from engraver.theory.passage import Note, Passage


@dataclass(frozen=True, slots=True)
class Rise:
    """A place in a run of rising single notes: how many notes the run has, and how many follow up to its peak."""

    notes: int
    to_peak: int


@dataclass(frozen=True, slots=True)
class Moment:
    """An attack with its surroundings; the tuples follow its strokes from the lowest string up.

    `bass`: the stroke belongs to the lowest of several voices. `rings`: it is held beyond the next attack. `above`:
    how many different higher strings are plucked within the window of attacks around it. `weak`: a single note falls
    on the second of a pair of equal short notes, None where none run in pairs. `in_line`: a single note of an upper or
    only voice, in a run of such notes that goes by step as often as not.
    `wide`: within the time of one grasp many strings are needed. `rise`: the attack's place in a run of
    rising single notes, None outside one. `hurried`: less than the time of an easy stroke since the attack before.
    `lessons`: what letters fixed elsewhere show for each stroke.
    """

    strings: tuple[int, ...]
    bass: tuple[bool, ...]
    rings: tuple[bool, ...]
    above: tuple[int, ...]
    weak: bool | None
    in_line: bool
    wide: bool
    rise: Rise | None
    hurried: bool
    lessons: tuple[Lesson, ...]


def moments_of(passage: Passage, attacks: tuple[Attack, ...], reach: Surroundings) -> tuple[Moment, ...]:
    """The attacks of a passage with their surroundings, as far as `reach` says."""
    bass_voice = _bass_voice(passage)
    wide = _wide_places(passage, attacks, reach)
    rises, lessons = _rises(passage, attacks), lessons_of(attacks)
    weak, in_line = _weak_places(passage, attacks), _line_places(passage, attacks, bass_voice, reach)
    moments = []
    for place, attack in enumerate(attacks):
        notes = [passage.notes[stroke.note] for stroke in attack]
        before = passage.notes[attacks[max(0, place - 1)][0].note].onset_quarters
        moments.append(
            Moment(
                strings=tuple(stroke.string for stroke in attack),
                bass=tuple(note.voice == bass_voice for note in notes),
                rings=tuple(note.end_quarters > _onset(passage, attacks, place + 1, note) for note in notes),
                above=_higher_strings(attacks, place, reach.attacks),
                weak=weak[place],
                in_line=place in in_line,
                wide=place in wide,
                rise=rises[place],
                hurried=place > 0 and notes[0].onset_quarters - before < reach.easy_quarters,
                lessons=lessons[place],
            )
        )
    return tuple(moments)


def _higher_strings(attacks: tuple[Attack, ...], place: int, reach: int) -> tuple[int, ...]:
    """For each stroke of an attack, how many different higher strings are plucked near it."""
    near = {stroke.string for attack in attacks[max(0, place - reach) : place + reach + 1] for stroke in attack}
    return tuple(sum(other < stroke.string for other in near) for stroke in attacks[place])


def _weak_places(passage: Passage, attacks: tuple[Attack, ...]) -> list[bool | None]:
    """For every attack whether it falls on the second of a pair of equal short notes, None where nothing runs in pairs.

    The pairs are counted from the bar line in steps of the time to the nearer neighbour.
    """
    onsets = [passage.notes[attack[0].note].onset_quarters for attack in attacks]
    gaps = [b - a for a, b in pairwise(onsets)]
    weak: list[bool | None] = []
    for place, onset in enumerate(onsets):
        step = min((gap for gap in gaps[max(0, place - 1) : place + 1] if gap > 0), default=Fraction(0))
        steps = onset % passage.metre.bar_quarters / step if step else Fraction(1, 2)
        weak.append(steps % 2 == 1 if steps.denominator == 1 and step.denominator in (1, 2, 4, 8) else None)
    return weak


def _line_places(
    passage: Passage, attacks: tuple[Attack, ...], bass_voice: int | None, reach: Surroundings
) -> set[int]:
    """The single notes of a voice other than the bass that go mostly by step, with no chord or other voice between.

    A run that never leaves the bass strings is none: it may be the bass.
    """
    found: set[int] = set()
    for run in _single_runs(passage, attacks):
        notes = [passage.notes[attacks[place][0].note] for place in run]
        if notes[0].voice == bass_voice:
            continue
        moves = [abs(b.pitch.sounding_midi - a.pitch.sounding_midi) for a, b in pairwise(notes)]
        steps = [0, *accumulate(0 < move <= reach.step_semitones for move in moves)]
        high = [0, *accumulate(attacks[place][0].string <= reach.fingers_strings for place in run)]
        for k, place in enumerate(run):
            first, last = max(0, k - reach.line_attacks), min(len(run) - 1, k + reach.line_attacks)
            long = last - first + 1 >= reach.line_notes and high[last + 1] > high[first]
            if long and steps[last] - steps[first] >= reach.step_share * (last - first):
                found.add(place)
    return found


def _single_runs(passage: Passage, attacks: tuple[Attack, ...]) -> Iterator[list[int]]:
    """The runs of single notes of one voice, as places of attacks."""
    voices = [passage.notes[each[0].note].voice if len(each) == 1 else None for each in attacks]
    for voice, run in groupby(range(len(attacks)), key=voices.__getitem__):
        if voice is not None:
            yield list(run)


def _wide_places(passage: Passage, attacks: tuple[Attack, ...], reach: Surroundings) -> set[int]:
    """The attacks that belong to some stretch of one grasp in which many strings are needed."""
    onsets = [passage.notes[attack[0].note].onset_quarters for attack in attacks]
    wide: set[int] = set()
    for first, onset in enumerate(onsets):
        grasp = range(first, bisect_left(onsets, onset + reach.grasp_quarters))
        if len({stroke.string for k in grasp for stroke in attacks[k]}) >= reach.wide_strings:
            wide.update(grasp)
    return wide


def _rises(passage: Passage, attacks: tuple[Attack, ...]) -> list[Rise | None]:
    """For every attack its place in a run of at least two rising single notes."""
    heights = [passage.notes[each[0].note].pitch.sounding_midi if len(each) == 1 else None for each in attacks]
    rises: list[Rise | None] = []
    while len(rises) < len(attacks):
        first = last = len(rises)
        while last + 1 < len(attacks) and _rising(heights[last], heights[last + 1]):
            last += 1
        notes = last - first + 1
        rises += [Rise(notes, last - place) if notes > 1 else None for place in range(first, last + 1)]
    return rises


def _rising(height: int | None, following: int | None) -> bool:
    return height is not None and following is not None and height < following


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
