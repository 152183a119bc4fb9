"""So many notes to a string: which string, and which finger, each note of a line takes."""

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
    ranks = _legs(passage)
    lowest_leg = min(range(len(ranks)), key=lambda leg: _midi(passage, ranks[leg][0]))
    base = _midi(passage, ranks[0][0]) if ranks else 0
    for leg in ranks:
        shift = 0 if _midi(passage, leg[0]) == base else _offset(passage, ranks[0], leg[0], group_size(limits))
        _assign_leg(passage, instrument, limits, leg, start_string, shift, out)
    del lowest_leg
    return out


def _assign_leg(
    passage: Passage,
    instrument: Instrument,
    limits: LeftHandLimits,
    leg: list[int],
    start: int,
    shift: int,
    out: Assigned,
) -> None:
    """Places one rising leg (already sorted from low to high)."""
    size = group_size(limits)
    for rank, index in enumerate(leg, start=shift):
        group, within = divmod(rank, size)
        string = start - group
        if index in out:
            continue
        _demand(passage, instrument, index, string, size)
        finger = limits.fingers_per_string[within] if limits.fingers_per_string else None
        out[index] = (string, finger)


def _demand(passage: Passage, instrument: Instrument, index: int, string: int, size: int) -> None:
    """Raises Unplayable when the note has no place on the string its group falls on."""
    found = [s.string for s in spots(instrument, passage.notes[index].pitch.sounding_midi) if s.fret > 0]
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


def _offset(passage: Passage, first: list[int], index: int, size: int) -> int:
    """The rank, in the first leg, of the pitch another leg begins on (nearest below it, whole groups otherwise)."""
    below = [rank for rank, i in enumerate(first) if _midi(passage, i) <= _midi(passage, index)]
    return below[-1] if below else 0
