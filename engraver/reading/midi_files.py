"""MIDI files made into MusicXML: ticks to note lengths, tracks to parts, names by context.

Times that lie on a written grid are kept exactly; those of a performance go to the coarsest grid that nearly all its
notes lie close to, else to the nearest quaver or triplet part.
Source: Standard MIDI Files 1.0; General MIDI keeps channel 10 for drums.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from io import BytesIO
from typing import TYPE_CHECKING

from engraver.errors import EngraverError, Place
from engraver.theory.pitch import PitchName, SpelledPitch
from engraver.theory.rhythm import Metre
from engraver.theory.spelling import respell

if TYPE_CHECKING:
    import mido

_DRUMS = 9
_EXACT = (16, 24, 20)
_PLAYED = (8, 12)
"""Parts of a quarter note: kept as they are, and looked for in a performance (chosen by us)."""
_GRIDS = (1, 2, 3, 4, 6, 8, 12)
_WRITTEN_SHARE, _CLOSE_SHARE, _CLOSE = Fraction(4, 5), Fraction(19, 20), Fraction(1, 5)
"""A track is a performance where fewer of its notes begin on a written grid; it lies on a grid where so many begin
within that part of a step (chosen by us)."""
_CHUNK_HEAD = 8  # bytes: the name of a chunk and its length
_SHORTEST = Fraction(1, 16)
_MOST_NOTES, _MOST_QUARTERS = 100_000, 100_000


@dataclass(frozen=True, slots=True)
class PlayedNote:
    """A note of a track, in quarter notes."""

    midi: int
    onset_quarters: Fraction
    end_quarters: Fraction


@dataclass(frozen=True, slots=True)
class Track:
    """The notes of one track and channel."""

    name: str
    program: int
    notes: tuple[PlayedNote, ...]


@dataclass(frozen=True, slots=True)
class MidiMusic:
    """A MIDI file: its tracks with notes, and from when on which metre and key hold."""

    tracks: tuple[Track, ...]
    metres: tuple[tuple[Fraction, Metre], ...]
    keys: tuple[tuple[Fraction, int], ...]
    quarters_a_minute: Fraction | None

    def key_at(self, quarters: Fraction) -> int | None:
        """The signature in force, None where the file states none yet."""
        return next((key for onset, key in reversed(self.keys) if onset <= quarters), None)

    def metre_at(self, quarters: Fraction) -> Metre:
        """The metre in force; four crotchets unless the file says otherwise."""
        return next((metre for onset, metre in reversed(self.metres) if onset <= quarters), Metre(4, 4))


def read_midi(data: bytes, file: str) -> MidiMusic:
    """The music of a MIDI file. Raises EngraverError for a damaged file, one without notes or with too many."""
    import mido

    _check_whole(data, Place(file))
    hint = "save or fetch it anew"
    try:
        opened = mido.MidiFile(file=BytesIO(data), clip=True)
    except (OSError, EOFError, ValueError, KeyError, IndexError) as error:
        raise EngraverError("this MIDI file is damaged", Place(file), hint) from error
    if opened.ticks_per_beat <= 0:
        raise EngraverError("this MIDI file counts seconds, not beats", Place(file), "export it with beats")
    tracks = tuple(track for raw in opened.tracks for track in _tracks(raw, opened.ticks_per_beat))
    if sum(len(track.notes) for track in tracks) > _MOST_NOTES:
        raise EngraverError(f"the file holds more than {_MOST_NOTES:,} notes", Place(file), "split the music")
    if any(note.end_quarters > _MOST_QUARTERS for track in tracks for note in track.notes):
        raise EngraverError(f"the file lasts more than {_MOST_QUARTERS:,} beats", Place(file), "split the music")
    return _with_signatures(tracks, opened)


def _check_whole(data: bytes, place: Place) -> None:
    """Raises EngraverError for a MIDI file that ends before its chunks do."""
    at, hint = 0, "save or fetch it anew"
    if not data.startswith(b"MThd"):
        raise EngraverError("this is not a MIDI file", place, hint)
    while at + _CHUNK_HEAD <= len(data):
        at += _CHUNK_HEAD + int.from_bytes(data[at + 4 : at + _CHUNK_HEAD], "big")
    if at > len(data):
        raise EngraverError("this MIDI file is cut off", place, hint)


def _with_signatures(tracks: tuple[Track, ...], opened: "mido.MidiFile") -> MidiMusic:
    metres: list[tuple[Fraction, Metre]] = []
    keys: list[tuple[Fraction, int]] = []
    tempo = None
    for raw in opened.tracks:
        now = 0
        for message in raw:
            now += message.time
            at = Fraction(now, opened.ticks_per_beat)
            if message.type == "time_signature" and message.denominator <= 64 and 0 < message.numerator <= 64:
                metres.append((at, Metre(message.numerator, message.denominator)))
            elif message.type == "key_signature":
                name = PitchName.parse(message.key.removesuffix("m"))
                keys.append((at, name.fifths - (3 if message.key.endswith("m") else 0)))
            elif message.type == "set_tempo" and tempo is None and message.tempo > 0:
                tempo = Fraction(60_000_000, message.tempo)
    metres.sort(key=lambda row: row[0])
    keys.sort(key=lambda row: row[0])
    return MidiMusic(tracks, tuple(metres), tuple(keys), tempo)


def _tracks(raw: "mido.MidiTrack", ticks_per_beat: int) -> Iterable[Track]:
    """A track's notes, channel by channel; a note without an end lasts to the end of the track."""
    now, name = 0, ""
    begun: dict[tuple[int, int], list[int]] = {}
    found: dict[int, list[tuple[int, int, int]]] = {}
    programs: dict[int, int] = {}
    for message in raw:
        now += message.time
        if message.type == "track_name":
            name = name or " ".join(message.name.split())
        elif message.type == "program_change":
            programs.setdefault(message.channel, message.program)
        elif message.type in ("note_on", "note_off") and message.channel != _DRUMS:
            key = (message.channel, message.note)
            if message.type == "note_on" and message.velocity:
                begun.setdefault(key, []).append(now)
            elif begun.get(key):
                found.setdefault(message.channel, []).append((message.note, begun[key].pop(0), now))
    for (channel, midi), onsets in begun.items():
        found.setdefault(channel, []).extend((midi, onset, now) for onset in onsets)
    for channel in sorted(found):
        grid = _grid_of([Fraction(onset, ticks_per_beat) for _, onset, _ in found[channel]])
        notes = [_written(*row, ticks_per_beat, grid) for row in found[channel]]
        notes.sort(key=lambda note: (note.onset_quarters, note.midi))
        yield Track(name, programs.get(channel, 0), tuple(notes))


def _grid_of(onsets: Sequence[Fraction]) -> int | None:
    """The steps to a quarter note that a performance keeps to; None for written times, and for a free performance."""
    if sum(_is_written(onset) for onset in onsets) >= _WRITTEN_SHARE * len(onsets):
        return None
    close = {grid: sum(abs(onset * grid - round(onset * grid)) <= _CLOSE for onset in onsets) for grid in _GRIDS}
    return next((grid for grid in _GRIDS if close[grid] >= _CLOSE_SHARE * len(onsets)), None)


def _is_written(quarters: Fraction) -> bool:
    return any(grid % quarters.denominator == 0 for grid in _EXACT)


def _written(midi: int, onset: int, end: int, ticks_per_beat: int, grid: int | None) -> PlayedNote:
    if grid is not None:
        first, last = (round(Fraction(ticks, ticks_per_beat) * grid) for ticks in (onset, end))
        return PlayedNote(midi, Fraction(first, grid), Fraction(max(last, first + 1), grid))
    start = _snapped(Fraction(onset, ticks_per_beat))
    return PlayedNote(midi, start, max(_snapped(Fraction(end, ticks_per_beat)), start + _SHORTEST))


def _snapped(quarters: Fraction) -> Fraction:
    """The time itself where it can be written, else the nearest that a player is likely to have meant."""
    if _is_written(quarters):
        return quarters
    near = (Fraction(round(quarters * grid), grid) for grid in _PLAYED)
    return min(near, key=lambda time: (abs(time - quarters), time.denominator))


def named(music: MidiMusic) -> tuple[tuple[SpelledPitch, ...], ...]:
    """A name for every note, track by track, by the context of the whole file and its key where it states one."""
    every = [note for track in music.tracks for note in track.notes]
    keys = [music.key_at(note.onset_quarters) for note in every]
    known = [key for key in keys if key is not None]
    timed = [(note.onset_quarters, note.end_quarters - note.onset_quarters, note.midi) for note in every]
    names = iter(respell(timed, known if len(known) == len(keys) else None))
    return tuple(tuple(next(names) for _ in track.notes) for track in music.tracks)
