"""What finger drills share: places on the neck, groups laid into bars, spelling from the places."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import cycle

from engraver.errors import OutOfRange
from engraver.exercises.lines import last_note_quarters
from engraver.exercises.place_names import Named, Unnamed, name_places
from engraver.fretboard.tuning import Instrument
from engraver.spec.drills import DrillSpec
from engraver.spec.played import PlayedSpec
from engraver.theory.passage import Note, Passage
from engraver.theory.pitch import Midi, SpelledPitch
from engraver.theory.rhythm import Metre, rhythm


@dataclass(frozen=True, slots=True)
class Place:
    """A finger (0 = open, None = not prescribed) on a fret of a string."""

    string: int
    fret: int
    finger: int | None


@dataclass(frozen=True, slots=True)
class Touch:
    """One note of a drill: where, when, how long; `slurred` if the fretting hand sounds it from the note before.

    Notes of one `stretch` are named alike, all with sharps or all with flats.
    """

    place: Place
    onset: Fraction
    length: Fraction
    stretch: int = 0
    slurred: bool = False
    voice: int = 1
    held: Fraction | None = None
    accent: bool = False


def placed(instrument: Instrument, string: int, position: int, finger: int) -> Place:
    """The place of a finger in a position, one finger to a fret; finger 0 is the open string.

    Raises OutOfRange when the string or the fret does not exist.
    """
    return on_neck(instrument, Place(string, position + finger - 1 if finger else 0, finger))


def on_neck(instrument: Instrument, place: Place) -> Place:
    """The place itself. Raises OutOfRange when the string or the fret does not exist."""
    if place.string > instrument.string_count:
        raise OutOfRange(
            f"there is no string {place.string}", hint=f"the instrument has {instrument.string_count} strings"
        )
    if place.fret > instrument.highest_fret:
        raise OutOfRange(
            f"fret {place.fret} on string {place.string} lies beyond the last fret ({instrument.highest_fret})",
            hint=f"choose a place {place.fret - instrument.highest_fret} or more frets lower",
        )
    return place


def there_and_back(items: Sequence[int], and_back: bool) -> tuple[int, ...]:
    """The numbers in order, and back again without repeating the last."""
    return (*items, *items[-2::-1]) if and_back else tuple(items)


def next_bar(at: Fraction, metre: Metre) -> Fraction:
    """The bar line at or after a time."""
    return -(-at // metre.bar_quarters) * metre.bar_quarters


def lay_groups(
    groups: Iterable[Sequence[Place]], spec: PlayedSpec, start: Fraction, stretch: int = 0, slurred: bool = False
) -> list[Touch]:
    """Groups of places one after the other in the spec's rhythm, with its accents and repeated notes.

    Under a slur all notes of a group but the first are not plucked, and none is repeated.
    """
    style = rhythm(spec.rhythm)
    touches: list[Touch] = []
    lengths = cycle(style.cycle_quarters)
    for group in groups:
        for number in range(len(group) * (1 if slurred else style.times)):
            place = group[number if slurred else number // style.times]
            bound = slurred and number > 0
            accent = style.accented(len(touches)) and not bound
            touches.append(Touch(place, start, length := next(lengths), stretch, bound, accent=accent))
            start += length
    return touches


def fitting(group: Sequence[Place], spec: DrillSpec, slurred: bool = False) -> int:
    """How many times a group goes into a bar, once at least."""
    notes = len(group) * (1 if slurred else rhythm(spec.rhythm).times)
    count = 0
    while _duration(notes * (count + 1), spec) <= spec.metre.bar_quarters:
        count += 1
    return max(count, 1)


def _duration(notes: int, spec: DrillSpec) -> Fraction:
    """How long so many notes of the spec's rhythm last, in quarters."""
    lengths = cycle(rhythm(spec.rhythm).cycle_quarters)
    return sum((next(lengths) for _ in range(notes)), Fraction(0))


def rested(touches: Sequence[Touch], metre: Metre) -> list[Touch]:
    """The touches, the last of them held to the end of its bar where it falls on a beat and is plucked."""
    *before, last = touches
    length = last.length if last.slurred else last_note_quarters(last.onset, last.length, metre)
    return [*before, replace(last, length=length)]


def drill_passage(
    touches: Sequence[Touch],
    spec: DrillSpec,
    instrument: Instrument,
    named: Callable[[Sequence[Touch], Sequence[Midi]], Named] | None = None,
) -> Passage:
    """The touches as a spelled passage; each string and finger is carried along as the drill's own demand.

    `named` names the touches in order of time and pitch; without it they are named by their places.
    """
    pairs = [(touch, instrument.sounding(touch.place.string, touch.place.fret)) for touch in touches]
    pairs.sort(key=lambda pair: (pair[0].onset, pair[1]))
    ordered, midis = [touch for touch, _ in pairs], [midi for _, midi in pairs]
    if named is None:
        bars = [int(touch.onset // spec.metre.bar_quarters) for touch in ordered]
        line = [Unnamed(midi, touch.stretch, bar) for midi, touch, bar in zip(midis, ordered, bars, strict=True)]
        names = name_places(line, spec.key, spec.convention)
    else:
        names = named(ordered, midis)
    notes = tuple(_note(touch, pitch) for touch, pitch in zip(ordered, names.pitches, strict=True))
    tempo = spec.tempo.tempo(spec.metre) if spec.tempo else None
    return Passage(notes, names.key_fifths, spec.metre, tempo, None, spec.repeat)


def _note(touch: Touch, pitch: SpelledPitch) -> Note:
    return Note(
        pitch,
        touch.onset,
        touch.length,
        touch.voice,
        touch.place.string,
        slurred=touch.slurred,
        held_quarters=touch.held,
        finger=touch.place.finger,
        accent=touch.accent,
    )
