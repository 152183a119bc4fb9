"""Which parts of a file a guitarist plays, and how their pitches are read on an instrument."""

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

from engraver.errors import EngraverError, OutOfRange, Place
from engraver.fretboard.neck import spots
from engraver.fretboard.tuning import Instrument
from engraver.reading.music import AS_WRITTEN, ReadMusic, ReadPart
from engraver.reading.playing import Stroke
from engraver.theory.pitch import OCTAVE, Interval, SpelledPitch

_GUITAR_PROGRAMS = range(24, 32)  # General MIDI, counted from 0
_GUITAR_NAME = re.compile(r"guitar|gitar|guitare|chitarra|guitarra|gtr", re.IGNORECASE)
_TUNABLE = 4  # semitones that a lowest string is tuned down at most


@dataclass(frozen=True, slots=True)
class Reading:
    """A part as it is read on an instrument: the interval from the heard pitch to the pitch that is played."""

    part: ReadPart
    instrument: Instrument
    shift: Interval
    remark: str = ""

    def pitch(self, stroke: Stroke) -> SpelledPitch:
        """The pitch to be played, as it would sound without a capo."""
        assert stroke.lead.sounding is not None
        return stroke.lead.sounding.up(self.shift)


def guitar_parts(music: ReadMusic) -> tuple[ReadPart, ...]:
    """The parts for guitar; every part when none is named so. Raises EngraverError for a file without notes."""
    parts = tuple(part for part in music.parts if part.notes)
    if not parts:
        raise EngraverError("the file has no notes", Place(music.file), "check that it is the file you mean")
    return tuple(part for part in parts if _is_for_guitar(part)) or parts


def _is_for_guitar(part: ReadPart) -> bool:
    named = bool(_GUITAR_NAME.search(part.name))
    return named or part.has_tablature or bool(part.tuning) or part.program in _GUITAR_PROGRAMS


def reading_of(part: ReadPart, strokes: Sequence[Stroke], instrument: Instrument) -> Reading:
    """How the part's pitches are read: as they sound without the capo, or an octave lower where only that can be meant.

    An octave lower is read where the file has a plain treble clef and no transposition, something lies beyond the
    neck, and everything lies on it an octave lower (chosen by us: scores for guitar are often stored as written).
    """
    shift = AS_WRITTEN
    semitones = part.transposition.semitones
    if part.capo and semitones % 12 == part.capo % 12:
        shift = Interval(-round(part.capo * 7 / 12), -part.capo)
    reading = Reading(part, instrument, shift)
    if semitones == 0 and not part.octave_clef and not part.tuning and not _fits(reading, strokes):
        lower = replace(reading, shift=shift + -OCTAVE, remark="read an octave lower, as guitars sound")
        if _fits(lower, strokes):
            return lower
    return reading


def _fits(reading: Reading, strokes: Sequence[Stroke]) -> bool:
    return all(spots(reading.instrument, reading.pitch(stroke).sounding_midi) for stroke in strokes)


def check_range(reading: Reading, strokes: Sequence[Stroke], file: str, lines: bool) -> None:
    """Raises OutOfRange for the first stroke that the instrument lacks, told by note, bar and remedy."""
    outside = [s for s in strokes if not spots(reading.instrument, reading.pitch(s).sounding_midi)]
    if not outside:
        return
    stroke = outside[0]
    bar = reading.part.bar_number(stroke.lead.bar)
    place = Place(file, stroke.lead.handle.line) if lines else Place(file)
    name = f"part '{reading.part.name}': " if reading.part.name else ""
    error = out_of_range(reading.pitch(stroke), bar, reading.instrument, len(outside) - 1)
    error.message = name + error.message
    raise error.at(place)


def out_of_range(pitch: SpelledPitch, bar: str, instrument: Instrument, more: int = 0) -> OutOfRange:
    """The error for a note that an instrument lacks, with the nearest remedy."""
    below = instrument.lowest - pitch.sounding_midi
    if below > 0:
        where = f"lies below the lowest string, {instrument.tuning.open_strings[-1]}"
        tune = f", or tune the lowest string down to {pitch} (tuning)" if below <= _TUNABLE else ""
        hint = f"transpose it up{tune}"
    elif pitch.sounding_midi > instrument.highest:
        where = f"lies above the last fret, {instrument.highest_fret}"
        hint = f"transpose it down{', or take the capo off' if instrument.capo else ''}"
    else:
        where, hint = "lies between the strings of this tuning", "choose another tuning"
    others = f" (and {more} more note{'s' if more > 1 else ''})" if more else ""
    return OutOfRange(f"the note {pitch} in bar {bar} {where}{others}", hint=hint)
