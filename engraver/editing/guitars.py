"""The guitar and the hand that a music file is fingered for: as asked, else as the file says."""

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, TypeVar

from engraver.errors import EngraverError, Place
from engraver.fretboard.tuning import Instrument, Player, Tuning, tuning_of
from engraver.reading.music import ReadPart
from engraver.theory.pitch import SpelledPitch

if TYPE_CHECKING:
    from pydantic import BaseModel

_Model = TypeVar("_Model", bound="BaseModel")


@dataclass(frozen=True, slots=True)
class PlayerWishes:
    """What the command line says of instrument and hand; None leaves the file's or the usual value."""

    tuning: str | None = None
    scale_length_mm: float | None = None
    reach_mm: float | None = None
    capo: int | None = None
    replace: bool = False


def instrument_for(part: ReadPart, wishes: PlayerWishes, file: str) -> Instrument:
    """The guitar a part is played on: as wished, else as the file says, else the usual one. Raises EngraverError."""
    from engraver.spec.house import InstrumentSpec, check_tuning

    fields = {"scale_length_mm": wishes.scale_length_mm, "capo": part.capo if wishes.capo is None else wishes.capo}
    instrument = _checked(InstrumentSpec, {**fields, "tuning": _tuning_words(wishes.tuning)}).instrument()
    if wishes.tuning is None and part.tuning:
        instrument = replace(instrument, tuning=tuning_of(part.tuning))
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


def _retuned(tuning: Tuning, retuned: tuple[tuple[int, SpelledPitch], ...]) -> Tuning:
    strings = list(tuning.open_strings)
    for number, pitch in retuned:
        if 1 <= number <= len(strings):
            strings[number - 1] = pitch
    return tuning_of(tuple(strings))
