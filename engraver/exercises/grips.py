"""Chord grips from tables/grips.yaml: which strings and frets sound a chord symbol."""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache

from pydantic import BaseModel, ConfigDict

from engraver.errors import Unplayable
from engraver.exercises.grip_search import find_grip
from engraver.fretboard.tuning import Instrument, usual_tuning
from engraver.tables import Table, read_table
from engraver.theory.chord import chord, parse_chord
from engraver.theory.pitch import PitchName, SpelledPitch, pitch_at_or_above


class MovableGrip(BaseModel):
    """A grip counted from the fret of its root on one string."""

    model_config = ConfigDict(extra="forbid", frozen=True, defer_build=True)

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

    In a tuning that sounds none of them, the grip nearest the nut that four fingers can hold. Raises Unplayable when
    the neck holds none.
    """
    root, quality = parse_chord(symbol)
    spelled = chord(quality, root)
    for frets in _known(symbol, root, quality, instrument):
        if _fits(frets, spelled.names, instrument):
            return Grip(symbol, _sounding(frets, spelled.names, instrument))
    raise Unplayable(
        f"no grip is known for {symbol} on this instrument", hint="choose another chord or standard tuning"
    )


def _known(symbol: str, root: PitchName, quality: str, instrument: Instrument) -> Iterator[tuple[int | None, ...]]:
    """The grips to try, best first."""
    table = read_table("grips", GripTable)
    if symbol in table.open:
        yield _frets(table.open[symbol])
    if not _tuned_as_the_table(instrument) and (found := find_grip(chord(quality, root).names, instrument)):
        yield found
    for movable in table.movable.get(quality, ()):
        if movable.root_string <= instrument.string_count:
            open_midi = instrument.tuning.open_midis[movable.root_string - 1]
            base = (root.pitch_class - open_midi) % 12
            yield from (_shifted(_frets(movable.frets), base + extra) for extra in (0, 12))


def _tuned_as_the_table(instrument: Instrument) -> bool:
    usual = usual_tuning().open_midis
    return instrument.tuning.open_midis[: len(usual)] == usual


def movable_frets(quality: str, root_string: int, instrument: Instrument) -> tuple[tuple[int, int], ...]:
    """A movable grip as (string, frets above its root's), lowest string first.

    Raises Unplayable when no grip of this quality has its root on that string, or the tuning makes another chord of it.
    """
    for movable in read_table("grips", GripTable).movable.get(quality, ()):
        if movable.root_string == root_string:
            root = PitchName.of("C")
            classes = {name.pitch_class for name in chord(quality, root).names}
            up = instrument.tuning.open_midis[root_string - 1] - root.pitch_class
            frets = _frets(movable.frets)
            if all(
                string <= instrument.string_count and (instrument.sounding(string, fret) - up) % 12 in classes
                for string, fret in _pairs(frets)
            ):
                return _pairs(frets)
            raise Unplayable(
                f"in this tuning the {quality} grip under a barre sounds another chord",
                hint="leave chord out, or use the standard tuning",
            )
    raise Unplayable(
        f"no {quality} grip with its root on string {root_string} is known", hint="write chord: major or chord: minor"
    )


def _frets(text: str) -> tuple[int | None, ...]:
    return tuple(None if part == "x" else int(part) for part in text.split())


def _shifted(frets: tuple[int | None, ...], by: int) -> tuple[int | None, ...]:
    return tuple(None if fret is None else fret + by for fret in frets)


def _pairs(frets: tuple[int | None, ...]) -> tuple[tuple[int, int], ...]:
    """(string, fret) of the sounding strings, the lowest first."""
    return tuple((len(frets) - index, fret) for index, fret in enumerate(frets) if fret is not None)


def _fits(frets: tuple[int | None, ...], names: tuple[PitchName, ...], instrument: Instrument) -> bool:
    """True where the neck has the grip, it sounds the chord and no other note, and the root is its bass."""
    places = _pairs(frets)
    if not all(string <= instrument.string_count and 0 <= fret <= instrument.highest_fret for string, fret in places):
        return False
    sounding = [instrument.sounding(string, fret) for string, fret in places]
    classes = [name.pitch_class for name in names]
    return all(midi % 12 in classes for midi in sounding) and min(sounding) % 12 == classes[0]


def _sounding(
    frets: tuple[int | None, ...], names: tuple[PitchName, ...], instrument: Instrument
) -> tuple[tuple[int, SpelledPitch], ...]:
    by_class = {name.pitch_class: name for name in names}
    out = []
    for string, fret in _pairs(frets):
        midi = instrument.sounding(string, fret)
        out.append((string, pitch_at_or_above(by_class[midi % 12], midi)))
    return tuple(sorted(out, key=lambda pair: pair[1].sounding_midi))
