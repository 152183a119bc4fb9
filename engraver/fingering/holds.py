"""Every way to lay an event on strings, frets and fingers that a hand can hold."""

from collections.abc import Iterator

from engraver.fingering.grips import FINGER_COUNT
from engraver.fingering.setting import Measures, Setting, Sound, measures
from engraver.fretboard.limits import Barres, Spread
from engraver.fretboard.neck import Spot, spots
from engraver.theory.pitch import Midi

Hold = tuple[int, int, int]  # string, fret, finger; (0, 0, 0) = let go
LET_GO: Hold = (0, 0, 0)


def holds_of(setting: Setting, sounds: tuple[Sound, ...]) -> Iterator[tuple[Hold, ...]]:
    """All possible holds of an event's sounds, a hold for each."""
    measured = measures(setting)
    for placed in _placements(setting, sounds, measured.ruler_mm):
        yield from _fingerings(setting, sounds, placed, measured)


def _note_spots(setting: Setting, sound: Sound) -> tuple[Spot, ...]:
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


def _placements(
    setting: Setting, sounds: tuple[Sound, ...], ruler: tuple[float, ...]
) -> Iterator[tuple[Spot | None, ...]]:
    """All choices of strings and frets, one note to a string, within the whole reach of the hand."""
    reach = setting.player.reach_mm
    choices: list[tuple[Spot | None, ...]] = []
    for sound in sounds:
        found: tuple[Spot | None, ...] = _note_spots(setting, sound)
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
    setting: Setting, sounds: tuple[Sound, ...], placed: tuple[Spot | None, ...], measured: Measures
) -> Iterator[tuple[Hold, ...]]:
    """All ways to finger one choice of places; on one fret the lower string takes the lower finger."""
    fretted = sorted(
        (i for i, spot in enumerate(placed) if spot and spot.fret),
        key=lambda i: (placed[i].fret, -placed[i].string),  # type: ignore[union-attr]
    )
    ruler, reach = measured
    base: list[Hold] = [(spot.string, spot.fret, 0) if spot else LET_GO for spot in placed]
    opens = [spot.string for spot in placed if spot and not spot.fret]
    widest, strict = setting.widest_extension_frets, setting.shape.spread is Spread.ONE_PER_FRET

    def apart(frets: int, fingers: int) -> bool:
        return frets == fingers if strict else frets - fingers <= widest

    def assign(step: int, holds: list[Hold]) -> Iterator[tuple[Hold, ...]]:
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


def _barres_clear(holds: list[Hold], opens: list[int], setting: Setting) -> bool:
    """No barre is too wide or mutes a string that must sound; only finger 1 lies over more than two strings.

    Where the book allows partial barres alone, no second finger lies flat beside one.
    """
    used = [finger for _, _, finger in holds if finger]
    if len(set(used)) == len(used):
        return True
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
