"""Every ink can be read on its paper."""

import pytest

from core.drawing.records import Role
from viewer.paper.theme import DARK, LIGHT, PRINT, Theme, contrast

THEMES = pytest.mark.parametrize("theme", [LIGHT, DARK, PRINT], ids=lambda t: t.name)


@THEMES
@pytest.mark.parametrize("role", list(Role))
def test_lines_stand_out_three_to_one_and_texts_four_and_a_half(
    theme: Theme, role: Role
) -> None:
    # published: WCAG 2.2, success criteria 1.4.11 (3:1) and 1.4.3 (4.5:1)
    assert contrast(theme.ink(role), theme.paper) >= 3.0
    assert contrast(theme.lettering(role), theme.paper) >= 4.5


@THEMES
def test_the_colours_that_mean_something_stand_out(theme: Theme) -> None:
    for colour in (theme.accent, theme.stop, theme.caution):
        assert contrast(colour, theme.paper) >= 3.0


def test_vermilion_is_that_of_okabe_and_ito_and_marks_only_what_must_stop() -> None:
    # published: M. Okabe and K. Ito, Color Universal Design (2008), vermilion
    assert LIGHT.stop == "#D55E00"
    stopping = {role for role in Role if LIGHT.ink(role) == LIGHT.stop}
    assert stopping == {Role.BLOCKED, Role.FINDING, Role.WITNESS}


def test_contrast_of_grey_is_the_published_one() -> None:
    # published: WCAG technique G18 names #767676 on white as just over 4.5:1
    assert contrast("#767676", "#FFFFFF") == pytest.approx(4.54, abs=0.005)
