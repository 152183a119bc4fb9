"""Which parts of a file a guitarist plays, on which instrument, and how their pitches are read."""

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, TypeVar

from engraver.errors import EngraverError, OutOfRange, Place
from engraver.fretboard.neck import spots
from engraver.fretboard.tuning import Instrument, Player, Tuning
from engraver.reading.files import MusicFile
from engraver.reading.music import ReadPart
from engraver.reading.playing import Stroke
from engraver.theory.pitch import OCTAVE, Interval, SpelledPitch

if TYPE_CHECKING:
    from pydantic import BaseModel

_Model = TypeVar("_Model", bound="BaseModel")
_GUITAR_PROGRAMS = range(24, 32)  # General MIDI, counted from 0
_GUITAR_NAME = re.compile(r"guitar|gitar|guitare|chitarra|guitarra|gtr", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class PlayerWishes:
    """What the command line says of instrument and hand; None leaves the file's or the usual value."""

    tuning: str | None = None
    scale_length_mm: float | None = None
    reach_mm: float | None = None
    capo: int | None = None
    replace: bool = False


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


def guitar_parts(file: MusicFile) -> tuple[ReadPart, ...]:
    """The parts for guitar; every part when none is named so. Raises EngraverError for a file without notes."""
    parts = tuple(part for part in file.music.parts if part.notes)
    if not parts:
        raise EngraverError("the file has no notes", Place(str(file.path)), "check that it is the file you mean")
    return tuple(part for part in parts if _is_for_guitar(part)) or parts


def _is_for_guitar(part: ReadPart) -> bool:
    named = bool(_GUITAR_NAME.search(part.name))
    return named or part.has_tablature or bool(part.tuning) or part.program in _GUITAR_PROGRAMS


def instrument_for(part: ReadPart, wishes: PlayerWishes, file: str) -> Instrument:
    """The guitar a part is played on: as wished, else as the file says, else the usual one. Raises EngraverError."""
    from engraver.spec.house import InstrumentSpec, check_tuning

    fields = {"scale_length_mm": wishes.scale_length_mm, "capo": part.capo if wishes.capo is None else wishes.capo}
    instrument = _checked(InstrumentSpec, {**fields, "tuning": _tuning_words(wishes.tuning)}).instrument()
    if wishes.tuning is None and part.tuning:
        instrument = replace(instrument, tuning=_named(part.tuning))
    elif wishes.tuning is None and part.retuned:
        instrument = replace(instrument, tuning=_retuned(instrument.tuning, part.retuned))
    try:
        check_tuning(instrument)
    except EngraverError as error:
        raise error.at(Place(file)) from error
    return instrument


def player_for(wishes: PlayerWishes) -> Player:
    """The hand that plays. Raises EngraverError for a reach that cannot be."""
    from engraver.spec.house import PlayerSpec

    return _checked(PlayerSpec, {"reach_mm": wishes.reach_mm}).player()


def _checked(model: type[_Model], fields: Mapping[str, Any]) -> _Model:
    """The checked model of what was given; a wrong value is told in a teacher's sentence."""
    from pydantic import ValidationError

    from engraver.spec.wording import sentence

    try:
        return model.model_validate({name: value for name, value in fields.items() if value is not None})
    except ValidationError as error:
        item = error.errors(include_url=False)[0]
        wrong, hint = sentence(item, tuple(model.model_fields))
        raise EngraverError(f"{item['loc'][0]}: {wrong}", hint=hint) from error


def _tuning_words(text: str | None) -> str | tuple[str, ...] | None:
    """A tuning by name, or its strings from the lowest: `D2 A2 D3 G3 B3 E4`."""
    names = re.split(r"[\s,]+", text.strip(" []")) if text else []
    return tuple(names) if len(names) > 2 and all(name[-1:].isdigit() for name in names) else text


def _named(strings: tuple[SpelledPitch, ...]) -> Tuning:
    from engraver.spec.house import tunings

    names = {tuple(reversed(notes)): name for name, notes in tunings().items()}
    return Tuning(names.get(tuple(map(str, strings)), "own"), strings)


def _retuned(tuning: Tuning, retuned: tuple[tuple[int, SpelledPitch], ...]) -> Tuning:
    strings = list(tuning.open_strings)
    for number, pitch in retuned:
        if 1 <= number <= len(strings):
            strings[number - 1] = pitch
    return _named(tuple(strings))


def reading_of(part: ReadPart, strokes: tuple[Stroke, ...], instrument: Instrument) -> Reading:
    """How the part's pitches are read: as they sound without the capo, or an octave lower where only that can be meant.

    An octave lower is read where the file has a plain treble clef and no transposition, something lies beyond the
    neck, and everything lies on it an octave lower (chosen by us: scores for guitar are often stored as written).
    """
    shift = Interval(0, 0)
    semitones = part.transposition.semitones
    if part.capo and semitones % 12 == part.capo % 12:
        shift = Interval(-round(part.capo * 7 / 12), -part.capo)
    reading = Reading(part, instrument, shift)
    if semitones == 0 and not part.octave_clef and not part.tuning and not _fits(reading, strokes):
        lower = replace(reading, shift=shift + -OCTAVE, remark="read an octave lower, as guitars sound")
        if _fits(lower, strokes):
            return lower
    return reading


def _fits(reading: Reading, strokes: tuple[Stroke, ...]) -> bool:
    return all(spots(reading.instrument, reading.pitch(stroke).sounding_midi) for stroke in strokes)


def check_range(reading: Reading, strokes: tuple[Stroke, ...], file: str, lines: bool) -> None:
    """Raises OutOfRange for the first stroke that the instrument lacks, told by note, bar and remedy."""
    instrument = reading.instrument
    outside = [s for s in strokes if not spots(instrument, reading.pitch(s).sounding_midi)]
    if not outside:
        return
    stroke = outside[0]
    pitch, bar = reading.pitch(stroke), reading.part.bar_number(stroke.lead.bar)
    place = Place(file, stroke.lead.handle.line) if lines else Place(file)
    more = f" (and {len(outside) - 1} more notes)" if len(outside) > 1 else ""
    below = instrument.lowest - pitch.sounding_midi
    if below > 0:
        where = f"lies below the lowest string, {instrument.tuning.open_strings[-1]}"
        hint = f"transpose it up{f', or tune the lowest string down to {pitch} with --tuning' if below <= 4 else ''}"
    else:
        where = f"lies above the last fret, {instrument.highest_fret}"
        hint = f"transpose it down{', or take the capo off' if instrument.capo else ''}"
    name = f"part '{reading.part.name}': " if reading.part.name else ""
    raise OutOfRange(f"{name}the note {pitch} in bar {bar} {where}{more}", place, hint)
