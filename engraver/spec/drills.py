"""Drills of technique: slurs, finger orders, tremolo, shifts, barre, string crossings. Field names are the book format.

A drill prescribes strings and fingers itself; what a teacher leaves out has a default that depends on the rest of the
entry (a triple slur goes in triplets, a drill with open strings lies in first position).
"""

from collections.abc import Mapping
from itertools import pairwise
from typing import Annotated, Any, Literal

from pydantic import Field, model_validator

from engraver.spec.drill_fields import (
    Counts,
    FingerRow,
    HeldStrings,
    Orders,
    SlurRow,
    SlurRows,
    Strings,
    Times,
    filled,
    given,
    hand_position,
    items_of,
    rows_of,
)
from engraver.spec.fields import ChordField, ChordSymbolField, KeyField, ScaleField, TonicField, teacher_error
from engraver.spec.hands import FretNumber, StepField, StoppingFinger, StringNumber
from engraver.spec.played import MOST_TONICS, PlayedSpec
from engraver.theory.passage import PluckingFinger

Convention = Literal["fewest signs", "sharps up, flats down"]
TREMOLO = tuple((finger,) for finger in map(PluckingFinger, "pami"))
"""Thumb, ring, middle, index: the usual order of the tremolo (common practice)."""


class DrillSpec(PlayedSpec):
    """What finger drills share: a key if they are meant in one, else how notes without a key are spelled."""

    key: KeyField | None = None
    convention: Convention = "fewest signs"


class SlursSpec(DrillSpec):
    """Slurs between fingers in one position, string after string: `{kind: slurs, fingers: [1, 2]}`.

    `fingers` is one group or a list of groups, 0 for the open string. Ascending and descending groups are sorted so;
    triple and compound groups are played as written (two fingers of a compound slur go there and back). `lower` fingers
    slur on the next lower string at the same time: `fingers: [1, 3], lower: [2, 4]`.
    """

    kind: Literal["slurs"]
    fingers: SlurRows
    lower: SlurRow | None = None
    manner: Literal["ascending", "descending", "triple", "compound", "trill"] = "ascending"
    strings: Strings = (6, 5, 4, 3, 2, 1)
    and_back: bool = False
    position: FretNumber = 5
    times: Times | None = None
    trill_notes: Annotated[int, Field(ge=4, le=32)] = 8

    @model_validator(mode="before")
    @classmethod
    def _defaults(cls, data: Any) -> Any:
        rows = rows_of(given(data, "fingers"))
        threes = {"triple": (3,), "compound": (2, 3)}.get(str(given(data, "manner")), ())
        rhythm = "triplets" if rows and all(len(row) in threes for row in rows) else None
        rhythm = "semiquavers" if given(data, "manner") == "trill" else rhythm
        opens = any(0 in row for row in rows)
        strings = (5, 4, 3, 2, 1) if given(data, "lower") else None
        return filled(data, rhythm=rhythm, strings=strings, position=hand_position(data) or (1 if opens else None))

    @property
    def groups(self) -> tuple[tuple[int, ...], ...]:
        """The fingers under each slur, in playing order."""
        return tuple(self._ordered(row) for row in self.fingers)

    @property
    def lower_group(self) -> tuple[int, ...]:
        """The fingers that slur along on the next lower string, in playing order; none for single slurs."""
        return self._ordered(self.lower) if self.lower else ()

    def _ordered(self, row: tuple[int, ...]) -> tuple[int, ...]:
        if self.manner in ("ascending", "descending"):
            return tuple(sorted(row, reverse=self.manner == "descending"))
        if self.manner == "trill":
            return (row * self.trill_notes)[: self.trill_notes]
        return (*row, row[0]) if self.manner == "compound" and len(row) == 2 else row

    @model_validator(mode="after")
    def _sounding(self) -> "SlursSpec":
        for row in self.fingers:
            if self.manner == "trill" and len(row) != 2:
                raise teacher_error(f"a trill with {len(row)} fingers", "name its two fingers: fingers: [1, 2]")
            if self.manner == "triple" and len(row) != 3:
                raise teacher_error(f"a triple slur with {len(row)} fingers", "name three fingers: fingers: [1, 2, 4]")
        for group in (*self.groups, self.lower_group):
            if any(one == other for one, other in pairwise(group)):
                raise teacher_error(f"a slur from finger {group[0]} to itself", "let different fingers follow")
        if self.lower and any(len(group) != len(self.lower_group) for group in self.groups):
            raise teacher_error("the double slur has more fingers on one string", "name as many lower fingers")
        if any(one == other != 0 for group in self.groups for one, other in zip(group, self.lower_group, strict=False)):
            raise teacher_error("one finger would slur on two strings at once", "give each string its own fingers")
        return self


class FingerOrdersSpec(DrillSpec):
    """Finger orders: one row, several, or `all` (no rows here) in lexicographic order; `held` fingers stay down.

    Each order is played on each of the `strings`; `across` lays its notes on the strings in turn. Every held finger
    lies on a string of its own, the nearest free ones unless `held_string` names them.
    """

    kind: Literal["finger orders"]
    orders: Orders = ()
    strings: Strings = (1,)
    and_back: bool = False
    across: bool = False
    position: FretNumber = 5
    times: Times | None = None
    held: Annotated[tuple[StoppingFinger, ...], Field(max_length=3)] = ()
    held_string: HeldStrings = ()

    @model_validator(mode="before")
    @classmethod
    def _defaults(cls, data: Any) -> Any:
        across = (4, 3, 2, 1) if given(data, "across") is True else None
        rows, free = rows_of(given(data, "orders")), 4 - len(items_of(given(data, "held")))
        threes = all(len(row) == 3 for row in rows) if rows else free == 3
        return filled(data, strings=across, position=hand_position(data), rhythm="triplets" if threes else None)

    @model_validator(mode="after")
    def _free_strings(self) -> "FingerOrdersSpec":
        held = self.held_strings
        if len(set(self.held)) < len(self.held):
            raise teacher_error("a held finger is named twice", "name each held finger once")
        busy = sorted({finger for row in self.orders for finger in row} & set(self.held))
        if busy:
            raise teacher_error(f"finger {busy[0]} is held and plays", "leave held fingers out of the orders")
        if len(set(held)) < len(self.held) or set(held) & set(self.strings):
            raise teacher_error(
                f"{len(self.held)} held fingers find no string of their own", "name a free string for each: held_string"
            )
        return self

    @property
    def held_strings(self) -> tuple[int, ...]:
        """The string of each held finger, in the order of `held`."""
        if self.held_string:
            return self.held_string[: len(self.held)]
        low, high = max(self.strings), min(self.strings)
        near = [low + 1 + step for step in range(6 - low)] + [high - 1 - step for step in range(high - 1)]
        return tuple(near[: len(self.held)])


class TremoloSpec(PlayedSpec):
    """Tremolo over a progression, a chord a bar: the thumb walks the basses, the fingers repeat one treble string."""

    kind: Literal["tremolo"]
    progression: Annotated[tuple[ChordSymbolField, ...], Field(min_length=1, max_length=64)] = ("Am", "E7", "Am")
    key: KeyField | None = None
    formula: Annotated[tuple[StepField, ...], Field(min_length=2, max_length=12)] = TREMOLO
    string: StringNumber = 1
    thumb_strings: Annotated[tuple[StringNumber, ...], Field(max_length=16)] = ()
    closing_chord: bool = True

    @model_validator(mode="before")
    @classmethod
    def _defaults(cls, data: Any) -> Any:
        formula = given(data, "formula") or given(given(data, "right_hand"), "formula")
        return filled(data, formula=formula, rhythm="semiquavers")


class ShiftsSpec(DrillSpec):
    """Shifts along strings: from position to position, or a scale on one string.

    In turn: every finger of the row in each position. Guide: the `guide` finger (the last of the row unless named)
    ends each position and begins the next. Leap: one finger a position, taking turns.
    """

    kind: Literal["shifts"]
    fingers: FingerRow | None = None
    manner: Literal["in turn", "guide", "leap"] = "in turn"
    guide: StoppingFinger | None = None
    strings: Strings = (1,)
    positions: Annotated[tuple[FretNumber, ...], Field(min_length=2, max_length=24)] = (1, 3, 5, 7)
    and_back: bool = True
    scale: ScaleField | None = None
    tonics: Annotated[tuple[TonicField, ...], Field(max_length=MOST_TONICS)] = ()

    @model_validator(mode="before")
    @classmethod
    def _defaults(cls, data: Any) -> Any:
        return filled(data, manner="guide" if given(data, "guide") else None)

    @model_validator(mode="after")
    def _named(self) -> "ShiftsSpec":
        if (self.scale is None) != (not self.tonics):
            raise teacher_error(
                "a scale along a string needs both its form and its tonic", "write scale: major and tonics: [C]"
            )
        if self.guide is not None and self.guide not in self.row:
            raise teacher_error(f"the guide finger {self.guide} does not play", "name it among the fingers")
        if any(one == other for one, other in pairwise(self.positions)):
            raise teacher_error("two positions in a row are the same", "name different positions to shift between")
        return self

    @property
    def row(self) -> tuple[int, ...]:
        """The fingers of each position; the first finger alone where none are named."""
        return self.fingers or (1,)


class BarreSpec(DrillSpec):
    """Barre drills at one fret after another, a struck bar and a broken bar each.

    Full and partial: the first finger over all the `strings`. With `chord` the movable grip of that chord with its root
    on string 6. Hinge: the tip keeps a bass note while the rest of the finger lifts and lies down again.
    """

    kind: Literal["barre"]
    manner: Literal["partial", "full", "hinge"] = "full"
    frets: Annotated[tuple[FretNumber, ...], Field(min_length=1, max_length=24)] = (5,)
    strings: Annotated[tuple[StringNumber, ...], Field(min_length=2, max_length=10)] = (6, 5, 4, 3, 2, 1)
    chord: ChordField | None = None

    @model_validator(mode="before")
    @classmethod
    def _defaults(cls, data: Any) -> Any:
        defaults = {"partial": (3, 2, 1), "hinge": (5, 3, 2, 1)}
        return filled(data, strings=defaults.get(str(given(data, "manner"))))

    @model_validator(mode="after")
    def _connected(self) -> "BarreSpec":
        if len(set(self.strings)) < len(self.strings):
            raise teacher_error("a string is named twice", "name each string under the barre once")
        if self.chord is not None and self.manner != "full":
            raise teacher_error(f"a {self.manner} barre with a chord grip", "write manner: full, or leave chord out")
        return self


class CrossingsSpec(DrillSpec):
    """Alternation on open or stopped strings: each string so many times, in the order given.

    `times` may be a row, one way through the strings for each. `frets`: one for all strings or one for each, 0 open.
    """

    kind: Literal["string crossings"]
    strings: Annotated[tuple[StringNumber, ...], Field(min_length=1, max_length=64)] = (1, 2, 3)
    times: Counts = (4,)
    frets: tuple[Annotated[int, Field(ge=0, le=24)], ...] = ()
    and_back: bool = True

    @model_validator(mode="before")
    @classmethod
    def _defaults(cls, data: Any) -> Any:
        hand = given(data, "right_hand") or {}
        if (
            not isinstance(data, Mapping)
            or not isinstance(hand, Mapping)
            or hand.get("alternate")
            or hand.get("formula")
        ):
            return data
        return {**data, "right_hand": {**hand, "alternate": ["i", "m"]}}

    @model_validator(mode="after")
    def _matched(self) -> "CrossingsSpec":
        if len(self.frets) > 1 and len(self.frets) != len(self.strings):
            raise teacher_error(
                f"{len(self.frets)} frets for {len(self.strings)} strings", "name one fret, or one for each string"
            )
        return self
