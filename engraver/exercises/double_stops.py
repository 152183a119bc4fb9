"""Double stops: a scale in two voices, each pair an interval counted in letters of the scale."""

from engraver.errors import OutOfRange, SpellingError
from engraver.exercises.lines import chord_passage, line_passage
from engraver.exercises.register import register
from engraver.exercises.steps import Ladder, ladder, steps_in
from engraver.fretboard.tuning import Instrument
from engraver.spec.technique import DoubleStopsSpec
from engraver.theory.passage import Passage
from engraver.theory.pitch import OCTAVE, SpelledPitch
from engraver.theory.scale import Scale, scale

STEPS_ABOVE = {"unisons": 0, "thirds": 2, "sixths": 5, "octaves": 7, "tenths": 9}
"""Scale steps from the lower to the upper voice in a scale of seven notes; the names are those of the intervals."""

WIDEST_FRETS = 3
"""Frets between the two fingers of a pair that every hand can take (one finger per fret, common practice)."""

_Pair = tuple[SpelledPitch, SpelledPitch]


def compose_double_stops(spec: DoubleStopsSpec, instrument: Instrument) -> Passage:
    """The lower voice runs through the scale, the upper the interval above it, both in the key.

    Together, or broken with the lower note first. Raises SpellingError for a scale that has not seven notes, OutOfRange
    when the upper voice passes the last fret. Source: diatonic harmonisation, common-practice theory.
    """
    tonic, form = spec.tonics[0], scale(spec.scale, spec.tonics[0].name)
    if len(form.up) != 7:
        raise SpellingError(f"{spec.interval} need a scale of seven notes", hint="choose a major, minor or mode")
    span = register(tonic.name, tonic.octave, spec.octaves, instrument, spec.left_hand.limits())
    lowest = span.lowest
    while True:
        up = _pairs(ladder(form, lowest, instrument), spec, form, instrument)
        if tonic.octave is not None or all(_lies_on_two_strings(pair, spec, instrument) for pair in up):
            break
        lowest = lowest.up(OCTAVE)  # too low for two strings: the lowest string cannot take both notes
    down = _pairs(ladder(form, lowest, instrument, descending=True), spec, form, instrument)[::-1]
    pairs = _directed(up, down, spec.direction)
    if spec.manner == "broken":
        return line_passage([pitch for pair in pairs for pitch in pair], spec, form.key_fifths)
    return chord_passage(pairs, spec, form.key_fifths)


def _lies_on_two_strings(pair: _Pair, spec: DoubleStopsSpec, instrument: Instrument) -> bool:
    """True where two strings hold the pair with at most three frets between the fingers, or one of them open."""
    strings = spec.left_hand.strings or range(1, instrument.string_count + 1)
    spots = [
        {string: pitch.sounding_midi - instrument.tuning.open_midis[string - 1] for string in strings} for pitch in pair
    ]
    return any(
        lower != upper and 0 <= low <= instrument.highest_fret and 0 <= high <= instrument.highest_fret
        and (abs(low - high) <= WIDEST_FRETS or not low or not high)
        for lower, low in spots[0].items()
        for upper, high in spots[1].items()
    )  # fmt: skip


def _pairs(steps: Ladder, spec: DoubleStopsSpec, form: Scale, instrument: Instrument) -> list[_Pair]:
    out = []
    for step in range(steps_in(form, spec.octaves) + 1):
        lower, upper = steps.at(step), steps.at(step + STEPS_ABOVE[spec.interval])
        if lower is None or upper is None or upper.sounding_midi > instrument.highest:
            raise OutOfRange(
                f"{spec.interval} over {spec.octaves} octaves pass the last fret at {upper or lower}",
                hint=_nearest(steps, spec, instrument),
            )
        out.append((lower, upper))
    return out


def _nearest(steps: Ladder, spec: DoubleStopsSpec, instrument: Instrument) -> str:
    """The most octaves that fit, or a smaller interval."""
    for octaves in range(spec.octaves - 1, 0, -1):
        upper = steps.at(7 * octaves + STEPS_ABOVE[spec.interval])
        if upper is not None and upper.sounding_midi <= instrument.highest:
            return f"write octaves: {octaves}"
    return "start lower, or choose a smaller interval"


def _directed(up: list[_Pair], down: list[_Pair], direction: str) -> list[_Pair]:
    if direction in ("up", "down"):
        return up if direction == "up" else down
    first, second = (up, down) if direction == "up and down" else (down, up)
    return [*first, *second[1:]]
