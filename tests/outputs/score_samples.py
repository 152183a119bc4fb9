"""Small invented scores, one for each thing that a file writer can get wrong.

A note is written as "F#3 4/4 4 m": pitch, string/fret, fretting finger, plucking letter (may be left out).
"""

from dataclasses import replace
from fractions import Fraction

from engraver.fretboard.tuning import Tuning
from engraver.score.model import (
    Barline,
    Beam,
    Element,
    Measure,
    Notation,
    NoteValue,
    Score,
    ScoreNote,
    Voice,
)
from engraver.theory.passage import Dynamic, PluckingFinger
from engraver.theory.pitch import SpelledPitch
from engraver.theory.rhythm import Metre, TempoRange

WHOLE, HALF, QUARTER, QUAVER, SEMIQUAVER = (NoteValue(base) for base in (1, 2, 4, 8, 16))
TRIPLET = NoteValue(8, actual=3, normal=2)
SEXTUPLET = NoteValue(16, actual=6, normal=4)


def tuning(name: str, *from_lowest: str) -> Tuning:
    return Tuning(name, tuple(SpelledPitch.parse(text) for text in reversed(from_lowest)))


STANDARD = tuning("standard", "E2", "A2", "D3", "G3", "B3", "E4")
DROP_D = tuning("drop d", "D2", "A2", "D3", "G3", "B3", "E4")


def note(text: str, **marks: bool) -> ScoreNote:
    pitch, place, finger, *plucking = text.split()
    string, fret = place.split("/")
    plucked = PluckingFinger(plucking[0]) if plucking else None
    return ScoreNote(SpelledPitch.parse(pitch), int(string), int(fret), int(finger), plucked, **marks)


def voice(number: int, start: int | Fraction, *events: tuple) -> Voice:
    """Events are (value, notes) or (value, notes, marks): notes a text, a note, a list of them, or () for a rest."""
    elements, onset = [], Fraction(start)
    for value, notes, *marks in events:
        many = notes if isinstance(notes, (list, tuple)) else [notes]
        heads = tuple(note(n) if isinstance(n, str) else n for n in many)
        elements.append(Element(onset, value, heads, **(marks[0] if marks else {})))
        onset += value.quarters
    return Voice(number, tuple(elements))


def score(*measures: Measure, key: int = 0, metre: str = "4/4", **settings: object) -> Score:
    beats, unit = metre.split("/")
    settings.setdefault("tuning", STANDARD)
    return Score(measures, key, Metre(int(beats), int(unit)), **settings)


def beamed(value: NoteValue, *notes: str, **marks: object) -> list[tuple]:
    """A beamed group, its first and last note also those of a tuplet when the value is one."""
    tuplet = value.actual != value.normal
    out = []
    for index, text in enumerate(notes):
        first, last = index == 0, index == len(notes) - 1
        beam = Beam.BEGIN if first else Beam.END if last else Beam.CONTINUE
        out.append((value, text, {"beam": beam, "tuplet_start": tuplet and first, "tuplet_stop": tuplet and last}))
    return out


C_MAJOR = [
    "C3 5/3 3 i",
    "D3 4/0 0 m",
    "E3 4/2 2 i",
    "F3 4/3 3 m",
    "G3 3/0 0 i",
    "A3 3/2 2 m",
    "B3 2/0 0 i",
    "C4 2/1 1 m",
]


def one_line() -> Score:
    """One octave of C major in quavers, with tempo, a position numeral and a reversal mark."""
    up = voice(1, 0, *beamed(QUAVER, *C_MAJOR[:4]), *beamed(QUAVER, *C_MAJOR[4:]))
    down = voice(1, 4, *beamed(QUAVER, *reversed(C_MAJOR[4:])), (HALF, "C3 5/3 3 i"))
    first = replace(up.elements[0], position=9)
    turn = replace(down.elements[0], reversal=True)
    return score(
        Measure(1, (Voice(1, (first, *up.elements[1:])),)),
        Measure(2, (Voice(1, (turn, *down.elements[1:])),), Barline.FINAL),
        tempo=TempoRange(60, 96, Fraction(1)),
    )


def planting() -> Score:
    """A note plucked by the thumb while i, m and c are laid on their strings."""
    laid = {"planted": tuple(map(PluckingFinger, "imc"))}
    thumb = note("C3 5/3 3 p", show_plucking=True)
    events = (HALF, [thumb], laid), (HALF, "G3 3/0 0 i")
    return score(Measure(1, (voice(1, 0, *events),), Barline.FINAL))


def tie_over_bar() -> Score:
    """A dotted half tied over the bar line to a quarter, which is tied on to a half."""
    begin, end = note("G3 3/0 0 i", tie_start=True), note("G3 3/0 0", tie_stop=True)
    both = note("G3 3/0 0", tie_stop=True, tie_start=True)
    return score(
        Measure(1, (voice(1, 0, (QUARTER, "E3 4/2 2 m"), (NoteValue(2, 1), begin)),)),
        Measure(2, (voice(1, 4, (QUARTER, both), (HALF, end), (QUARTER, ())),), Barline.FINAL),
    )


def triplets() -> Score:
    """Beamed triplet quavers, unbeamed triplet crotchets, a triplet with a rest inside."""
    crotchet = NoteValue(4, actual=3, normal=2)
    unbeamed = [
        (crotchet, "E4 1/0 0 a", {"tuplet_start": True}),
        (crotchet, ()),
        (crotchet, "F4 1/1 1 a", {"tuplet_stop": True}),
    ]
    groups = [*beamed(TRIPLET, *C_MAJOR[:3]), *beamed(TRIPLET, *C_MAJOR[3:6])]
    return score(Measure(1, (voice(1, 0, *groups, *unbeamed),), Barline.FINAL))


def sextuplets() -> Score:
    six = beamed(SEXTUPLET, *C_MAJOR[:6])
    return score(Measure(1, (voice(1, 0, *six, *six),), Barline.FINAL), metre="2/4")


def dotted() -> Score:
    """Dotted quaver and semiquaver both ways round, a dotted crotchet, a double-dotted crotchet."""
    long, short = NoteValue(8, 1), SEMIQUAVER
    begin, end = {"beam": Beam.BEGIN}, {"beam": Beam.END}
    return score(
        Measure(1, (voice(
            1, 0,
            (long, "C3 5/3 3 i", begin), (short, "D3 4/0 0 m", end),
            (short, "E3 4/2 2 i", begin), (long, "F3 4/3 3 m", end),
            (NoteValue(4, 1), "G3 3/0 0 i"), (QUAVER, "A3 3/2 2 m"),
        ),)),
        Measure(2, (voice(1, 4, (NoteValue(4, 2), "B3 2/0 0 i"), (SEMIQUAVER, "C4 2/1 1 m"), (HALF, ())),)),
    )  # fmt: skip


def chords() -> Score:
    """Two, three and four notes at once."""
    return score(
        Measure(1, (voice(
            1, 0,
            (QUARTER, ["C4 2/1 1 i", "E4 1/0 0 m"]), (QUARTER, ["G3 3/0 0 i", "B3 2/0 0 m", "F4 1/1 1 a"]),
            (HALF, ["C3 5/3 3 p", "E3 4/2 2 i", "G3 3/0 0 m", "C4 2/1 1 a"]),
        ),), Barline.FINAL),
    )  # fmt: skip


def two_voices() -> Score:
    """A melody over a bass; in the second bar the bass is silent for a crotchet without a written rest."""
    return score(
        Measure(1, (
            voice(1, 0, *beamed(QUAVER, "E4 1/0 0 a", "F4 1/1 1 m", "G4 1/3 4 a", "E4 1/0 0 m"), (HALF, "C4 2/1 1 i")),
            voice(2, 0, (WHOLE, "C3 5/3 3 p")),
        )),
        Measure(2, (
            voice(1, 4, (WHOLE, "B3 2/0 0 i")),
            voice(2, 5, (QUARTER, "G2 6/3 3 p"), (HALF, ["G2 6/3 3 p", "D3 4/0 0 i"])),
        ), Barline.FINAL),
    )  # fmt: skip


def loudness() -> Score:
    """Piano from the start, a stressed note, forte in the bass voice for both, then a tie under fortepiano."""
    upper = ((QUARTER, "G3 3/0 0 i", {"dynamic": Dynamic.P}), (QUARTER, "A3 3/2 2 m", {"dynamic": Dynamic.SFZ}))
    bass = (QUARTER, "C3 5/3 3 p", {"dynamic": Dynamic.F})
    tied, last = note("C4 2/1 1 i", tie_start=True), note("C4 2/1 1 i", tie_stop=True)
    return score(
        Measure(1, (
            voice(1, 0, *upper, (QUARTER, "G3 3/0 0 i"), (QUARTER, [tied], {"dynamic": Dynamic.FP})),
            voice(2, 2, bass, (QUARTER, ())),
        )),
        Measure(2, (voice(1, 4, (HALF, [last]), (HALF, "B3 2/0 0 m")),), Barline.FINAL),
    )  # fmt: skip


def drop_d() -> Score:
    return score(
        Measure(1, (voice(1, 0, (HALF, "D2 6/0 0 p"), (HALF, "G2 6/5 4 p")),), Barline.FINAL), key=2, tuning=DROP_D
    )


def flat_tuning() -> Score:
    """A tuning with a flat in its name: the fifth string at A flat, the sixth at E flat."""
    low = tuning("a slack one", "Eb2", "Ab2", "D3", "G3", "B3", "E4")
    return score(
        Measure(
            1,
            (voice(1, 0, (HALF, "Eb2 6/0 0 p"), (HALF, "Bb2 5/2 2 p")),),
        ),
        key=-3,
        tuning=low,
    )


def capo() -> Score:
    return replace(one_line(), capo=3)


def in_key(fifths: int) -> Score:
    return score(Measure(1, (voice(1, 0, (WHOLE, "D3 4/0 0 p")),), Barline.FINAL), key=fifths)


def double_signs() -> Score:
    """F double sharp, B double flat, and the naturals and single signs after them, each with its sign."""
    signs = [
        "Fx3 3/0 0 i",
        "F#3 4/4 4 m",
        "F3 4/3 3 i",
        "Bbb3 3/2 2 m",
        "Bb3 3/3 3 i",
        "B3 2/0 0 m",
        "E#3 4/3 3 i",
        "Cb4 2/0 0 m",
    ]
    events = [(QUAVER, note(text, accidental=True)) for text in signs]
    return score(Measure(1, (voice(1, 0, *events),), Barline.FINAL))


def cautionary() -> Score:
    """F sharp with its sign, then in the next bar F natural with a reminder, then F without any."""
    sharp, reminder = note("F#3 4/4 4 i", accidental=True), note("F3 4/3 3 m", cautionary=True)
    return score(
        Measure(1, (voice(1, 0, (WHOLE, sharp)),)),
        Measure(2, (voice(1, 4, (HALF, reminder), (HALF, "F3 4/3 3 i")),), Barline.FINAL),
    )


def repeats() -> Score:
    """A bar played once, then two bars played twice."""
    return score(
        Measure(1, (voice(1, 0, (WHOLE, "C3 5/3 3 i")),)),
        Measure(2, (voice(1, 4, (WHOLE, "D3 4/0 0 m")),), repeat_start=True),
        Measure(3, (voice(1, 8, (WHOLE, "E3 4/2 2 i")),), Barline.REPEAT_END),
    )


def slurs() -> Score:
    """A hammer-on, a pull-off over the bar line, and three notes under one slur, up and down."""
    events = [
        (QUARTER, note("F4 1/1 1 i", slur_start=True)), (QUARTER, note("G4 1/3 3", slur_stop=True)),
        (QUARTER, "C4 2/1 1 m"), (QUARTER, note("A4 1/5 4 i", slur_start=True)),
    ]  # fmt: skip
    after = [
        (QUARTER, note("G4 1/3 2", slur_stop=True)), (QUARTER, note("C4 2/1 1 m", slur_start=True)),
        (QUARTER, "D4 2/3 3"), (QUARTER, note("C4 2/1 1", slur_stop=True)),
    ]  # fmt: skip
    return score(Measure(1, (voice(1, 0, *events),)), Measure(2, (voice(1, 4, *after),), Barline.FINAL))


def slurred_thirds() -> Score:
    """Two notes at once slurred to two others, each on its own string, and on again to a third pair."""
    pairs = [
        [note("C4 2/1 1 i", slur_start=True), note("E4 1/0 0 m", slur_start=True)],
        [note("D4 2/3 4", slur_stop=True, slur_start=True), note("F4 1/1 1", slur_stop=True, slur_start=True)],
        [note("C4 2/1 1", slur_stop=True), note("E4 1/0 0", slur_stop=True)],
    ]
    return score(Measure(1, (voice(1, 0, *((QUARTER, pair) for pair in pairs)),), Barline.FINAL), metre="3/4")


def compound() -> Score:
    """Six-eight, the beat a dotted crotchet."""
    run = [*beamed(QUAVER, *C_MAJOR[:3]), *beamed(QUAVER, *C_MAJOR[3:6])]
    bar = Measure(1, (voice(1, 0, *run),), Barline.FINAL)
    return score(bar, metre="6/8", tempo=TempoRange(63, 63, Fraction(3, 2)))


def upbeat() -> Score:
    return score(
        Measure(1, (voice(1, 0, (QUARTER, "G3 3/0 0 i")),)),
        Measure(2, (voice(1, 1, (WHOLE, "C4 2/1 1 m")),), Barline.FINAL),
    )


def rest_bar() -> Score:
    return score(
        Measure(1, (voice(1, 0, (NoteValue(2, 1), ())),)),
        Measure(2, (voice(1, 3, (NoteValue(2, 1), "C4 2/1 1 m")),), Barline.FINAL),
        metre="3/4",
    )


def unison() -> Score:
    """B held in the bass on the third string while the melody strikes B on the second."""
    upper = voice(1, 0, (QUARTER, "C4 2/1 1 m"), (QUARTER, "B3 2/0 0 i"), (HALF, "C4 2/1 1 m"))
    return score(Measure(1, (upper, voice(2, 0, (WHOLE, "B3 3/4 4 p"))), Barline.FINAL))


def staff_only() -> Score:
    return replace(one_line(), notation=Notation.STAFF)


def staff_only_drop_d() -> Score:
    return replace(drop_d(), notation=Notation.STAFF)


def tablature_only() -> Score:
    return replace(two_voices(), notation=Notation.TABLATURE)


SAMPLES = {
    build.__name__: build()
    for build in (
        one_line, tie_over_bar, triplets, sextuplets, dotted, chords, two_voices, loudness, drop_d, flat_tuning, capo,
        double_signs, cautionary, repeats, slurs, slurred_thirds, compound, upbeat, rest_bar, unison, staff_only,
        staff_only_drop_d, tablature_only,
    )
} | {f"key {fifths:+d}": in_key(fifths) for fifths in range(-7, 8)}  # fmt: skip
