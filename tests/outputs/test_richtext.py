import pytest

from engraver.outputs.richtext import BlockKind, Span, paragraph, parse_text


def kinds(text: str) -> list[BlockKind]:
    return [block.kind for block in parse_text(text)]


def test_an_empty_line_parts_paragraphs_and_other_line_ends_are_spaces() -> None:
    """Two paragraphs, the first written on two lines."""
    blocks = parse_text("Play slowly\nand evenly.\n\n\nRest.")
    assert [block.plain for block in blocks] == ["Play slowly and evenly.", "Rest."]


@pytest.mark.parametrize("text", ["", "   ", "\n\n \n"])
def test_a_text_without_words_gives_no_block(text: str) -> None:
    """Spaces and empty lines make no paragraph."""
    assert parse_text(text) == ()


def test_stars_around_words_emphasise_them() -> None:
    """The words between stars are a span of their own, doubled stars the same."""
    (block,) = parse_text("Play *very* slowly, **always**.")
    assert block.items[0] == (
        Span("Play "),
        Span("very", emphasis=True),
        Span(" slowly, "),
        Span("always", emphasis=True),
        Span("."),
    )


@pytest.mark.parametrize(
    ("text", "literal"),
    [
        ("4 * 3 = 12", "4 * 3 = 12"),
        ("*open", "*open"),
        ("a* b*", "a* b*"),
        (r"\*plain\*", "*plain*"),
        (r"*x\*", "*x*"),
        (r"C:\music", r"C:\music"),
        (r"two \\ one", r"two \ one"),
        ("***", "***"),
        ("#eval(1) $x$ <b> `r`", "#eval(1) $x$ <b> `r`"),
    ],
)
def test_whatever_is_no_markup_stays_as_written(text: str, literal: str) -> None:
    """A star that opens or closes nothing, an escaped star, foreign markup: plain text."""
    (block,) = parse_text(text)
    assert block.items == ((Span(literal),),)


def test_an_escaped_star_may_stand_inside_emphasis() -> None:
    r"""``\*`` does not close the emphasis."""
    (block,) = parse_text(r"*one \* two*")
    assert block.items == ((Span("one * two", emphasis=True),),)


def test_lines_with_a_dash_are_a_list_even_right_after_a_sentence() -> None:
    """The list ends at the empty line; a line without a dash goes on with its item."""
    first, bullets, last = parse_text("Listen for:\n- equal *weight*\n  in each note\n- equal length\n\nThen rest.")
    assert (first.kind, bullets.kind, last.kind) == (BlockKind.PARAGRAPH, BlockKind.LIST, BlockKind.PARAGRAPH)
    assert bullets.plain == "equal weight in each note\nequal length"


def test_a_numbered_list_opens_with_one() -> None:
    """A sentence that happens to begin with a year or another number is no list."""
    assert kinds("1. slow\n2. faster") == [BlockKind.NUMBERED]
    assert kinds("12. December is the test.") == [BlockKind.PARAGRAPH]


def test_a_paragraph_of_literal_text_reads_no_markup() -> None:
    """Our own sentences keep their stars."""
    assert paragraph("a *b*").plain == "a *b*"


@pytest.mark.parametrize("text", ["*a" * 5000, "*" * 10000, "\\" * 9999, r"*\*" * 4000, "**a " * 4000, "- " * 5000])
def test_hostile_texts_keep_all_their_letters(text: str) -> None:
    """Ten thousand stars or backslashes are read at once, and no letter is lost."""
    kept = "".join(block.plain for block in parse_text(text))
    assert kept.count("a") == text.count("a")
