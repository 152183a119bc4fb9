"""Reads a MIDI file back with mido, in quarter notes; it knows nothing of the writer."""

from dataclasses import dataclass
from fractions import Fraction
from io import BytesIO

import mido


@dataclass(frozen=True)
class ReadMidi:
    """A MIDI file in quarter notes: `notes` are (onset, duration, MIDI number), `strikes` (onset, velocity), in order."""

    notes: list[tuple[Fraction, Fraction, int]]
    velocities: set[int]
    strikes: list[tuple[Fraction, int]]
    programs: list[int]
    tempos: list[int]
    metres: list[tuple[int, int]]
    keys: list[str]
    end: Fraction


def read_midi(data: bytes) -> ReadMidi:
    """The file's notes and settings; a note that never stops, or stops without beginning, raises an error."""
    file = mido.MidiFile(file=BytesIO(data))
    read = ReadMidi([], set(), [], [], [], [], [], Fraction(0))
    sounding: dict[int, Fraction] = {}
    tick = 0
    for message in mido.merge_tracks(file.tracks):
        tick += message.time
        now = Fraction(tick, file.ticks_per_beat)
        if message.type == "note_on" and message.velocity:
            assert message.note not in sounding, f"{message.note} is struck while it sounds, at {now}"
            sounding[message.note] = now
            read.velocities.add(message.velocity)
            read.strikes.append((now, message.velocity))
        elif message.type in ("note_on", "note_off"):
            onset = sounding.pop(message.note)
            read.notes.append((onset, now - onset, message.note))
        elif message.type == "program_change":
            read.programs.append(message.program)
        elif message.type == "set_tempo":
            read.tempos.append(message.tempo)
        elif message.type == "time_signature":
            read.metres.append((message.numerator, message.denominator))
        elif message.type == "key_signature":
            read.keys.append(message.key)
    assert not sounding, f"notes never stop: {sorted(sounding)}"
    return ReadMidi(
        sorted(read.notes), read.velocities, read.strikes, read.programs, read.tempos, read.metres, read.keys, now
    )
