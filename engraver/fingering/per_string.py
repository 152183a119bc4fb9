"""So many notes to a string: which string, and which finger, each note of a line takes."""

from collections.abc import Iterable

from engraver.errors import Unplayable
from engraver.fingering.wishes import note_words
from engraver.fretboard.limits import LeftHandLimits
from engraver.fretboard.neck import spots
from engraver.fretboard.tuning import Instrument
from engraver.theory.passage import Passage

Assigned = dict[int, tuple[int, int | None]]  # note -> string, finger


def group_size(limits: LeftHandLimits) -> int:
    """Notes on each string before crossing; 0 when the book does not say."""
    return len(limits.fingers_per_string) or limits.notes_per_string or 0


def assign_groups(passage: Passage, instrument: Instrument, limits: LeftHandLimits, start_string: int) -> Assigned:
    """String (and finger, where the book gives them) of every note, beginning on `start_string`.

    Going up, each string takes its fingers in the order given, going down the same fingers reversed: one pitch keeps
    one place. A group left short takes the first fingers. Raises Unplayable naming the note that finds no string.
    """
    out: Assigned = {}
    for leg in _ladders(passage):
        for rank, indices in enumerate(leg):
            group, within = divmod(rank, group_size(limits))
            string = start_string - group
            _demand(passage, instrument, limits, indices[0], string)
            finger = limits.fingers_per_string[within] if limits.fingers_per_string else None
            for index in indices:
                out.setdefault(index, (string, finger))
    return out


def _ladders(passage: Passage) -> list[list[list[int]]]:
    """The passage as rising ladders, each rung the notes of one pitch.

    A line there and back gives two ladders, so that a minor scale may come down otherwise than it went up; a line that
    turns more often gives one, from its lowest to its highest pitch.
    """
    legs = _legs(passage)
    if len(legs) > 2 or len({_midi(passage, leg[0]) for leg in legs}) > 1:
        return [_rungs(passage, range(len(passage.notes)))]
    return [_rungs(passage, leg) for leg in legs]


def _rungs(passage: Passage, indices: Iterable[int]) -> list[list[int]]:
    """Notes grouped by pitch, lowest first."""
    by_pitch: dict[int, list[int]] = {}
    for index in indices:
        by_pitch.setdefault(_midi(passage, index), []).append(index)
    return [by_pitch[midi] for midi in sorted(by_pitch)]


def _demand(passage: Passage, instrument: Instrument, limits: LeftHandLimits, index: int, string: int) -> None:
    """Raises Unplayable when the note has no place on the string its group falls on."""
    size, lowest_fret = group_size(limits), 1 if limits.fingers_per_string else 0
    places = spots(instrument, passage.notes[index].pitch.sounding_midi)
    found = [s.string for s in places if s.fret >= lowest_fret]
    if string in found:
        return
    if string < 1:
        raise Unplayable(
            f"{note_words(passage, index)} finds no string left: {size} notes to a string use up all strings before it",
            hint="start on a lower string, shorten the range or take more notes to a string",
        )
    raise Unplayable(
        f"{note_words(passage, index)} falls on string {string}, which cannot sound it with {size} notes to a string",
        hint="choose another start string or another number of notes to a string",
    )


def _legs(passage: Passage) -> list[list[int]]:
    """The stretches that only rise or only fall, each sorted from low to high, without repeated notes at joints."""
    midis = [note.pitch.sounding_midi for note in passage.notes]
    legs: list[list[int]] = []
    direction = 0
    for index, midi in enumerate(midis):
        step = 0 if index == 0 else (midi > midis[index - 1]) - (midi < midis[index - 1])
        if index == 0 or (step and direction and step != direction):
            legs.append([index - 1] if index else [])
            direction = step
        elif step:
            direction = direction or step
        legs[-1].append(index)
    return [_rising(passage, leg) for leg in legs]


def _rising(passage: Passage, leg: list[int]) -> list[int]:
    """A leg from its lowest note up."""
    return leg if _midi(passage, leg[0]) <= _midi(passage, leg[-1]) else leg[::-1]


def _midi(passage: Passage, index: int) -> int:
    return passage.notes[index].pitch.sounding_midi
