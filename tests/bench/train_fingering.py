"""Learns editors' habits from partly marked scores and writes tables/fingering_habits.npz.

    python tests/bench/train_fingering.py   # learn from all files and write the table
    python tests/bench/fingering_gold.py    # agreement with files held out

The unmarked notes are latent: the log-likelihood of the marks is summed over all fingerings that agree with them, and a
fingering that contradicts a mark is only made unlikely (4 nats), since editors err too. Editors print a string where it
is not the one at hand, so a string mark is judged among the places that would have been printed. Chunks of 50 events,
Adam, averaged weights; weights are pulled towards 0. Recipe: a study on the same open scores; details and numbers chosen by us.
"""

import sys
from dataclasses import dataclass
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from engraver.fingering import habits as learned
from engraver.fingering import moves, note_habits
from engraver.fingering.candidates import Setting
from engraver.fingering.costs import repertoire_table
from engraver.fingering.events import events_of
from engraver.fingering.phrases import line_of, paces
from engraver.fingering.search import Search, board_for
from engraver.fingering.wishes import Wish
from engraver.fretboard.limits import OpenStrings
from engraver.fretboard.tuning import Player
from tests.bench.fingering_files import MarkedScore, read_scores

STRING_CLAMP = 2.5  # a contradicted string mark counts this many times a contradicted finger
CHUNK, BATCH, CLAMP = 50, 12, 4.0
EPOCHS, RATE, DUO_WEIGHT = 8, 0.012, 0.7
PULL, PULL_RICH = 8.0, 15.0  # towards 0, in marks; the rich families tell thousands of descriptions apart
STRING_WEIGHT = 3.0  # string marks are few; they count this much more
PRINTED = (0.04, 1.0, 0.9)  # how readily a string is printed: lowest fret, next place, further up (marks by places)
NOTES = 6
OUT = Path(learned.__file__).parent.parent / "tables" / "fingering_habits.npz"
RICH = {
    "came from, by fret",
    "goes to, by fret",
    "came from and goes to",
    "finger pair, by fret",
    "whole grip",
    "leading note",
    "lowest finger",
}


@dataclass(slots=True)
class Chunk:
    """At most 50 events of one score as padded arrays (events x grips …)."""

    path: str
    weight: float
    note_numbers: np.ndarray  # notes x 6 x 5 x families
    cells: np.ndarray  # events x grips x notes: row of note_numbers' first three axes, -1 = none
    grip_numbers: np.ndarray  # events x grips x 21
    sides: dict[str, np.ndarray]  # events x grips (x 4)
    moved: np.ndarray  # events x grips x grips
    own: np.ndarray  # events x grips
    own_move: np.ndarray  # events x grips x grips
    mask: np.ndarray  # events x grips
    pace: np.ndarray  # events
    against: np.ndarray  # events x grips: marks contradicted
    against_strings: np.ndarray  # the same, string marks alone
    printed: np.ndarray  # events x grips: log of how readily the strings marked would be printed at these places


def chunks_of(score: MarkedScore, weight: float) -> list[Chunk]:
    """The marked stretches of a score."""
    board = board_for(Setting(score.instrument, Player()), OpenStrings.ALLOW, repertoire_table())
    events = events_of(score.passage, tuple(Wish() for _ in score.passage.notes), score.instrument.string_count)
    line, pace = line_of(score.passage, score.instrument, events), paces(score.passage, events)
    cells = (len(score.passage.notes), learned.STRINGS, learned.FINGERS)
    numbers = np.stack([np.broadcast_to(n, cells) for n in note_habits.note_numbers(line)], -1)
    readiness = np.log(np.maximum(note_habits.places_printed(line, PRINTED), 1e-6))
    out: list[Chunk] = []
    known = [board.set_id(e.sounds) is not None for e in events]
    for start in range(0, len(events), CHUNK):
        part = events[start : start + CHUNK]
        good = known[start : start + CHUNK]
        if not all(good):
            part = part[: good.index(False)]
        marked = sum(i in m for e in part for i in e.notes for m in (score.fingers, score.strings))
        if marked and len(part) > 1:
            out.append(_chunk(score, weight, board, part, numbers, pace[start : start + len(part)], readiness))
    return out


def _chunk(score, weight, board, events, numbers, pace, readiness) -> Chunk:
    search = Search(board, events)
    size = max(search.grips(n).count for n in range(len(events)))
    shape = (len(events), size)
    first_note = min(i for e in events for i in e.notes)
    last_note = max(i for e in events for i in e.notes) + 1
    cells = np.full((*shape, NOTES), -1, np.int32)
    grip_numbers = np.zeros((*shape, 21), np.int32)
    sides = {
        name: np.zeros((*shape, 4) if name.startswith("finger_") else shape, np.int16)
        for name in (
            "lead_finger",
            "lead_fret",
            "lead_string",
            "position",
            "fretted",
            "low_finger",
            "low_fret",
            "low_string",
            "finger_fret",
            "finger_string",
        )
    }
    moved, own_move = np.zeros((*shape, size), np.int8), np.zeros((*shape, size), np.float16)
    own, mask = np.zeros(shape, np.float32), np.zeros(shape, bool)
    against, against_strings, printed = (np.zeros(shape, np.float32) for _ in range(3))
    for n, event in enumerate(events):
        grips = search.grips(n)
        k = grips.count
        mask[n, :k] = True
        grip_numbers[n, :k] = learned.grip_numbers(grips.grips)
        own[n, :k] = search.holding(n)
        for name in sides:
            sides[name][n, :k] = getattr(grips.grips, name)
        new = [at for at, s in enumerate(event.sounds) if not s.held]
        for column, at in enumerate(new[:NOTES]):
            i = event.notes[at]
            string = np.minimum(grips.strings[:, at], learned.STRINGS) - 1
            cells[n, :k, column] = ((i - first_note) * learned.STRINGS + string) * learned.FINGERS + grips.fingers[
                :, at
            ]
            if i in score.fingers:
                against[n, :k] += grips.fingers[:, at] != score.fingers[i]
            if i in score.strings:
                against_strings[n, :k] += grips.strings[:, at] != score.strings[i]
                printed[n, :k] += readiness[i, string]
        if n:
            earlier = search.grips(n - 1).grips
            held = grips.grips.held_on_string[None]
            moved[n, : earlier.position.shape[0], :k] = ((held > 0) & (held != earlier.on_string[:, None])).sum(-1)
            move = board.moves([search.step(n)])[0]
            own_move[n, : move.shape[0], :k] = move
    return Chunk(
        score.path,
        weight,
        numbers[first_note:last_note],
        cells,
        grip_numbers,
        sides,
        moved,
        own,
        own_move,
        mask,
        pace,
        against + STRING_CLAMP * against_strings,
        STRING_CLAMP * against_strings,
        printed,
    )


@dataclass(slots=True)
class Batch:
    """Several chunks stacked."""

    note_numbers: np.ndarray
    cells: np.ndarray
    grip_numbers: np.ndarray
    move_numbers: list[np.ndarray]
    own: np.ndarray
    own_move: np.ndarray
    mask: np.ndarray
    against: np.ndarray
    against_strings: np.ndarray
    printed: np.ndarray
    weight: np.ndarray
    length: np.ndarray


def _pad(array: np.ndarray, shape: tuple[int, ...], fill: float = 0) -> np.ndarray:
    out = np.full(shape, fill, array.dtype)
    out[tuple(slice(0, n) for n in array.shape)] = array
    return out


def batch_of(chunks: list[Chunk]) -> Batch:
    """Chunks side by side; note cells renumbered into one list whose last cell is empty."""
    events = max(c.mask.shape[0] for c in chunks)
    size = max(c.mask.shape[1] for c in chunks)
    offset, cells, all_numbers = 0, [], []
    total = sum(c.note_numbers.shape[0] for c in chunks)
    per_note = learned.STRINGS * learned.FINGERS
    for c in chunks:
        shifted = np.where(c.cells >= 0, c.cells + offset * per_note, total * per_note)
        cells.append(_pad(shifted, (events, size, NOTES), total * per_note))
        all_numbers.append(c.note_numbers.reshape(-1, len(learned.NOTE_FAMILIES)))
        offset += c.note_numbers.shape[0]
    sides = {}
    for name in chunks[0].sides:
        tail = chunks[0].sides[name].shape[2:]
        sides[name] = np.stack([_pad(c.sides[name], (events, size, *tail)) for c in chunks])
    a = {k: np.expand_dims(v[:, :-1], 3) for k, v in sides.items()}
    b = {k: np.expand_dims(v[:, 1:], 2) for k, v in sides.items()}
    moved = np.stack([_pad(c.moved, (events, size, size)) for c in chunks])[:, 1:]
    pace = np.stack([_pad(c.pace, (events,)) for c in chunks])[:, 1:, None, None].astype(np.int16)
    numbers = moves.move_numbers(_side(a), _side(b), pace, moved)
    return Batch(
        np.concatenate(all_numbers),
        np.stack(cells),
        np.stack([_pad(c.grip_numbers, (events, size, 21)) for c in chunks]),
        numbers,
        np.stack([_pad(c.own, (events, size)) for c in chunks]),
        np.stack([_pad(c.own_move, (events, size, size)) for c in chunks])[:, 1:].astype(np.float32),
        np.stack([_pad(c.mask, (events, size)) for c in chunks]),
        np.stack([_pad(c.against, (events, size)) for c in chunks]),
        np.stack([_pad(c.against_strings, (events, size)) for c in chunks]),
        np.stack([_pad(c.printed, (events, size)) for c in chunks]),
        np.array([c.weight for c in chunks], np.float32),
        np.array([c.mask.shape[0] for c in chunks]),
    )


def _side(fields: dict[str, np.ndarray]) -> moves.MoveSide:
    return moves.MoveSide(
        *(
            fields[n]
            for n in (
                "lead_finger",
                "lead_fret",
                "lead_string",
                "position",
                "fretted",
                "low_finger",
                "low_fret",
                "low_string",
            )
        ),
        [fields["finger_fret"][..., f] for f in range(4)],
        [fields["finger_string"][..., f] for f in range(4)],
    )


def scores_of(w: np.ndarray, own_share: float, b: Batch) -> tuple[np.ndarray, np.ndarray]:
    """Log-scores of grips (chunks x events x grips) and of moves (chunks x events-1 x grips x grips)."""
    cells = np.append(w[b.note_numbers].sum(-1), np.float32(0))
    hold = cells[b.cells].sum(-1) + w[b.grip_numbers].sum(-1) - own_share * b.own
    hold = np.where(b.mask, hold, -1e4)
    move = -own_share * b.own_move
    for numbers in b.move_numbers:
        move += w[numbers]
    return hold.astype(np.float32), move


def posteriors(hold: np.ndarray, move_exp: np.ndarray, length: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Posterior of grips, of moves (unnormalised factors applied), and log-likelihood, chunk by chunk."""
    events = hold.shape[1]
    top = hold.max(-1, keepdims=True)
    local = np.exp(hold - top)
    alpha, beta = np.zeros_like(local), np.ones_like(local)
    log_z = top[:, 0, 0].copy()
    alpha[:, 0] = local[:, 0]
    scale = alpha[:, 0].sum(-1, keepdims=True)
    alpha[:, 0] /= scale
    log_z += np.log(scale[:, 0])
    for t in range(1, events):
        live = t < length
        row = np.matmul(alpha[:, t - 1, None, :], move_exp[:, t - 1])[:, 0] * local[:, t]
        scale = row.sum(-1, keepdims=True) + 1e-30
        alpha[:, t] = np.where(live[:, None], row / scale, alpha[:, t - 1])
        log_z += np.where(live, np.log(scale[:, 0]) + top[:, t, 0], 0)
    for t in range(events - 2, -1, -1):
        live = t + 1 < length
        row = np.matmul(move_exp[:, t], (beta[:, t + 1] * local[:, t + 1])[..., None])[..., 0]
        row /= row.max(-1, keepdims=True) + 1e-30
        beta[:, t] = np.where(live[:, None], row, 1.0)
    grip = alpha * beta
    grip /= grip.sum(-1, keepdims=True) + 1e-30
    moves = alpha[:, :-1, :, None] * move_exp * (beta[:, 1:] * local[:, 1:])[:, :, None, :]
    moves /= moves.sum((-1, -2), keepdims=True) + 1e-30
    live = np.arange(1, events)[None, :] < length[:, None]
    return grip * (np.arange(events)[None, :, None] < length[:, None, None]), moves * live[..., None, None], log_z


def gradient(w: np.ndarray, own_share: float, b: Batch) -> tuple[np.ndarray, float, float]:
    """Of the marks' log-likelihood, given which notes bear a string mark.

    By the weights, by the share of the hand-set costs, and its value.
    """
    hold, move = scores_of(w, own_share, b)
    move_exp = np.exp(move - move.max((-1, -2), keepdims=True))
    hold = hold + b.printed
    free_grip, free_move, free_z = posteriors(hold, move_exp, b.length)
    told_grip, told_move, told_z = posteriors(hold - CLAMP * b.against, move_exp, b.length)
    grip, moves = told_grip - free_grip, told_move - free_move
    if b.against_strings.any():
        string_grip, string_move, _ = posteriors(hold - CLAMP * b.against_strings, move_exp, b.length)
        grip += STRING_WEIGHT * (string_grip - free_grip)
        moves += STRING_WEIGHT * (string_move - free_move)
    grip *= b.weight[:, None, None]
    moves *= b.weight[:, None, None, None]
    g = np.zeros_like(w)
    cells = np.bincount(b.cells.ravel(), np.repeat(grip.ravel(), NOTES), minlength=b.note_numbers.shape[0] + 1)[:-1]
    used = np.abs(cells) > 1e-7
    per_family = np.repeat(cells[used], b.note_numbers.shape[1])
    g += np.bincount(b.note_numbers[used].ravel(), per_family, minlength=learned.SIZE)
    flat = grip.ravel()
    used = np.abs(flat) > 1e-7
    g += np.bincount(b.grip_numbers.reshape(-1, 21)[used].ravel(), np.repeat(flat[used], 21), minlength=learned.SIZE)
    flat = moves.ravel()
    at = np.nonzero(np.abs(flat) > 1e-7)[0]
    values = flat[at]
    for numbers in b.move_numbers:
        g += np.bincount(np.broadcast_to(numbers, moves.shape).ravel()[at], values, minlength=learned.SIZE)
    own = -float((grip * b.own).sum() + (moves * b.own_move).sum())
    return g, own, float(((told_z - free_z) * b.weight).sum())


def pull() -> np.ndarray:
    """How strongly each weight is pulled towards 0."""
    out = np.ones(learned.SIZE, np.float32)
    for family in learned.FAMILIES:
        strength = PULL_RICH if family.name in RICH else PULL
        out[learned.OFFSETS[family.name] : learned.OFFSETS[family.name] + family.size] = strength
    return out


def train(chunks: list[Chunk], epochs: int = EPOCHS, say: bool = False) -> tuple[np.ndarray, float]:
    """Weights and own share, averaged over the second half of the training."""
    order = np.random.default_rng(7)
    by_size = sorted(chunks, key=lambda c: (c.mask.shape[1], c.path))
    groups = [by_size[i : i + BATCH] for i in range(0, len(by_size), BATCH)]
    batches = [batch_of(group) for group in groups]
    w = np.zeros(learned.SIZE, np.float32)
    own = 0.5
    start = resting_weights()
    w += start
    m, v = np.zeros(learned.SIZE + 1), np.zeros(learned.SIZE + 1)
    strength = pull()
    mean, mean_own, count, step = np.zeros(learned.SIZE), 0.0, 0, 0
    total = len(chunks)
    for epoch in range(epochs):
        log_likelihood = 0.0
        for at in order.permutation(len(batches)):
            b = batches[at]
            g, g_own, value = gradient(w, own, b)
            share = len(b.weight) / total
            full = np.append(g - share * strength * (w - start), g_own - share * 5.0 * (own - 0.5))
            step += 1
            m = 0.9 * m + 0.1 * full
            v = 0.98 * v + 0.02 * full**2
            change = RATE * (1 - 0.7 * epoch / epochs) * (m / (1 - 0.9**step)) / (np.sqrt(v / (1 - 0.98**step)) + 0.02)
            w += change[:-1].astype(np.float32)
            own = max(0.0, own + float(change[-1]))
            log_likelihood += value
            if epoch >= epochs // 2:
                mean += w
                mean_own += own
                count += 1
        if say:
            print(f"epoch {epoch + 1}: log-likelihood of the marks {log_likelihood:.0f}, own share {own:.2f}")
    return (mean / count).astype(np.float32), mean_own / count


def resting_weights() -> np.ndarray:
    """Where the pull leads: nothing, except that held notes stay where they are."""
    out = np.zeros(learned.SIZE, np.float32)
    at = learned.OFFSETS["held notes moved"]
    out[at : at + 4] = (0, -1, -2, -3)
    return out


ABOUT = (
    "What editors of printed guitar music tend to write for the fretting hand: additions to a log-score by description."
)
SOURCE = (
    "learned by tests/bench/train_fingering.py from 3,891 finger and 514 string marks of 81 public-domain or CC BY / CC "
    "BY-SA guitar scores of the Mutopia Project (Aguado, Carcassi, Carulli, Coste, Giuliani, Mertz, Sor, Tarrega and "
    "others) and, at weight 0.7, from 18 parts of guitar duos of the same collection; all files, none held out"
)
UNITS = "weights: whole numbers of `unit` nats, in the order of engraver.fingering.habits.FAMILIES; own_share, printed: no unit"


def write(weights: np.ndarray, own: float) -> None:
    """The table, in steps of a thousandth of a nat."""
    steps = np.round(weights / 0.001).clip(-32000, 32000).astype(np.int16)
    np.savez_compressed(
        OUT,
        weights=steps,
        unit=0.001,
        own_share=round(own, 4),
        printed=np.array(PRINTED),
        about=ABOUT,
        source=SOURCE,
        units=UNITS,
    )


def main() -> None:
    """Learns from all files and writes the table."""
    scores = [*((s, 1.0) for s in read_scores("fingering")), *((s, DUO_WEIGHT) for s in read_scores("fingering_duo"))]
    if not scores:
        print("the open fingering scores are not at hand; nothing written")
        return
    weights, own = train([c for score, weight in scores for c in chunks_of(score, weight)], say=True)
    write(weights, own)
    print(f"wrote {OUT.name}: {OUT.stat().st_size} bytes")


if __name__ == "__main__":
    main()
