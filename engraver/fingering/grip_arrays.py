"""Grips counted once: what the costs ask about a grip, for all grips of an event as arrays."""

import numpy as np

from engraver.fingering.grips import FINGER_COUNT, Floats, Grips, GripSet, Ints
from engraver.fingering.holds import Hold
from engraver.fingering.setting import Setting, Sound, measures
from engraver.fretboard.hand import comfortable_share

_STILL_HOLDING = 0.35  # what a held grip costs of a new one; chosen by us


def as_arrays(setting: Setting, sounds: tuple[Sound, ...], rows: list[tuple[tuple[Hold, ...], int]]) -> GripSet:
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
    if (np.count_nonzero(finger_fret, axis=1) < 2).all():
        return np.zeros(len(finger_fret), np.float32)
    frets_mm, reach = measures(setting)
    ruler, worst = np.array(frets_mm), np.zeros(len(finger_fret))
    for lower in range(1, FINGER_COUNT):
        for upper in range(lower + 1, FINGER_COUNT + 1):
            a, b = finger_fret[:, lower - 1], finger_fret[:, upper - 1]
            beyond = ruler[b] - ruler[a] - reach[lower][upper] * comfortable_share()
            worst = np.maximum(worst, np.where((a > 0) & (b > 0), beyond, 0))
    return worst.astype(np.float32)
