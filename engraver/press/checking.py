"""All that is told of a book that could be built: playing, house style of the score, and of the picture when asked."""

from collections.abc import Sequence

from engraver.press.lint import house_style_warnings
from engraver.press.plates import Draft
from engraver.press.settings import Settings


def placed_warnings(drafts: Sequence[Draft], settings: Settings, engraved: bool) -> tuple[str, ...]:
    """Every warning with its place in the book file; `engraved` makes the pictures too, measures and forgets them."""
    found = [(*draft.plate.warnings, *house_style_warnings(draft.score, settings.marks)) for draft in drafts]
    if engraved:
        from engraver.press.clearance import clearance_warnings, measured

        pictures = measured(drafts, settings)
        shown = [clearance_warnings(draft, systems) for draft, systems in zip(drafts, pictures, strict=True)]
        found = [(*own, *more) for own, more in zip(found, shown, strict=True)]
    return tuple(
        f"{draft.exercise.place}: exercise '{draft.exercise.id}': {warning}"
        for draft, own in zip(drafts, found, strict=True)
        for warning in own
    )
