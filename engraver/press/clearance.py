"""House style that shows only on the engraved picture: signs that meet, crowded digits, crooked rows, the legend.

Marks are digits, circles, plucking letters, position numerals, barres and their lines; each is held against every
other shape of its system but staff and ledger lines (a digit beside a head below the staff crosses the ledger line of
that head, and its white ground parts the two). Source: rules of the editions we print, chosen by us.
"""

from collections.abc import Iterable, Iterator, Sequence

from engraver.outputs.engraving import EngravingJob, engrave
from engraver.outputs.outlines import Shape, touching
from engraver.outputs.shapes import coloured, shapes
from engraver.press.plates import Draft
from engraver.press.settings import Settings
from engraver.score.signs import Sign

MARKS = frozenset({
    "digit", "over digit", "ring", "node", "numeral", "letter", "line", "loudness", "hairpin", "bracket", "direction",
    "roll",
})  # fmt: skip
GROUND = frozenset({"staff", "tab staff", "ledger"})
AIR_SP = {"accidental": 0.04, "stem": 0.08, "head": 0.16}
"""The least air between a digit and its neighbours (chosen by us): a sharp above or below may come nearest."""
ROW_SP = 0.02
"""How far the signs of a row may stand apart in height."""
ROWS = ("letter", "numeral", "node", "loudness")
DRAWN_AS = {
    Sign.STRING: {"ring"},
    Sign.PLUCKING: {"letter"},
    Sign.SLUR: {"slur", "tab slur"},
    Sign.TIE: {"tie", "tab tie"},
    Sign.FINGER: {"digit", "over digit"},
    Sign.OCTAVE_CLEF: {"clef"},
    Sign.TABLATURE: {"fret"},
}
"""Signs of the legend that are told apart by their shape."""

Systems = tuple[tuple[Shape, ...], ...]


def measured(drafts: Sequence[Draft], settings: Settings, workers: int = 0) -> tuple[Systems, ...]:
    """For each exercise the shapes of its systems, as they are printed. Raises EngravingFailed as engraving does."""
    jobs = [EngravingJob(draft.exercise.id, coloured(draft.source)) for draft in drafts]
    done = engrave(jobs, settings.engraving, workers=workers)
    return tuple(tuple(tuple(shapes(system.svg)) for system in done[d.exercise.id].systems) for d in drafts)


def clearance_warnings(draft: Draft, systems: Systems) -> Iterator[str]:
    """A warning for everything on the picture of an exercise that the house style forbids."""
    for number, system in enumerate(systems, 1):
        for one, two, _, _ in meetings(system):
            yield f"house style: system {number}: a {one} touches a {two}"
        for kind in crowded_digits(system):
            yield f"house style: system {number}: a digit crowds a {kind}"
        for kind in crooked_rows(system):
            yield f"house style: system {number}: the row of {kind}s is not straight"
    for sign, lacking in legend_faults(draft.plate.signs, {shape.kind for system in systems for shape in system}):
        yield f"house style: the legend {'lacks' if lacking else 'explains what is not printed:'} {sign.value}"


def meetings(found: Sequence[Shape], air: float = 0.0) -> list[tuple[str, str, float, float]]:
    """The pairs of shapes that meet, by their kinds, and where in staff spaces."""
    met = []
    row = sorted((shape for shape in found if shape.kind not in GROUND), key=lambda shape: shape.box[0])
    for index, one in enumerate(row):
        for two in row[index + 1 :]:
            if two.box[0] > one.box[2] + air:
                break
            if {one.kind, two.kind} & MARKS and not _one_mark(one, two) and touching(one, two, air):
                first, second = sorted((one.kind, two.kind))
                met.append((first, second, *one.middle))
    return met


def _one_mark(one: Shape, two: Shape) -> bool:
    """True for parts of one sign: the letters of a numeral, the figure in its circle, a dash and its digit."""
    if one.kind != two.kind:
        return False
    if one.kind == "node":
        return not (one.stroked or two.stroked)
    if one.kind == "ring":
        return not (one.stroked and two.stroked)
    whole = one.kind in ("numeral", "line", "loudness", "hairpin", "direction", "bracket", "roll")
    return whole or one.stroked or two.stroked


def crowded_digits(system: Sequence[Shape]) -> list[str]:
    """The kinds of neighbours that stand nearer to a fretting digit than it needs."""
    digits = [shape for shape in system if shape.kind == "digit" and not shape.stroked]
    return [
        kind
        for kind, air in AIR_SP.items()
        for other in system
        if other.kind == kind
        for digit in digits
        if touching(digit, other, air)
    ]


def crooked_rows(system: Sequence[Shape]) -> list[str]:
    """The kinds of marks whose highest signs do not stand on one line."""
    crooked = []
    for kind in ROWS:
        feet = [shape.foot[1] for shape in _tops(system, kind)]
        if feet and max(feet) - min(feet) >= ROW_SP:
            crooked.append(kind)
    return crooked


def _tops(system: Sequence[Shape], kind: str) -> list[Shape]:
    """The shapes of a kind that have none of their kind above them; raised fractions are no letters of a row."""
    own = sorted((shape for shape in system if shape.kind == kind and shape.foot != (0, 0)), key=lambda s: s.middle[0])
    own = [shape for shape in own if not (kind == "node" and shape.stroked)]
    if kind == "numeral":
        tall = max((shape.box[3] - shape.box[1] for shape in own), default=0)
        return [shape for shape in own if shape.box[3] - shape.box[1] > 0.9 * tall]
    columns: list[list[Shape]] = []
    for shape in own:
        if columns and shape.box[0] < max(other.box[2] for other in columns[-1]):
            columns[-1].append(shape)
        else:
            columns.append([shape])
    return [min(column, key=lambda shape: shape.foot[1]) for column in columns]


def legend_faults(signs: Iterable[str], kinds: set[str]) -> list[tuple[Sign, bool]]:
    """Signs drawn that the legend does not get (True), and signs it gets that are not drawn (False)."""
    told = {Sign(sign) for sign in signs}
    faults = [(sign, sign not in told) for sign, shown in DRAWN_AS.items() if (sign in told) != bool(shown & kinds)]
    if bool(told & {Sign.POSITION, Sign.BARRE}) != ("numeral" in kinds):
        faults.append((Sign.POSITION, "numeral" in kinds))
    return faults
