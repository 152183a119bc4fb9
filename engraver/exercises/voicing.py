"""Chord voicings on the neck, and the progression of them that leads its voices best.

A voicing is a bass and two or three upper voices, rising, each on a string of its own, the lower voice on the lower
string. The search weighs every playable voicing of every chord against the rules of voice_rules.py.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from itertools import pairwise, permutations

from engraver.errors import Unplayable
from engraver.exercises.voice_rules import Move, cost, forbidden, move_cost
from engraver.fretboard.hand import FINGERS, comfortable_share, pair_reach_mm
from engraver.fretboard.neck import Spot, span_mm, spots
from engraver.fretboard.tuning import Instrument, Player
from engraver.theory.harmony import RomanChord, harmony_table
from engraver.theory.pitch import OCTAVE, Midi, PitchName, SpelledPitch, pitch_at_or_above

_NEVER = float("inf")


@dataclass(frozen=True, slots=True)
class Voicing:
    """A chord as it is struck: pitches from the bass up, the grip that holds them best, what it costs by itself."""

    chord: RomanChord
    pitches: tuple[SpelledPitch, ...]
    grip: tuple[Spot, ...]
    effort: float

    @property
    def positions(self) -> range:
        """The hand positions from which the grip is held; empty when all strings are open."""
        frets = [spot.fret for spot in self.grip if spot.fret]
        if not frets:
            return range(0)
        return range(max(1, max(frets) - harmony_table().limits.frets_in_reach + 1), min(frets) + 1)


def voice_progression(chords: tuple[RomanChord, ...], parts: int, instrument: Instrument) -> tuple[Voicing, ...]:
    """The playable voicings of a progression that lead their voices best.

    Raises Unplayable when a chord cannot be voiced in so many parts, or no row of voicings keeps the rules.
    """
    columns = [_voicings_or_error(chord, parts, instrument) for chord in chords]
    costs = [_first_cost(voicing) for voicing in columns[0]]
    back: list[list[int]] = []
    for earlier, later in pairwise(columns):
        costs, links = _extended(costs, earlier, later)
        back.append(links)
    if not any(value < _NEVER for value in costs):
        raise _no_way(columns, parts)
    closing = [value + _unclosed(v) for value, v in zip(costs, columns[-1], strict=True)]
    at = min(range(len(closing)), key=closing.__getitem__)
    path = [at]
    for links in reversed(back):
        path.append(links[path[-1]])
    return tuple(column[index] for column, index in zip(columns, reversed(path), strict=True))


def _first_cost(voicing: Voicing) -> float:
    return voicing.effort


def _extended(
    costs: list[float], earlier: tuple[Voicing, ...], later: tuple[Voicing, ...]
) -> tuple[list[float], list[int]]:
    """The cheapest way to each voicing of the next chord, and the voicing before it."""
    best, links = [], []
    for after in later:
        found, link = _NEVER, 0
        for index, before in enumerate(earlier):
            value = costs[index] + after.effort
            if value >= found:
                continue
            move = Move(before.chord, before.pitches, after.chord, after.pitches)
            if forbidden(move) is None:
                value += move_cost(move) + cost("shift") * _shift(before, after)
                if value < found:
                    found, link = value, index
        best.append(found)
        links.append(link)
    return best, links


def _shift(before: Voicing, after: Voicing) -> int:
    """Frets the hand must move; none from or to a grip of open strings."""
    one, two = before.positions, after.positions
    return max(0, one[0] - two[-1], two[0] - one[-1]) if one and two else 0


def _unclosed(voicing: Voicing) -> float:
    return 0.0 if voicing.pitches[-1].name == voicing.chord.key.tonic else cost("unclosed")


def _voicings_or_error(chord: RomanChord, parts: int, instrument: Instrument) -> tuple[Voicing, ...]:
    if not chord.doublings(parts):
        raise Unplayable(f"the {chord.printed} needs four parts", hint="write parts: 4, or augmented_sixth: Italian")
    found = voicings(chord, parts, instrument)
    if not found:
        raise Unplayable(
            f"{chord.printed} of {chord.key} has no grip within four frets on this instrument",
            hint="choose another key, fewer parts or standard tuning",
        )
    return found


def _no_way(columns: list[tuple[Voicing, ...]], parts: int) -> Unplayable:
    """The error that names the two chords between which no rule-keeping way leads."""
    alive = set(range(len(columns[0])))
    for earlier, later in pairwise(columns):
        alive = {
            j
            for j, b in enumerate(later)
            if any(forbidden(Move(earlier[i].chord, earlier[i].pitches, b.chord, b.pitches)) is None for i in alive)
        }
        if not alive:
            one, two = earlier[0].chord.printed, later[0].chord.printed
            count = "three" if parts == 3 else "four"
            hint = "write parts: 4" if parts == 3 else "put another chord between them"
            return Unplayable(f"{one} cannot be led to {two} in {count} parts", hint=hint)
    raise AssertionError("some way exists")


@cache
def voicings(chord: RomanChord, parts: int, instrument: Instrument) -> tuple[Voicing, ...]:
    """Every playable voicing of a chord in three or four parts, in a fixed order; empty when there is none."""
    found: dict[tuple[SpelledPitch, ...], Voicing] = {}
    for rank, notes in enumerate(chord.doublings(parts)):
        for place, bass in enumerate(chord.basses):
            if bass not in notes:
                continue
            own = rank * cost("doubling") + place * cost("inversion")
            for pitches in _stacked(bass, notes, instrument):
                if pitches not in found and (held := best_grip(tuple(p.sounding_midi for p in pitches), instrument)):
                    grip, effort = held
                    found[pitches] = Voicing(chord, pitches, grip, effort + own + _gap(pitches))
    return tuple(found.values())


def _stacked(
    bass: PitchName, notes: tuple[PitchName, ...], instrument: Instrument
) -> Iterator[tuple[SpelledPitch, ...]]:
    """All rising rows: a bass in its low octaves, the next voice close above it or an octave on, the rest close."""
    rest = list(notes)
    rest.remove(bass)
    lowest, top = instrument.lowest, instrument.lowest + harmony_table().limits.bass_above_lowest
    root = pitch_at_or_above(bass, lowest)
    while root.sounding_midi <= top:
        for order in dict.fromkeys(permutations(rest)):
            for extra in (0, 1):
                row = [root]
                for index, name in enumerate(order):
                    pitch = pitch_at_or_above(name, Midi(row[-1].sounding_midi + 1))
                    row.append(pitch.up(OCTAVE) if extra and not index else pitch)
                yield tuple(row)
        root = root.up(OCTAVE)


def _gap(pitches: tuple[SpelledPitch, ...]) -> float:
    wide = pitches[1].sounding_midi - pitches[0].sounding_midi - OCTAVE.semitones
    return max(0, wide) * cost("gap")


@cache
def best_grip(midis: tuple[Midi, ...], instrument: Instrument) -> tuple[tuple[Spot, ...], float] | None:
    """The easiest grip for rising pitches, lower voices on lower strings, and its effort; None when there is none."""
    best: tuple[float, tuple[Spot, ...]] | None = None
    for grip in _grips(midis, instrument, instrument.string_count + 1):
        effort = _effort(grip, instrument)
        if effort is not None and (best is None or (effort, grip) < best):
            best = (effort, grip)
    return (best[1], best[0]) if best else None


def _grips(midis: tuple[Midi, ...], instrument: Instrument, below: int) -> Iterator[tuple[Spot, ...]]:
    """Places for the pitches on ever higher strings, within the frets a hand covers."""
    if not midis:
        yield ()
        return
    limits = harmony_table().limits
    for spot in spots(instrument, midis[0]):
        if spot.string < below and spot.fret <= limits.highest_fret:
            for rest in _grips(midis[1:], instrument, spot.string):
                frets = [s.fret for s in (spot, *rest) if s.fret]
                if not frets or max(frets) - min(frets) < limits.frets_in_reach:
                    yield (spot, *rest)


def _effort(grip: tuple[Spot, ...], instrument: Instrument) -> float | None:
    """What a grip costs, or None when the fingers of a usual hand cannot hold it."""
    stopped = sorted((spot for spot in grip if spot.fret), key=lambda spot: (spot.fret, -spot.string))
    if not stopped:
        return 0.0
    low, high = stopped[0].fret, stopped[-1].fret
    above = max(0, high - harmony_table().limits.frets_in_reach)
    plain = above * cost("fret") + (high - low) * cost("span") + len(stopped) * cost("finger")
    ways = [plain + _stretch(_reach_mm(tuple(stopped), (), instrument))]
    row = [spot for spot in stopped if spot.fret == low]
    barred = range(min(s.string for s in row), max(s.string for s in row) + 1)
    if len(row) > 1 and not any(not spot.fret and spot.string in barred for spot in grip):
        reach = _reach_mm(tuple(stopped[len(row) :]), ((1, low),), instrument)
        ways.append(plain + cost("barre") + _stretch(reach))
    easiest = min(ways)
    return easiest if easiest < _NEVER else None


def _stretch(reach_mm: float) -> float:
    """What it costs a usual hand to reach so far; endless where it cannot."""
    usual = Player().reach_mm
    if reach_mm > usual:
        return _NEVER
    return max(0.0, reach_mm - usual * comfortable_share()) * cost("stretch")


def _reach_mm(stopped: tuple[Spot, ...], held: tuple[tuple[int, int], ...], instrument: Instrument) -> float:
    """The reach from finger 1 to finger 4 that a hand needs, in mm, with rising fingers after those already held."""
    if not stopped:
        return 0.0
    free = FINGERS[held[-1][0] :] if held else FINGERS
    fret = stopped[0].fret
    needs = [
        max(
            _reach_mm(stopped[1:], (*held, (finger, fret)), instrument),
            *(span_mm(instrument, at, fret) / pair_reach_mm(_ONE_MM, other, finger) for other, at in held),
            0.0,
        )
        for finger in free
    ]
    return min(needs, default=_NEVER)


_ONE_MM = Player(reach_mm=1.0)
"""A hand whose pair reaches are the shares themselves."""
