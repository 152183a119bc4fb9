"""Prints how well the fretting hand agrees with editors, how steady and how fast it is.

    python tests/bench/fingering_gold.py               # hand-set costs, then habits with files held out (5 folds)
    python tests/bench/fingering_gold.py --speed       # speed and linearity alone
    python tests/bench/fingering_gold.py --keep FILE   # also keeps the habits of each fold for fingering_ablation.py

Agreement counts only notes the editor marked. All learned figures are with the measured file held out of the training;
the range behind a figure is a bootstrap over files (5 to 95 per cent).
"""

import argparse
import pickle
import sys
import time
from dataclasses import dataclass, field
from fractions import Fraction
from itertools import pairwise
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from engraver.errors import FingeringError
from engraver.fingering import habits as learned
from engraver.fingering.fingered import FingeredPassage
from engraver.fingering.left_hand import finger_left_hand
from engraver.fretboard.limits import LeftHandLimits, OpenStrings
from engraver.fretboard.tuning import Instrument, Player, Tuning
from engraver.theory.passage import Note, Passage
from engraver.theory.pitch import SpelledPitch
from engraver.theory.rhythm import Metre
from tests.bench import train_fingering as training
from tests.bench.fingering_files import STRINGS, MarkedScore, read_scores
from tests.fingering.playable import faults

PLAYER = Player()


@dataclass(slots=True)
class Tally:
    """Right and all, by file; and what the judge of playability found."""

    rows: dict[str, np.ndarray] = field(
        default_factory=dict
    )  # right, all, right 1-4, all 1-4, right strings, all strings
    faults: int = 0
    rolled: int = 0
    refused: int = 0
    steady: list[int] = field(default_factory=lambda: [0, 0])
    shifts: np.ndarray = field(default_factory=lambda: np.zeros(3, int))  # as `shifts_beside` counts
    seconds: float = 0.0
    notes: int = 0

    def add(self, score: MarkedScore, done: FingeredPassage) -> None:
        pairs = [(done.notes[i].left_finger, f) for i, f in score.fingers.items()]
        strings = [(done.notes[i].string, s) for i, s in score.strings.items()]
        fretted = [(a, b) for a, b in pairs if b]
        counts = [count for kind in (pairs, fretted, strings) for count in (sum(a == b for a, b in kind), len(kind))]
        self.rows[score.path] = self.rows.get(score.path, np.zeros(6, int)) + np.array(counts)
        late = {cost.note for cost in done.account if cost.name == "chord_broken"}
        self.rolled += len(late)
        self.faults += sum(not _excused(done, fault.note, late) for fault in faults(done, score.instrument, PLAYER))
        right, total = steadiness(done)
        self.steady[0] += right
        self.steady[1] += total
        self.shifts += shifts_beside(score, done)
        self.notes += len(done.notes)

    def show(self, name: str) -> None:
        table = np.array(list(self.rows.values()))
        draws = np.random.default_rng(1).integers(0, len(table), (400, len(table)))
        parts = []
        for label, at in (("all", 0), ("1-4", 2), ("strings", 4)):
            share = table[:, at].sum() / max(1, table[:, at + 1].sum())
            samples = table[draws]
            low, high = np.quantile(samples[..., at].sum(1) / np.maximum(1, samples[..., at + 1].sum(1)), (0.05, 0.95))
            parts.append(f"{label} {100 * share:.1f} ({100 * low:.0f}-{100 * high:.0f})")
        steady = 100 * self.steady[0] / max(1, self.steady[1])
        print(
            f"{name}: {', '.join(parts)}; same context alike {steady:.1f} %; faults {self.faults}, chord notes struck late "
            f"{self.rolled}, scores refused {self.refused}; {self.notes / self.seconds:.0f} notes/s",
            flush=True,
        )
        pairs, theirs, ours = self.shifts.tolist()
        print(f"  of {pairs} marked neighbours the editors shift by two frets or more in {theirs}, we in {ours}", flush=True)


def _excused(done: FingeredPassage, note: int, late: set[int]) -> bool:
    """A fault at an event whose chord is openly rolled is the chord's, not the hand's."""
    onset = done.notes[note].note.onset_quarters
    return any(done.notes[i].note.onset_quarters == onset for i in late)


def shifts_beside(score: MarkedScore, done: FingeredPassage) -> np.ndarray:
    """Neighbouring upper notes with marked fretting fingers; shifts of two frets or more by the marks, and by us.

    The editor's position is told from the marked finger and string, or from our string where none is marked.
    """
    counts = np.zeros(3, int)
    opens = score.instrument.tuning.open_midis
    for earlier, later in pairwise(done.passage.events):
        pair = [max(group, key=lambda i: done.notes[i].note.pitch.sounding_midi) for group in (earlier, later)]
        if not all(score.fingers.get(i) and done.notes[i].fret for i in pair):
            continue
        strings = [score.strings.get(i, done.notes[i].string) for i in pair]
        midis = [done.notes[i].note.pitch.sounding_midi for i in pair]
        a, b = (m - opens[s - 1] - score.fingers[i] for m, s, i in zip(midis, strings, pair, strict=True))
        c, d = (done.notes[i].fret - done.notes[i].left_finger for i in pair)
        counts += (1, abs(a - b) >= 2, abs(c - d) >= 2)
    return counts


def steadiness(done: FingeredPassage) -> tuple[int, int]:
    """Notes that share pitch and five-event context with others of the piece: fingered as most of them, and all."""
    struck = [tuple(done.notes[i].note.pitch.sounding_midi for i in group) for group in done.passage.events]
    groups: dict[tuple, list[int]] = {}
    for number, group in enumerate(done.passage.events):
        around = tuple(struck[max(0, number - 2) : number + 3])
        for i in group:
            groups.setdefault((done.notes[i].note.pitch.sounding_midi, around), []).append(done.notes[i].left_finger)
    several = [fingers for fingers in groups.values() if len(fingers) > 1]
    return sum(max(f.count(x) for x in set(f)) for f in several), sum(len(f) for f in several)


def measure(tally: Tally, scores: list[MarkedScore], habits: learned.Habits | None) -> None:
    """Fingers the scores and counts."""
    for score in scores:
        start = time.perf_counter()
        try:
            done = finger_left_hand(score.passage, score.instrument, PLAYER, LeftHandLimits(), habits)
        except FingeringError:
            tally.refused += 1
            continue
        tally.seconds += time.perf_counter() - start
        tally.add(score, done)


def learn(scores: list[MarkedScore], folds: int) -> list[tuple[set[str], learned.Habits]]:
    """Habits for each group of held-out files, learned from all others."""
    own = {s.name: training.chunks_of(s, 1.0) for s in scores}
    duo = [c for s in read_scores("fingering_duo") for c in training.chunks_of(s, training.DUO_WEIGHT)]
    paths = sorted({s.path for s in scores})
    out = []
    for fold in range(folds):
        held = set(paths[fold::folds])
        rest = [c for s in scores if s.path not in held for c in own[s.name]]
        out.append((held, learned.Habits(*training.train([*rest, *duo]), training.PRINTED)))
    return out


def held_out(scores: list[MarkedScore], by_fold: list[tuple[set[str], learned.Habits]]) -> Tally:
    """Habits measured on files they were not learned from."""
    tally = Tally()
    for held, habits in by_fold:
        measure(tally, [s for s in scores if s.path in held], habits)
    return tally


def speed() -> None:
    """Notes and chords a second on one core, and how the time grows with length."""
    tuning = Tuning("standard", tuple(SpelledPitch.parse(p) for p in STRINGS["standard"]))
    guitar = Instrument(tuning)
    scale = "E2 F#2 G#2 A2 B2 C#3 D#3 E3 F#3 G#3 A3 B3 C#4 D#4 E4 F#4 G#4 A4 B4 C#5 D#5 E5".split()
    chords = [c.split("+") for c in "C3+G3+C4+E4 G2+G3+B3+F4 A2+E3+A3+C4 D3+A3+D4+F4 E2+B2+E3+G#3+B3+E4".split()]
    wander = np.random.default_rng(3)
    line = np.clip(np.cumsum(wander.integers(-4, 5, 20000)) % 44 + 40, 40, 83)
    names = ("C", "C#", "D", "D#", "E", "F", "F#", "G", "G#", "A", "A#", "B")
    random_line = [[f"{names[m % 12]}{m // 12 - 1}"] for m in line.tolist()]
    cases = {
        "three-octave scale, 22 notes": ([[p] for p in scale], OpenStrings.AVOID),
        "scale up and down for 2,000 notes": ([[p] for p in (scale + scale[-2:0:-1]) * 48][:2000], OpenStrings.AVOID),
        "scale up and down for 20,000 notes": (
            [[p] for p in (scale + scale[-2:0:-1]) * 480][:20000],
            OpenStrings.AVOID,
        ),
        "wandering line, 2,000 notes": (random_line[:2000], OpenStrings.ALLOW),
        "wandering line, 20,000 notes": (random_line, OpenStrings.ALLOW),
        "chords, 2,000 events": (chords * 400, OpenStrings.ALLOW),
    }
    styles = {"technique": None} | ({"repertoire": learned.read_habits()} if training.OUT.exists() else {})
    for label, (events, policy) in cases.items():
        for style, habits in styles.items():
            passage = _passage(events)
            seconds = []
            for _ in range(2):
                start = time.perf_counter()
                finger_left_hand(passage, guitar, PLAYER, LeftHandLimits(policy), habits)
                seconds.append(time.perf_counter() - start)
            print(
                f"{label}, {style}: first {1e3 * seconds[0]:.1f} ms, again {1e3 * seconds[1]:.1f} ms, "
                f"{len(events) / seconds[0]:.0f} events/s at first",
                flush=True,
            )


def _passage(events: list[list[str]]) -> Passage:
    half = Fraction(1, 2)
    return Passage(
        tuple(Note(SpelledPitch.parse(p), n * half, half) for n, event in enumerate(events) for p in event),
        0,
        Metre(4, 4),
    )


def main() -> None:
    """Prints the figures."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--speed", action="store_true")
    parser.add_argument("--keep", type=Path, help="file for the habits of each fold, for fingering_ablation.py")
    parser.add_argument("--folds", type=int, default=5)
    asked = parser.parse_args()
    if asked.speed:
        speed()
        return
    scores = read_scores("fingering")
    if not scores:
        print("the open fingering scores are not at hand")
        return
    plain = Tally()
    measure(plain, scores, None)
    plain.show("hand-set costs alone")
    by_fold = learn(scores, asked.folds)
    if asked.keep:
        asked.keep.write_bytes(pickle.dumps(by_fold))
    held_out(scores, by_fold).show("with habits, files held out")


if __name__ == "__main__":
    main()
