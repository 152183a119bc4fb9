"""An independent judge of part-writing: it reads pitch names and knows the rules, and nothing of the composer.

Rules (common-practice part-writing, from memory; no source text): the leading note rises a semitone to the tonic; the
seventh of V7 falls a step; an augmented sixth opens a semitone each way to the octave on the fifth degree; the fourth
and sixth over the dominant bass fall by step; the lowered second falls; no voice moves by an augmented interval; no
two voices make the same perfect fifth or octave twice running; leading note, seventh and altered notes are not doubled.

Exceptions, each counted here and nowhere else: (a) the fifths of the German sixth on its way to V, between bass and an
inner voice; (b) V before V7: the leading note stays; (c) the third over the dominant bass may rise to the seventh of
V7; (d) the semitone on one letter (4 to raised 4) is a step; (e) the lowered second falls a diminished third to the
leading note.
"""

from itertools import combinations, pairwise

LETTERS = "CDEFGAB"
NATURAL = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
SIGNS = {"bb": -2, "b": -1, "": 0, "#": 1, "##": 2}


class Sound:
    """A pitch read from its name."""

    def __init__(self, text):
        self.letter, self.alter, self.octave = text[0], SIGNS[text[1:-1]], int(text[-1])
        self.name = text[:-1]
        self.midi = 12 * (self.octave + 1) + NATURAL[self.letter] + self.alter
        self.height = 7 * self.octave + LETTERS.index(self.letter)


def names_from(tonic, steps_and_semitones):
    """Names at so many letters and semitones above a tonic's name: B flat with (2, 3) gives D flat."""
    found = {}
    base = NATURAL[tonic[0]] + SIGNS[tonic[1:]]
    for label, (steps, semitones) in steps_and_semitones.items():
        letter = LETTERS[(LETTERS.index(tonic[0]) + steps) % 7]
        alter = (base + semitones - NATURAL[letter] + 6) % 12 - 6
        found[label] = letter + {value: sign for sign, value in SIGNS.items()}[alter]
    return found


DEGREES = {
    "1": (0, 0), "b2": (1, 1), "2": (1, 2), "#2": (1, 3), "b3": (2, 3), "3": (2, 4), "4": (3, 5), "#4": (3, 6),
    "5": (4, 7), "b6": (5, 8), "6": (5, 9), "7": (6, 11),
}  # fmt: skip
MUST_MOVE = {
    # chord: {degree: {goal degree: semitones}}
    "V": {"7": {"1": (1,)}},
    "V7": {"7": {"1": (1,)}, "4": {"3": (-1,), "b3": (-2,)}},
    "augmented sixth": {"b6": {"5": (-1,)}, "#4": {"5": (1,)}, "#2": {"3": (1,)}},
    "I6/4": {"1": {"7": (-1,)}, "3": {"2": (-2,), "4": (1,)}, "b3": {"2": (-1,), "4": (2,)}},
    "Neapolitan": {"b2": {"7": (-2,), "1": (-1,)}},
}
SINGLE = {"V": "7", "V7": "7 4", "augmented sixth": "b6 #4 #2 b3", "Neapolitan": "b2", "I": "3 b3"}


def faults(chords, progression, tonic):
    """What a strict teacher would mark, as (chord number, words). `chords` holds rows of names from the bass up."""
    degrees = names_from(tonic, DEGREES)
    rows = [[Sound(text) for text in chord] for chord in chords]
    found = []
    for number, (row, numeral) in enumerate(zip(rows, progression, strict=True)):
        if any(low.midi >= high.midi for low, high in pairwise(row)):
            found.append((number, "voices cross or meet"))
        for degree in SINGLE.get(numeral, "").split():
            if sum(sound.name == degrees[degree] for sound in row) > 1:
                found.append((number, f"{degree} is doubled"))
        if numeral == "augmented sixth":
            found += [(number, what) for what in sixth_faults(row, degrees)]
    for number, ((before, after), (numeral, following)) in enumerate(
        zip(pairwise(rows), pairwise(progression), strict=True)
    ):
        found += [(number, what) for what in move_faults(before, after, numeral, following, degrees)]
    return found


def sixth_faults(row, degrees):
    """The augmented sixth is six letters wide (a sixth) and ten semitones, octaves aside, and opens to an octave."""
    bass = row[0]
    top = next(sound for sound in row if sound.name == degrees["#4"])
    if (top.height - bass.height) % 7 != 5 or (top.midi - bass.midi) % 12 != 10:
        yield "not an augmented sixth"


def move_faults(before, after, numeral, following, degrees):
    """Faults between two chords."""
    yield from tendency_faults(before, after, numeral, degrees)
    for voice, (a, b) in enumerate(zip(before, after, strict=True)):
        if abs(b.midi - a.midi) > (7 if voice else 12):
            yield f"voice {voice} leaps {b.midi - a.midi} semitones"
        if is_augmented(a, b):
            yield f"voice {voice} moves by an augmented interval"
    for low, high in combinations(range(len(before)), 2):
        kind = perfect(before[low], before[high])
        if not kind or kind != perfect(after[low], after[high]) or before[low].midi == after[low].midi:
            continue
        excused = numeral == "augmented sixth" and kind == "fifth" and low == 0 and high < len(before) - 1
        if not excused:
            yield f"parallel {kind}s between voices {low} and {high}"
    top = after[-1].midi - before[-1].midi
    bass = after[0].midi - before[0].midi
    if top * bass > 0 and abs(top) > 2 and perfect(after[0], after[-1]):
        yield f"outer voices run into a {perfect(after[0], after[-1])}"


def tendency_faults(before, after, numeral, degrees):
    """Notes that must move and do not move where they must."""
    reached = {sound.name for sound in after}
    for degree, goals in MUST_MOVE.get(numeral, {}).items():
        for voice, (a, b) in enumerate(zip(before, after, strict=True)):
            if a.name != degrees[degree]:
                continue
            stays = a.name in reached and a.midi == b.midi
            if not stays and not any(b.name == degrees[to] and b.midi - a.midi in by for to, by in goals.items()):
                yield f"{degree} in voice {voice} goes to {b.name}{b.octave}"


def is_augmented(a, b):
    """An augmented second, fourth or wider; a semitone on one letter is none."""
    low, high = (a, b) if a.height <= b.height else (b, a)
    steps, semitones = high.height - low.height, high.midi - low.midi
    widest = {1: 2, 2: 4, 3: 5, 4: 7, 5: 9, 6: 11, 0: 99}[steps % 7] + 12 * (steps // 7)
    return semitones > widest


def perfect(low, high):
    """`octave`, `fifth` or nothing, octaves aside."""
    steps, semitones = (high.height - low.height) % 7, (high.midi - low.midi) % 12
    return {(0, 0): "octave", (4, 7): "fifth"}.get((steps, semitones), "")
