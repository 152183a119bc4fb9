"""Chord grips from tables/grips.yaml: which strings and frets sound a chord symbol."""

from dataclasses import dataclass
from functools import cache

from pydantic import BaseModel, ConfigDict

from engraver.errors import Unplayable
from engraver.fretboard.tuning import Instrument
from engraver.tables import Table, read_table
from engraver.theory.chord import chord, parse_chord
from engraver.theory.pitch import PitchName, SpelledPitch, pitch_at_or_above


class MovableGrip(BaseModel):
    """A grip counted from the fret of its root on one string."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    root_string: int
    frets: str


class GripTable(Table):
    """Open grips by chord symbol, movable grips by chord quality."""

    open: dict[str, str]
    movable: dict[str, tuple[MovableGrip, ...]]


@dataclass(frozen=True, slots=True)
class Grip:
    """A chord held on the neck: (string, pitch) from the lowest sounding note upwards."""

    symbol: str
    notes: tuple[tuple[int, SpelledPitch], ...]

    @property
    def strings(self) -> tuple[int, ...]:
        """The strings that sound, bass first."""
        return tuple(string for string, _ in self.notes)

    def pitch_on(self, string: int) -> SpelledPitch:
        """The pitch that sounds on a string of the grip."""
        return next(pitch for own, pitch in self.notes if own == string)


@cache
def grip(symbol: str, instrument: Instrument) -> Grip:
    """The grip for a chord symbol: the open one where there is one, else the lowest movable one.

    Raises Unplayable when the tuning or the neck holds no grip we know.
    """
    root, quality = parse_chord(symbol)
    spelled = chord(quality, root)
    table = read_table("grips", GripTable)
    candidates = [_frets(table.open[symbol])] if symbol in table.open else []
    for movable in table.movable.get(quality, ()):
        open_midi = instrument.tuning.open_midis[movable.root_string - 1]
        base = (root.pitch_class - open_midi) % 12
        candidates += [_shifted(_frets(movable.frets), base + extra) for extra in (0, 12)]
    for frets in candidates:
        if _fits(frets, spelled.names, instrument):
            return Grip(symbol, _sounding(frets, spelled.names, instrument))
    raise Unplayable(
        f"no grip is known for {symbol} on this instrument", hint="choose another chord or standard tuning"
    )


def movable_frets(quality: str, root_string: int) -> tuple[tuple[int, int], ...]:
    """A movable grip as (string, frets above its root's), lowest string first.

    Raises Unplayable when no grip of this quality has its root on that string.
    """
    for movable in read_table("grips", GripTable).movable.get(quality, ()):
        if movable.root_string == root_string:
            return _pairs(_frets(movable.frets))
    raise Unplayable(
        f"no {quality} grip with its root on string {root_string} is known", hint="write chord: major or chord: minor"
    )


def _frets(text: str) -> tuple[int | None, ...]:
    return tuple(None if part == "x" else int(part) for part in text.split())


def _shifted(frets: tuple[int | None, ...], by: int) -> tuple[int | None, ...]:
    return tuple(None if fret is None else fret + by for fret in frets)


def _pairs(frets: tuple[int | None, ...]) -> tuple[tuple[int, int], ...]:
    """(string, fret) of the sounding strings, string 6 first."""
    return tuple((6 - index, fret) for index, fret in enumerate(frets) if fret is not None)


def _fits(frets: tuple[int | None, ...], names: tuple[PitchName, ...], instrument: Instrument) -> bool:
    classes = {name.pitch_class for name in names}
    return all(
        string <= instrument.string_count
        and 0 <= fret <= instrument.highest_fret
        and instrument.sounding(string, fret) % 12 in classes
        for string, fret in _pairs(frets)
    )


def _sounding(
    frets: tuple[int | None, ...], names: tuple[PitchName, ...], instrument: Instrument
) -> tuple[tuple[int, SpelledPitch], ...]:
    by_class = {name.pitch_class: name for name in names}
    out = []
    for string, fret in _pairs(frets):
        midi = instrument.sounding(string, fret)
        out.append((string, pitch_at_or_above(by_class[midi % 12], midi)))
    return tuple(sorted(out, key=lambda pair: pair[1].sounding_midi))
