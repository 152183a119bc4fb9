"""Marks that span several notes, worked out before MusicXML is written: beams level by level, slurs end by end.

The score knows which notes share a beam and where a slur begins and ends; MusicXML wants every beam level of
every note, and the hammer-on or pull-off between each pair of notes under a slur.
Source: MusicXML 4.0 schema, types beam, slur and hammer-on-pull-off.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from engraver.errors import OutputError
from engraver.score.model import Beam, Element, Score, ScoreNote

NoteKey = tuple[Fraction, int]
"""A note by its onset in quarters and its string: no string sounds twice at once."""


def voice_numbers(score: Score) -> tuple[int, ...]:
    """The numbers of the voices that appear anywhere, in order."""
    return tuple(sorted({voice.number for measure in score.measures for voice in measure.voices}))


def barre_ends(score: Score, number: int) -> dict[Fraction, Fraction]:
    """For each barre that a voice bears and that lasts, its beginning and the last note of the voice under it."""
    voices = (voice for measure in score.measures for voice in measure.voices if voice.number == number)
    own = [element for voice in voices for element in voice.elements if not element.is_rest]
    ends: dict[Fraction, Fraction] = {}
    for element in own:
        if element.barre is not None:
            last = max(e.onset_quarters for e in own if e.onset_quarters <= element.barre.until_quarters)
            if last > element.onset_quarters:
                ends[element.onset_quarters] = last
    return ends


def beam_levels(elements: tuple[Element, ...]) -> tuple[tuple[str, ...], ...]:
    """For each element of a voice in one measure, what MusicXML says of its first, second … beam."""
    levels: list[tuple[str, ...]] = [()] * len(elements)
    for group in _beam_groups(elements):
        counts = [_beam_count(elements[index]) for index in group]
        for place, index in enumerate(group):
            after_dot = place > 0 and elements[group[place - 1]].value.dots > 0
            levels[index] = tuple(_beam(counts, place, level, after_dot) for level in range(1, counts[place] + 1))
    return tuple(levels)


def _beam_groups(elements: tuple[Element, ...]) -> Iterable[list[int]]:
    group: list[int] = []
    for index, element in enumerate(elements):
        if element.beam is Beam.BEGIN:
            group = []
        if element.beam is not Beam.NONE and not element.is_rest:
            group.append(index)
        if element.beam is Beam.END:
            yield group
            group = []


def _beam_count(element: Element) -> int:
    """One beam for a quaver, two for a semiquaver, three for a demisemiquaver."""
    return max(element.value.base.bit_length() - 3, 0)


def _beam(counts: list[int], place: int, level: int, after_dot: bool) -> str:
    joins_left = place > 0 and counts[place - 1] >= level
    joins_right = place + 1 < len(counts) and counts[place + 1] >= level
    if joins_left:
        return "continue" if joins_right else "end"
    if joins_right:
        return "begin"
    last = place + 1 == len(counts)
    return "backward hook" if place > 0 and (last or after_dot) else "forward hook"


@dataclass(frozen=True, slots=True)
class SpanEnd:
    """One end of a slur, hammer-on or pull-off: the MusicXML element, start or stop, and its number."""

    name: str
    type: str
    number: int


def slur_ends(score: Score) -> dict[NoteKey, tuple[SpanEnd, ...]]:
    """The ends of slurs, hammer-ons and pull-offs at each note, stops before starts.

    A slur of the fretting hand stays on one string, so the string gives it its number. Raises OutputError for a
    slur without end or beginning.
    """
    ends: dict[NoteKey, tuple[SpanEnd, ...]] = {}
    for voice in voice_numbers(score):
        running: dict[int, list[tuple[NoteKey, ScoreNote]]] = {}
        for key, note in _notes_of_voice(score, voice):
            if note.string in running:
                running[note.string].append((key, note))
            if note.slur_stop:
                _close(_under_slur(running, key, note), ends)
            if note.slur_start:
                running[note.string] = [(key, note)]
        if running:
            raise OutputError(f"a slur on string {min(running)} begins and does not end")
    return ends


def _notes_of_voice(score: Score, voice: int) -> Iterable[tuple[NoteKey, ScoreNote]]:
    for measure in score.measures:
        for part in measure.voices:
            if part.number == voice:
                for element in part.elements:
                    for grace in element.graces:
                        yield from (((grace.onset_quarters, note.string), note) for note in grace.notes)
                    yield from (((element.onset_quarters, note.string), note) for note in element.notes)


def _under_slur(
    running: dict[int, list[tuple[NoteKey, ScoreNote]]], key: NoteKey, note: ScoreNote
) -> list[tuple[NoteKey, ScoreNote]]:
    """The notes of the slur that ends here; a slur that changes strings is the oldest still running."""
    if note.string in running:
        return running.pop(note.string)
    if not running:
        raise OutputError(f"a slur ends on string {note.string} and does not begin")
    return [*running.pop(next(iter(running))), (key, note)]


def _close(chain: list[tuple[NoteKey, ScoreNote]], ends: dict[NoteKey, tuple[SpanEnd, ...]]) -> None:
    number = chain[0][0][1]

    def put(key: NoteKey, name: str, kind: str) -> None:
        ends[key] = (*ends.get(key, ()), SpanEnd(name, kind, number))

    put(chain[0][0], "slur", "start")
    for (key, note), (next_key, next_note) in pairwise(chain):
        step = next_note.pitch.sounding_midi - note.pitch.sounding_midi
        if step and note.string == next_note.string:
            name = "hammer-on" if step > 0 else "pull-off"
            put(key, name, "start")
            put(next_key, name, "stop")
    put(chain[-1][0], "slur", "stop")


@dataclass(frozen=True, slots=True)
class SpanPoint:
    """A time in quarters at which a hairpin begins or ends, or words stand.

    `elements` is what is written there: names, texts, attributes.
    """

    quarters: Fraction
    elements: tuple[tuple[str, str, tuple[tuple[str, str], ...]], ...]
    placement: str = "below"


def span_points(score: Score) -> list[SpanPoint]:
    """Where hairpins begin and end and where words stand, in order of time, ends before beginnings."""
    ends: list[SpanPoint] = []
    begins = [
        SpanPoint(words.onset_quarters, (("words", words.text, (("font_weight", "bold"),)),), "above")
        for words in score.directions
    ]
    for hairpin in score.hairpins:
        if hairpin.words:
            word = ("words", "cresc." if hairpin.grows else "dim.", (("font_style", "italic"),))
            line = (("dashes", "", (("type", "start"), ("number", "1"))),) if hairpin.dashes else ()
            begins.append(SpanPoint(hairpin.start_quarters, (word, *line)))
            if hairpin.dashes:
                stop = ("dashes", "", (("type", "stop"), ("number", "1")))
                ends.append(SpanPoint(hairpin.end_quarters, (stop,)))
        else:
            kind = "crescendo" if hairpin.grows else "diminuendo"
            begins.append(SpanPoint(hairpin.start_quarters, (("wedge", "", (("type", kind), ("number", "1"))),)))
            ends.append(SpanPoint(hairpin.end_quarters, (("wedge", "", (("type", "stop"), ("number", "1"))),)))
    return sorted([*ends, *begins], key=lambda point: point.quarters)
