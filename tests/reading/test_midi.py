"""MIDI files: every note at its time, named by context, in bars that add up."""

from fractions import Fraction
from pathlib import Path

import mido
import pytest

from engraver.errors import EngraverError
from engraver.reading.files import read_music
from engraver.reading.playing import strokes_of
from engraver.theory.rhythm import Metre
from tests.outputs.musicxml_schema import schema_problems

Row = tuple[float, float, int]


def write(path: Path, *tracks: list[Row], metas: tuple[tuple[int, mido.MetaMessage], ...] = (), channel: int = 0) -> Path:
    file = mido.MidiFile(ticks_per_beat=480)
    for number, rows in enumerate(tracks):
        events = [(round(480 * on), 1, m) for on, _, m in rows] + [(round(480 * (on + d)), 0, m) for on, d, m in rows]
        messages = [(at, 1 + on, mido.Message("note_on", note=m, velocity=64 * on, channel=channel)) for at, on, m in events]
        messages += [(at, 0, meta) for at, meta in metas if number == 0]
        track, now = mido.MidiTrack(), 0
        for at, _, message in sorted(messages, key=lambda row: row[:2]):
            track.append(message.copy(time=at - now))
            now = at
        file.tracks.append(track)
    file.save(path)
    return path


def heard(path: Path) -> list[tuple[Fraction, Fraction, int]]:
    return [
        (s.onset_quarters, s.duration_quarters, s.lead.sounding.sounding_midi)
        for part in read_music(path).music.parts
        for s in strokes_of(part)
    ]


def test_every_note_keeps_its_time_and_length(tmp_path):
    """Overlapping voices, triplets, notes over bar lines, a note struck while it sounds."""
    rows = [(0, 6, 40), (0, 1, 64), (1, 1 / 3, 62), (4 / 3, 1 / 3, 60), (5 / 3, 1 / 3, 59), (2, 0.5, 57), (3.5, 1, 60), (5, 0.25, 64)]
    exact = sorted((Fraction(o).limit_denominator(48), Fraction(d).limit_denominator(48), m) for o, d, m in rows)
    assert sorted(heard(write(tmp_path / "x.mid", rows))) == exact


def test_a_performance_goes_to_the_nearest_written_time(tmp_path):
    """A few ticks early or late are nobody's rhythm."""
    rows = [(0.004, 0.98, 64), (1.012, 0.49, 62), (1.495, 0.51, 60)]
    assert [(o, d) for o, d, _ in heard(write(tmp_path / "x.mid", rows))] == [(0, 1), (1, Fraction(1, 2)), (Fraction(3, 2), Fraction(1, 2))]


def test_a_performance_keeps_to_the_grid_of_its_notes(tmp_path):
    """Quavers a little early, late and short are quavers without rests; triplets stay triplets."""
    off = [0.0, 0.031, -0.027, 0.044, -0.038, 0.021, 0.035, -0.04]
    quavers = [(max(0.0, n / 2 + off[n % 8]), 0.43 - off[n % 8] / 2, 60 + n % 5) for n in range(16)]
    found = heard(write(tmp_path / "x.mid", quavers))
    assert [(onset, length) for onset, length, _ in found] == [(Fraction(n, 2), Fraction(1, 2)) for n in range(16)]
    triplets = [(max(0.0, n / 3 + off[n % 8] / 2), 0.3, 60 + n % 5) for n in range(12)]
    found = heard(write(tmp_path / "y.mid", triplets))
    assert [(onset, length) for onset, length, _ in found] == [(Fraction(n, 3), Fraction(1, 3)) for n in range(12)]


def test_metre_key_and_tempo_are_taken_over(tmp_path):
    """A change of metre begins a bar."""
    metas = (
        (0, mido.MetaMessage("time_signature", numerator=3, denominator=4)),
        (0, mido.MetaMessage("key_signature", key="F#m")),
        (0, mido.MetaMessage("set_tempo", tempo=750_000)),
        (3 * 480, mido.MetaMessage("time_signature", numerator=2, denominator=4)),
    )
    music = read_music(write(tmp_path / "x.mid", [(i, 1, 66) for i in range(7)], metas=metas)).music
    bars = music.parts[0].bars
    assert [(bar.metre, bar.key_fifths) for bar in bars] == [(Metre(3, 4), 3), (Metre(2, 4), 3), (Metre(2, 4), 3)]
    assert music.beats_a_minute == 80


def test_tracks_become_parts_and_drums_are_left_out(tmp_path):
    """Channel 10 has no pitches."""
    path = write(tmp_path / "x.mid", [(0, 1, 64)], [(0, 1, 52)])
    assert len(read_music(path).music.parts) == 2
    with pytest.raises(EngraverError, match="no notes"):
        read_music(write(tmp_path / "d.mid", [(0, 1, 38)], channel=9))


def test_names_come_from_the_context(tmp_path):
    """A leading note rises."""
    path = write(tmp_path / "x.mid", [(i, 1, m) for i, m in enumerate((57, 64, 68, 69, 64, 60, 57))])
    assert str(read_music(path).music.parts[0].notes[2].pitch) == "G#4"


def test_what_is_made_keeps_to_the_schema(tmp_path):
    """Chords, ties, rests, voices."""
    path = write(tmp_path / "x.mid", [(0.5, 6, 40), (1, 1, 64), (1, 1, 60), (3.5, 1, 61)])
    assert schema_problems(read_music(path).data) == []


def test_a_note_that_never_ends_lasts_to_the_end_of_its_track(tmp_path):
    """Rather than being lost."""
    track = mido.MidiTrack([mido.Message("note_on", note=52, velocity=64, time=0), mido.MetaMessage("end_of_track", time=960)])
    mido.MidiFile(ticks_per_beat=480, tracks=[track]).save(tmp_path / "x.mid")
    assert heard(tmp_path / "x.mid")[0][2] == 52


def test_a_million_beats_of_silence_are_refused(tmp_path):
    """Bars are not made for them."""
    with pytest.raises(EngraverError, match="lasts more than"):
        read_music(write(tmp_path / "x.mid", [(200_000, 1, 64)]))
