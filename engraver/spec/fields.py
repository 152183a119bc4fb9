"""The kinds of value a book may hold - note names, keys, metres, tempos - read from what a teacher writes."""

import difflib
from collections.abc import Callable, Iterable
from typing import Annotated, Any

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, WithJsonSchema
from pydantic_core import PydanticCustomError

from engraver.errors import EngraverError
from engraver.spec.other_names import english_name
from engraver.theory.chord import chord_names, parse_chord
from engraver.theory.harmony import parse_numeral
from engraver.theory.key import Key
from engraver.theory.pitch import PitchName, SpelledPitch
from engraver.theory.rhythm import Metre, rhythm_names
from engraver.theory.scale import scale_names


class Frozen(BaseModel):
    """A part of the book: closed to unknown fields, never changed once read."""

    model_config = ConfigDict(
        extra="forbid",
        frozen=True,
        coerce_numbers_to_str=True,
        arbitrary_types_allowed=True,
        allow_inf_nan=False,
        defer_build=True,  # only the kinds that a book uses are prepared
    )


def teacher_error(message: str, hint: str) -> PydanticCustomError:
    """An error whose two sentences are printed as they are."""
    return PydanticCustomError("teacher", "{message}", {"message": message, "hint": hint})


_FEW = 6
"""So many words are better told all, unless one of them is all but the same (chosen by us)."""


def closest(word: str, known: Iterable[str]) -> str:
    """A hint that names the nearest known word, or all of them when none is near."""
    known = list(known)
    cutoff = 0.85 if len(known) <= _FEW else 0.6
    near = difflib.get_close_matches(word.lower(), [name.lower() for name in known], n=1, cutoff=cutoff)
    if near:
        return f"did you mean '{next(name for name in known if name.lower() == near[0])}'?"
    return "write one of: " + ", ".join(known)


def _parsed(parse: Callable[[str], Any], kind: type[Any]) -> BeforeValidator:
    def read(value: Any) -> Any:
        if isinstance(value, kind):
            return value
        try:
            return parse(str(value))
        except EngraverError as error:
            raise teacher_error(error.message, note_hint(str(value)) or error.hint) from error

    return BeforeValidator(read)


def note_hint(written: str) -> str:
    """What to write instead of a note or key named as in another language, or of a key where a note is asked for."""
    if english := english_name(written):
        return f"note names are English: write '{english}'"
    note, _, mode = written.strip().rpartition(" ")
    if note and mode.lower() in ("major", "minor"):
        return f"write the note alone: '{note}'"
    return ""


def _one_of(what: str, names: Callable[[], Iterable[str]]) -> BeforeValidator:
    def read(value: Any) -> str:
        text = " ".join(str(value).split()).lower()
        if text not in names():
            raise teacher_error(f"'{value}' is not a {what} we know", closest(str(value), names()))
        return text

    return BeforeValidator(read)


class Tonic(BaseModel):
    """A tonic as written: a name, or a name with its octave where one pitch is meant."""

    model_config = ConfigDict(frozen=True, arbitrary_types_allowed=True)

    name: Annotated[Any, Field()]
    octave: int | None = None

    @property
    def slug(self) -> str:
        """The tonic as part of an exercise id: `e-flat`, `c-sharp-3`."""
        octave = "" if self.octave is None else f"-{self.octave}"
        return str(self.name.words).lower().replace(" ", "-") + octave


def parse_tonic(text: str) -> Tonic:
    """`E flat` or `E2`. Raises SpellingError."""
    if text.strip()[-1:].isdigit():
        pitch = SpelledPitch.parse(text)
        return Tonic(name=pitch.name, octave=pitch.octave)
    return Tonic(name=PitchName.parse(text))


def parse_metre(text: str) -> Metre:
    """`4/4`, `6/8`. Raises SpellingError."""
    beats, _, unit = text.partition("/")
    if beats.strip().isdigit() and unit.strip() in ("1", "2", "4", "8", "16", "32") and 1 <= int(beats) <= 32:
        return Metre(int(beats), int(unit))
    raise EngraverError(f"'{text}' is not a metre", hint="write beats and note value: 4/4, 3/4, 6/8")


_TEXT = WithJsonSchema({"type": "string"})
TonicField = Annotated[Tonic, _parsed(parse_tonic, Tonic), _TEXT]
PitchField = Annotated[SpelledPitch, _parsed(SpelledPitch.parse, SpelledPitch), _TEXT]
KeyField = Annotated[Key, _parsed(Key.parse, Key), _TEXT]
MetreField = Annotated[Metre, _parsed(parse_metre, Metre), _TEXT]
ScaleField = Annotated[str, _one_of("scale", scale_names)]
ChordField = Annotated[str, _one_of("chord", chord_names)]
RhythmField = Annotated[str, _one_of("rhythm", rhythm_names)]


def _chord_symbol(value: Any) -> str:
    try:
        parse_chord(str(value))
    except EngraverError as error:
        raise teacher_error(error.message, error.hint) from error
    return str(value)


ChordSymbolField = Annotated[str, BeforeValidator(_chord_symbol)]


def _numeral(value: Any) -> str:
    try:
        return parse_numeral(str(value))
    except EngraverError as error:
        raise teacher_error(error.message, error.hint) from error


NumeralField = Annotated[str, BeforeValidator(_numeral)]
