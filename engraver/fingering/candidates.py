"""Every way the hand can hold one event: strings, frets, fingers, barre, with held notes kept or let go.

A grip is listed only when it is possible: every note on its own string, no finger on two frets, no crossed
fingers, every finger pair within the player's reach, no open string under a barre.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from typing import NamedTuple

import numpy as np

from engraver.fingering.grips import FINGER_COUNT, Floats, Grips, GripSet, Ints
from engraver.fretboard.hand import comfortable_share, pair_reach_mm, partial_barre_strings
from engraver.fretboard.limits import AS_IT_COMES, Barres, HandShape, LeftHandLimits, Spread
from engraver.fretboard.neck import Spot, fret_mm, spots
from engraver.fretboard.tuning import Instrument, Player
from engraver.theory.pitch import Midi


class Sound(NamedTuple):
    """One note of an event as the search sees it; empty `strings` or `fingers` mean: any.

    `held`: sounds on from an earlier event. `again`: struck while its finger still lies there.
    """

    midi: int
    held: bool = False
    strings: tuple[int, ...] = ()
    fingers: tuple[int, ...] = ()
    open_allowed: bool = True
    again: bool = False


@dataclass(frozen=True, slots=True)
class Setting:
    """The guitar and the hand, the position the book asks to stay in (None = free), what it says of the hand."""

    instrument: Instrument
    player: Player
    position: int | None = None
    shape: HandShape = AS_IT_COMES

    @classmethod
    def under(cls, limits: LeftHandLimits, instrument: Instrument, player: Player) -> "Setting":
        """The setting that the book's limits make of a guitar and a hand."""
        return cls(instrument, player, limits.position, limits.shape)

    @property
    def widest_extension_frets(self) -> int:
        """Frets by which two fingers held at once may open beyond one finger per fret."""
        return WIDEST_EXTENSION_FRETS if self.shape.spread is Spread.FREE else 0

    @property
    def widest_barre_strings(self) -> int:
        """How many strings a finger may lie over."""
        all_strings = self.instrument.string_count
        few = min(all_strings, partial_barre_strings())
        return {Barres.ALLOW: all_strings, Barres.PARTIAL: few, Barres.NONE: 1}[self.shape.barre]


_Hold = tuple[int, int, int]  # string, fret, finger; (0, 0, 0) = let go
_STILL_HOLDING = 0.35  # what a held grip costs of a new one; chosen by us
_LET_GO: _Hold = (0, 0, 0)
WIDEST_EXTENSION_FRETS = 3
"""Frets by which two fingers may open beyond one finger per fret, however close the frets lie (chosen by us)."""


@lru_cache(maxsize=64)
def _measures(setting: Setting) -> tuple[tuple[float, ...], tuple[tuple[float, ...], ...]]:
    """Millimetres of each fret from the nut, and within reach of each finger pair (by lower, then upper finger)."""
    ruler = tuple(fret_mm(setting.instrument, fret) for fret in range(setting.instrument.highest_fret + 1))
    fingers = range(FINGER_COUNT + 1)
    reach = tuple(tuple(pair_reach_mm(setting.player, a, b) if 0 < a < b else 0.0 for b in fingers) for a in fingers)
    return ruler, reach


def note_spots(setting: Setting, sound: Sound) -> tuple[Spot, ...]:
    """The places a sound may take under the book's wishes."""
    found = spots(setting.instrument, Midi(sound.midi))
    return tuple(
        spot
        for spot in found
        if (not sound.strings or spot.string in sound.strings)
        and (spot.fret > 0 or sound.open_allowed)
        and (spot.fret > 0 or not sound.fingers or 0 in sound.fingers)
        and (spot.fret == 0 or sound.fingers != (0,))
    )


def _placements(setting: Setting, sounds: tuple[Sound, ...]) -> Iterator[tuple[Spot | None, ...]]:
    """All choices of strings and frets, one note to a string, within the whole reach of the hand."""
    reach, ruler = setting.player.reach_mm, _measures(setting)[0]
    choices: list[tuple[Spot | None, ...]] = []
    for sound in sounds:
        found: tuple[Spot | None, ...] = note_spots(setting, sound)
        choices.append((*found, None) if sound.held else found)

    def place(
        index: int, taken: tuple[Spot | None, ...], used: int, low: int, high: int
    ) -> Iterator[tuple[Spot | None, ...]]:
        if index == len(choices):
            yield taken
            return
        for spot in choices[index]:
            if spot is None:
                yield from place(index + 1, (*taken, None), used, low, high)
                continue
            if used >> spot.string & 1:
                continue
            lower, upper = (min(low, spot.fret), max(high, spot.fret)) if spot.fret else (low, high)
            if upper and lower < upper and ruler[upper] - ruler[lower] > reach:
                continue
            yield from place(index + 1, (*taken, spot), used | 1 << spot.string, lower, upper)

    yield from place(0, (), 0, 99, 0)


def _fingerings(
    setting: Setting, sounds: tuple[Sound, ...], placed: tuple[Spot | None, ...]
) -> Iterator[tuple[_Hold, ...]]:
    """All ways to finger one choice of places; on one fret the lower string takes the lower finger."""
    fretted = sorted(
        (i for i, spot in enumerate(placed) if spot and spot.fret),
        key=lambda i: (placed[i].fret, -placed[i].string),  # type: ignore[union-attr]
    )
    ruler, reach = _measures(setting)
    base: list[_Hold] = [(spot.string, spot.fret, 0) if spot else _LET_GO for spot in placed]
    opens = [spot.string for spot in placed if spot and not spot.fret]
    widest, strict = setting.widest_extension_frets, setting.shape.spread is Spread.ONE_PER_FRET

    def apart(frets: int, fingers: int) -> bool:
        return frets == fingers if strict else frets - fingers <= widest

    def assign(step: int, holds: list[_Hold]) -> Iterator[tuple[_Hold, ...]]:
        if step == len(fretted):
            if _barres_clear(holds, opens, setting):
                yield tuple(holds)
            return
        index = fretted[step]
        string, fret, _ = holds[index]
        last = holds[fretted[step - 1]] if step else (0, 0, 1)
        for finger in range(last[2], FINGER_COUNT + 1):
            if step and finger == last[2] and last[1] != fret:
                continue
            if sounds[index].fingers and finger not in sounds[index].fingers:
                continue
            if all(
                holds[i][2] == finger
                or (
                    ruler[fret] - ruler[holds[i][1]] <= reach[holds[i][2]][finger]
                    and apart(fret - holds[i][1], finger - holds[i][2])
                )
                for i in fretted[:step]
            ):
                yield from assign(step + 1, [*holds[:index], (string, fret, finger), *holds[index + 1 :]])

    yield from assign(0, base)


def _barres_clear(holds: list[_Hold], opens: list[int], setting: Setting) -> bool:
    """No barre is too wide or mutes a string that must sound; only finger 1 lies over more than two strings.

    Where the book allows partial barres alone, no second finger lies flat beside one.
    """
    barres = 0
    for finger in range(1, FINGER_COUNT + 1):
        strings = [string for string, _, used in holds if used == finger]
        if len(strings) < 2:
            continue
        low, high = min(strings), max(strings)
        barres += 1
        if high - low >= setting.widest_barre_strings or (barres > 1 and setting.shape.barre is Barres.PARTIAL):
            return False
        fret = next(f for _, f, used in holds if used == finger)
        if any(low < string < high for string in opens):
            return False
        if any(string and low < string < high and f < fret for string, f, _ in holds):
            return False
        if finger > 1 and high - low > 1:
            return False
    return True


def _hand_position(holds: tuple[_Hold, ...]) -> int:
    """The fret under finger 1, read from the lowest finger in use; 1 at least; 0 when all strings are open."""
    used = [(finger, fret) for _, fret, finger in holds if finger]
    if not used:
        return 0
    finger, fret = min(used)
    return max(1, fret - finger + 1)


@lru_cache(maxsize=2048)
def grips_for(setting: Setting, sounds: tuple[Sound, ...], keep: int, keep_per_position: int) -> GripSet | None:
    """All playable grips of one event, or None when there is none.

    At most `keep`, the plainest `keep_per_position` of each hand position first. When every string is open the hand
    may lie in any position.
    """
    rows: list[tuple[tuple[_Hold, ...], int]] = []
    highest = max(1, setting.instrument.highest_fret - FINGER_COUNT + 1)
    for placed in _placements(setting, sounds):
        for holds in _fingerings(setting, sounds, placed):
            position = _hand_position(holds)
            if position == 0:
                free = range(1, highest + 1) if setting.position is None else (setting.position,)
                rows.extend((holds, p) for p in free)
            elif setting.position is None or _fits_position(holds, setting.position, setting.shape.spread):
                rows.append((holds, position if setting.position is None else setting.position))
    if not rows:
        return None
    full = _as_arrays(setting, sounds, rows)
    return _plainest(full, keep, keep_per_position) if len(rows) > keep else full


def _fits_position(holds: tuple[_Hold, ...], position: int, spread: Spread) -> bool:
    """True when every finger lies on its own fret of the position, or as near to it as the book allows.

    Without further wishes finger 1 may reach one fret back and 4 one up. In a chord a finger may also lie next to its
    own fret, within the four frets of the position (common practice: A minor in first position has two on one fret).
    """
    used = [(finger, fret) for _, fret, finger in holds if finger]
    chord = len({finger for finger, _ in used}) > 1
    for finger, fret in used:
        away = fret - (position + finger - 1)
        if not away:
            continue
        if spread is Spread.ONE_PER_FRET:
            return False
        if chord and abs(away) == 1 and position <= fret < position + FINGER_COUNT:
            continue
        if spread is not Spread.FREE or (finger, away) not in ((1, -1), (FINGER_COUNT, 1)):
            return False
    return True


def _plainest(full: GripSet, keep: int, keep_per_position: int) -> GripSet:
    """The plainest grips, spread over the positions of the hand."""
    g = full.grips
    effort = g.off_fret + 3.0 * g.let_go + 2.0 * g.crossed + g.little_barre + g.stretch_mm / 10 + g.barre * 0.5
    order = np.argsort(effort, kind="stable")
    seen: dict[int, int] = {}
    first: list[int] = []
    for row in order.tolist():
        position = int(g.position[row])
        seen[position] = seen.get(position, 0) + 1
        if seen[position] <= keep_per_position:
            first.append(row)
    return full.take(np.array(first[:keep]))


def _as_arrays(setting: Setting, sounds: tuple[Sound, ...], rows: list[tuple[tuple[_Hold, ...], int]]) -> GripSet:
    """The grips as arrays, with everything the costs ask about counted once."""
    holds = np.array([h for h, _ in rows], dtype=np.int16).reshape(len(rows), len(sounds), 3)
    strings, frets, fingers = holds[..., 0], holds[..., 1], holds[..., 2]
    position = np.array([p for _, p in rows], dtype=np.int16)
    held = np.array([s.held for s in sounds])
    everyone = np.arange(len(rows))
    string_count = setting.instrument.string_count
    finger_fret = np.zeros((len(rows), FINGER_COUNT), np.int16)
    finger_string = np.zeros_like(finger_fret)
    finger_strings = np.zeros_like(finger_fret)
    on_string = np.zeros((len(rows), string_count + 1), np.int16)
    held_on_string = np.zeros_like(on_string)
    for n in range(len(sounds)):
        mark = (frets[:, n] * 8 + fingers[:, n] + 1) * (strings[:, n] > 0)
        on_string[everyone, strings[:, n]] = mark
        if held[n] or sounds[n].again:
            held_on_string[everyone, strings[:, n]] = mark
        fretting = np.nonzero(fingers[:, n])[0]
        at = fretting, fingers[fretting, n] - 1
        finger_fret[at] = frets[fretting, n]
        finger_string[at] = np.maximum(finger_string[at], strings[fretting, n])
        finger_strings[at] += 1
    on_string[:, 0] = held_on_string[:, 0] = 0
    used = finger_fret > 0
    low = np.where(used.any(1), used.argmax(1), -1)
    high = np.where(used.any(1), FINGER_COUNT - 1 - used[:, ::-1].argmax(1), -1)
    extra = np.maximum(finger_strings - 1, 0)
    lead = int(np.nonzero(~held)[0][-1]) if (~held).any() else len(sounds) - 1
    crossed = np.zeros(len(rows), np.int16)
    for a in range(len(sounds)):
        for b in range(a + 1, len(sounds)):
            crossed += (strings[:, a] > 0) & (strings[:, b] > strings[:, a])
    grips = Grips(
        position=position,
        fresh=np.full(len(rows), _fresh_share(sounds), np.float32),
        low_finger=(low + 1).astype(np.int16),
        low_fret=np.where(low >= 0, finger_fret[everyone, low], 0).astype(np.int16),
        high_finger=(high + 1).astype(np.int16),
        high_fret=np.where(high >= 0, finger_fret[everyone, high], 0).astype(np.int16),
        off_fret=_off_fret(finger_fret, position),
        stretch_mm=_stretch_mm(setting, finger_fret),
        barre=extra[:, 0],
        little_barre=extra[:, 1:].sum(1).astype(np.int16),
        opens=((strings > 0) & (frets == 0)).sum(1).astype(np.int16),
        fretted=used.sum(1).astype(np.int16),
        thirds=used[:, 2].astype(np.int16),
        fourths=used[:, 3].astype(np.int16),
        let_go=(strings == 0).sum(1).astype(np.int16),
        crossed=crossed,
        low_string=strings.max(1),
        lead_string=strings[:, lead].copy(),
        lead_fret=frets[:, lead].copy(),
        lead_finger=fingers[:, lead].copy(),
        finger_fret=finger_fret,
        finger_string=finger_string,
        on_string=on_string,
        held_on_string=held_on_string,
    )
    return GripSet(strings, frets, fingers, grips)


def _fresh_share(sounds: tuple[Sound, ...]) -> float:
    """The share of new notes, never less than that a grip still costs while it is held."""
    new = sum(not (s.held or s.again) for s in sounds)
    return max(new / len(sounds), _STILL_HOLDING)


def _off_fret(finger_fret: Ints, position: Ints) -> Ints:
    """Frets by which the fingers leave one finger per fret, counted from the position up, finger by finger."""
    used = finger_fret > 0
    if (used.sum(1) < 2).all():
        return np.where(used.any(1), np.abs(finger_fret.max(1) - position - used.argmax(1)), 0).astype(np.int16)
    off = np.zeros(len(finger_fret), np.int16)
    last_finger, last_fret = np.ones_like(off), np.where(finger_fret.any(1), position, 0)
    for finger in range(1, FINGER_COUNT + 1):
        fret = finger_fret[:, finger - 1]
        off = off + np.where(fret > 0, np.abs((fret - last_fret) - (finger - last_finger)), 0)
        last_finger, last_fret = np.where(fret > 0, finger, last_finger), np.where(fret > 0, fret, last_fret)
    return off.astype(np.int16)


def _stretch_mm(setting: Setting, finger_fret: Ints) -> Floats:
    """Millimetres beyond the comfortable reach, for the widest pair of each grip."""
    measures, reach = _measures(setting)
    ruler, worst = np.array(measures), np.zeros(len(finger_fret))
    if (np.count_nonzero(finger_fret, axis=1) < 2).all():
        return worst.astype(np.float32)
    for lower in range(1, FINGER_COUNT):
        for upper in range(lower + 1, FINGER_COUNT + 1):
            a, b = finger_fret[:, lower - 1], finger_fret[:, upper - 1]
            beyond = ruler[b] - ruler[a] - reach[lower][upper] * comfortable_share()
            worst = np.maximum(worst, np.where((a > 0) & (b > 0), beyond, 0))
    return worst.astype(np.float32)
