"""The phrases of an explanation, from tables/explain.yaml; English, for the terminal."""

from pydantic import BaseModel, ConfigDict

from engraver.tables import Table, read_table


class _Row(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class Headings(_Row):
    """The headings of the sections."""

    spelling: str
    harmonics: str
    places: str
    shifts: str
    way_back: str
    stretches: str
    account: str
    alternatives: str
    plucking: str
    patterns: str
    remedies: str


class Columns(_Row):
    """The heads of the tables' columns."""

    notes: str
    bar: str
    string: str
    position: str
    pitches: str
    frets: str
    fingers: str
    letters: str
    cost: str
    times: str
    row: str
    reason: str
    rank: str
    chosen: str
    differs: str
    pattern: str
    awkward: str
    repeated: str
    order_breaks: str
    finger: str
    strings: str
    remedy: str
    fewer: str
    left: str


class SpellingPhrases(_Row):
    """Why the notes have their names."""

    signature: str
    own_letters: str
    fewest_signs: str
    chromatic: str
    down: str
    thirds: str
    practical: str
    chord: str
    by_source: str
    by_key: str


class HarmonicsPhrases(_Row):
    """Where harmonics are touched and what they sound."""

    natural: str
    cents: str
    higher: str
    lower: str
    artificial: str
    named: str


class LeftHandPhrases(_Row):
    """Shifts, stretches and costs of the fretting hand."""

    times: str
    no_shift: str
    stays: str
    moves: str
    open: str
    shift: str
    on_string: str
    across: str
    over_open: str
    stretch: str
    pair: str
    together: str
    in_turn: str
    no_stretch: str
    binds: str
    binds_nowhere: str
    longer_reach: str
    same_with_more: str
    total: str
    fewer: str
    freely: str
    differs: str
    by_habit: str
    given_up: str
    hinge: str
    gave_way: str
    slurred: str


class WayBackPhrases(_Row):
    """What comes back otherwise than it went."""

    same: str
    note: str
    notes: str
    pinned: str
    other_notes: str
    other_hand: str
    impossible: str
    as_cheap: str
    dearer: str


class PluckingPhrases(_Row):
    """What the plucking hand does."""

    formula: str
    fixed: str
    alternation: str
    free: str
    awkward: str
    no_awkward: str
    repeated: str
    reversal: str
    again: str
    planted: str
    planted_with: str
    unplanted: str
    proposed: str
    no_remedy: str
    left_hand: str


class Signs(_Row):
    """Short signs in tables."""

    chosen: str
    nothing: str


class Limits(_Row):
    """How much is told, by how many mm the reach is lengthened to see where it binds, and what counts as no cost."""

    least_difference: float
    stretches: int
    alternatives: int
    fewest_alternatives: int
    remedies: int
    more_reach_mm: float


class ExplainTable(Table):
    """tables/explain.yaml."""

    headings: Headings
    columns: Columns
    spelling: SpellingPhrases
    harmonics: HarmonicsPhrases
    left_hand: LeftHandPhrases
    way_back: WayBackPhrases
    plucking: PluckingPhrases
    signs: Signs
    limits: Limits


def phrases() -> ExplainTable:
    """The phrases, read once. Raises TableError when the table is damaged."""
    table: ExplainTable = read_table("explain", ExplainTable)
    return table
