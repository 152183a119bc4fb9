"""Measures `engraver finger` and `engraver respell` on open scores made into MusicXML, beside the Python interface.

    python tests/bench/commands_gold.py [COUNT] [--spelling]     the first COUNT scores (12 unless said)

Two readings: every mark hidden, and every second mark given as a pin. "alike" is the share of notes to which the command
and the interface give the same string and finger. The scores lie beside the project and are never shipped with it.
"""

import gzip
import json
import sys
import tempfile
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))


from engraver.editing.fingers import finger_file
from engraver.editing.guitars import PlayerWishes
from engraver.editing.spelling import respell_file
from engraver.fingering.finger import finger
from engraver.fretboard.limits import LeftHandLimits, Pin
from engraver.fretboard.tuning import Player
from engraver.theory.spelling import respell
from tests.bench.fingering_files import GOLD, MarkedScore, read_scores
from tests.reading.music_xml import Written, notes_back, score_xml

TUNING = {
    "standard": "E2 A2 D3 G3 B3 E4",
    "dropD": "D2 A2 D3 G3 B3 E4",
}


def main() -> int:
    numbers = [int(word) for word in sys.argv[1:] if word.isdigit()]
    count = numbers[0] if numbers else 12
    scores = read_scores("fingering")[:count]
    if not scores:
        print("the scores are not at hand")
        return 0
    for every in () if "--spelling" in sys.argv else (0, 2):
        print(f"{'no mark given' if not every else 'every second mark given'}:")
        totals = [0] * 6
        for score in scores:
            row = measure(score, every)
            totals = [a + b for a, b in zip(totals, row, strict=True)]
            print(
                f"  {score.name[:50]:50} marks {row[0]:4} command {row[1]:4} interface {row[2]:4} alike {row[3]}/{row[4]} remarks {row[5]}"
            )
        print(
            f"  all: command {100 * totals[1] / totals[0]:.2f} %, interface {100 * totals[2] / totals[0]:.2f} %, alike {100 * totals[3] / totals[4]:.2f} %"
        )
    spell(count)
    return 0


def given_marks(score: MarkedScore, every: int) -> set[int]:
    return {index for place, index in enumerate(sorted(score.fingers)) if every and place % every == 0}


def measure(score: MarkedScore, every: int) -> list[int]:
    given = given_marks(score, every)
    asked = [index for index in score.fingers if index not in given]
    command, remarks = by_command(score, given)
    interface = by_interface(score, given)
    right = [sum(fingers[i] == score.fingers[i] for i in asked if i in fingers) for fingers in (command, interface)]
    alike = sum(command.get(i) == interface.get(i) for i in range(len(score.passage.notes)))
    return [len(asked), *right, alike, len(score.passage.notes), remarks]


def by_interface(score: MarkedScore, given: set[int]) -> dict[int, int]:
    limits = LeftHandLimits(pins=tuple(Pin(i, None, score.fingers[i]) for i in sorted(given)))
    try:
        done = finger(replace(score.passage, repertoire=True), score.instrument, Player(), limits)
    except Exception as error:
        print("    interface:", error)
        return {}
    return {index: note.left_finger for index, note in enumerate(done.notes)}


def by_command(score: MarkedScore, given: set[int]) -> tuple[dict[int, int], int]:
    data = score_file(score, given)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "score.musicxml"
        path.write_bytes(data)
        edited = finger_file(path, PlayerWishes(tuning=TUNING[score.instrument.tuning.name]))
    for remark in edited.remarks:
        print("    ", remark.split(": ", 1)[1])
    return fingers_by_key(score, edited.data), len(edited.remarks)


def score_file(score: MarkedScore, given: set[int]) -> bytes:
    notes = []
    for index, note in enumerate(score.passage.notes):
        marks = (("fingering", str(score.fingers[index])),) if index in given else ()
        onset, length = note.onset_quarters, note.duration_quarters
        notes.append(Written(note.pitch.sounding_midi, str(note.pitch.name), onset, length, note.voice, marks))
    start = min(0, min(n.onset for n in notes))
    metre = score.passage.metre
    shifted = [replace(n, onset=n.onset - start) for n in notes]
    return score_xml(shifted, fifths=score.passage.key_fifths, metre=(metre.beats, metre.unit))


def fingers_by_key(score: MarkedScore, data: bytes) -> dict[int, int]:
    """Fingers read back, by note index; the order within the file is matched by onset and pitch."""
    found: dict[tuple[Fraction, int], int] = {}
    metre = score.passage.metre
    for note in notes_back(data, (metre.beats, metre.unit)):
        if (text := note.mark("fingering")) is not None and not note.tied:
            found[note.onset, note.midi] = int(text)
    start = min(0, min(n.onset_quarters for n in score.passage.notes))
    keys = [(n.onset_quarters - start, int(n.pitch.sounding_midi)) for n in score.passage.notes]
    return {index: found[key] for index, key in enumerate(keys) if key in found}


def spell(count: int) -> None:
    """Names through the command against names through the interface, from MIDI numbers alone."""
    with gzip.open(GOLD / "spelling_guitar.jsonl.gz", "rt", encoding="utf-8") as lines:
        pieces = [json.loads(line) for line, _ in zip(lines, range(count), strict=False)]
    total = alike = right = right_interface = 0
    for piece in pieces:
        rows = [
            (Fraction(r[0]).limit_denominator(96), Fraction(r[1]).limit_denominator(96), r[2]) for r in piece["notes"]
        ]
        start = min(0, min(r[0] for r in rows))
        rows = [(o - start, d, m) for o, d, m in rows]
        plain = ["C", "C#", "D", "D#", "E", "F", "F#", "G", "G#", "A", "A#", "B"]
        notes = [Written(m, plain[m % 12], o, d or Fraction(1, 32), 1 + i % 4) for i, (o, d, m) in enumerate(rows)]
        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder) / "score.musicxml"
            path.write_bytes(score_xml(notes, fifths=None))
            names = {(note.onset, note.midi): note.name for note in notes_back(respell_file(path).data)}
        interface = respell([(o, d, m) for o, d, m in rows])
        for (o, _, m), pitch, row in zip(rows, interface, piece["notes"], strict=True):
            true = row[3] + ("#" * row[4] if row[4] > 0 else "b" * -row[4])
            total += 1
            alike += names.get((o, m)) == str(pitch.name)
            right += names.get((o, m)) == true
            right_interface += str(pitch.name) == true
    print(
        f"respell: {total} notes, command {100 * right / total:.2f} %, interface {100 * right_interface / total:.2f} %, alike {100 * alike / total:.2f} %"
    )


if __name__ == "__main__":
    raise SystemExit(main())
