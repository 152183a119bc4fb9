"""Textures: whether a passage is one line, a chord broken over the strings, or a mixture."""

from enum import StrEnum
from itertools import pairwise

from engraver.fingering.plucking_table import plucking_table
from engraver.fingering.strokes import Attack
from engraver.theory.passage import Passage


class Texture(StrEnum):
    """What the plucking hand has before it."""

    LINE = "line"
    BROKEN_CHORD = "broken chord"
    MIXED = "mixed"


def texture_of(passage: Passage, attacks: tuple[Attack, ...]) -> Texture:
    """LINE for one voice of single notes, BROKEN_CHORD when these leap over strings or keep changing them, else MIXED.

    Source: chosen by us; the two bounds are in tables/plucking.yaml.
    """
    if any(len(attack) > 1 for attack in attacks) or len({note.voice for note in passage.notes}) > 1:
        return Texture.MIXED
    return Texture.BROKEN_CHORD if _is_broken_chord([attack[0].string for attack in attacks]) else Texture.LINE


def _is_broken_chord(strings: list[int]) -> bool:
    """True when the line skips strings often, or changes strings all the time and soon turns back."""
    bounds = plucking_table().broken_chord
    steps = [b - a for a, b in pairwise(strings)]
    moves = [step for step in steps if step]
    if not moves:
        return False
    if sum(abs(move) > 1 for move in moves) >= bounds.leap_share * len(steps):
        return True
    turns = sum((a > 0) != (b > 0) for a, b in pairwise(moves))
    return len(moves) >= bounds.crossing_share * len(steps) and len(moves) <= bounds.notes_to_turn * (turns + 1)
